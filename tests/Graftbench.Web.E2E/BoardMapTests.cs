using System.Globalization;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Microsoft.Playwright;
using SkiaSharp;

namespace Graftbench.Web.E2E;

/// <summary>Drawing a board as a technician does it, in a real browser on a real store.</summary>
public sealed partial class BoardMapTests(BoardBench bench) : IClassFixture<BoardBench>
{
    [Fact]
    public async Task A_part_is_placed_by_a_tap_and_is_in_the_store_after_saving()
    {
        string id = bench.NewJob();
        await using BoardScreen screen = await bench.Open(id);

        await screen.PickKind("coin cell");
        await screen.Page.Mouse.ClickAsync(await screen.X(30.2), await screen.Y(95.1));

        Assert.Contains("BT1", await screen.Chosen(), StringComparison.Ordinal);
        await Assertions.Expect(screen.Remarks).ToContainTextAsync("BT1 still has its starting size");
        await screen.Field("Length [mm]").FillAsync("24");
        await screen.Field("Width [mm]").FillAsync("24");
        await screen.Field("Width [mm]").PressAsync("Tab");
        await screen.Save();

        Part cell = Assert.Single(bench.Store.FindJob(id)!.Job.Host.Parts, part => part.Ref == "BT1");
        Assert.Equal(PartKind.CoinCell, cell.Kind);
        Assert.Equal((30, 95), (cell.XMm, cell.YMm));
        Assert.Equal((24, 24), (cell.LengthMm, cell.WidthMm));
        Assert.Equal(2, bench.Store.FindJob(id)!.Revision);
    }

    /// <summary>A page that glides on after a field got the focus takes Save away from under the press.</summary>
    [Fact]
    public async Task Save_takes_a_press_right_after_a_field_far_down_got_the_focus()
    {
        string id = bench.NewJob();
        await using BoardScreen screen = await bench.Open(id);
        await screen.Choose("U7");
        await screen.Page.EvaluateAsync("() => scrollTo(0, 0)");
        await screen.Frame();

        await screen.Field("Width [mm]").FillAsync("16");
        await screen.Page.EvaluateAsync("() => document.querySelector('.bm-keys summary').focus()");
        await screen.Page.EvaluateAsync("() => document.querySelector('.bm-panel summary').focus()");
        LocatorBoundingBoxResult at = (await screen.SubmitButton.BoundingBoxAsync())!;
        await screen.Page.Mouse.MoveAsync(at.X + (at.Width / 2), at.Y + (at.Height / 2));
        await screen.Page.Mouse.DownAsync();
        await Task.Delay(300, TestContext.Current.CancellationToken);
        LocatorBoundingBoxResult then = (await screen.SubmitButton.BoundingBoxAsync())!;
        await screen.Page.Mouse.UpAsync();

        Assert.Equal((at.X, at.Y), (then.X, then.Y));
        await screen.Page.GetByText("Saved as revision 2.").WaitForAsync();
    }

    [Fact]
    public async Task A_save_pressed_before_the_page_has_loaded_in_full_is_sent()
    {
        string id = bench.NewJob();
        await using BoardScreen screen = await bench.Open(id);
        await screen.Drag(30, 90, 50, 90);
        // The browser shows the page as loaded only after the form is on its way: a photo came late.
        await screen.Page.EvaluateAsync(
            "() => document.getElementById('drawing-form').addEventListener('submit', () => window.dispatchEvent(new PageTransitionEvent('pageshow')))"
        );

        await screen.Save();

        Assert.Equal(2, bench.Store.FindJob(id)!.Revision);
    }

    [Fact]
    public async Task A_part_is_drawn_to_size_with_one_stroke()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());

        await screen.PickKind("lithium pack");
        await screen.Drag(20, 80, 60, 110);

        Part pack = (await screen.Drawn()).Parts.Single(part => part.Ref == "BT1");
        Assert.Equal((40, 95), (pack.XMm, pack.YMm));
        Assert.Equal((40, 30), (pack.LengthMm, pack.WidthMm));
    }

    [Fact]
    public async Task A_part_is_moved_by_mouse_and_by_keys_and_each_step_is_told()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());

        await screen.Drag(30, 90, 60.1, 100.2);
        await screen.Says("C12 moved to 60.0, 100.0 mm.");

        await screen.Canvas.PressAsync("ArrowRight");
        await screen.Says("C12 moved to 60.1, 100.0 mm.");
        await screen.Canvas.PressAsync("Shift+ArrowDown");
        await screen.Says("C12 moved to 60.1, 99.0 mm.");
        Assert.Equal((60.1, 99), await screen.PlaceOf("C12"));
    }

    [Fact]
    public async Task A_part_is_sized_by_its_handle_while_the_opposite_edge_stays()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        await screen.Choose("U7");

        ILocator handle = screen.Page.Locator("[data-handle='size 1 1']");
        LocatorBoundingBoxResult box = (await handle.BoundingBoxAsync())!;
        Assert.True(
            box.Width >= 43.9 && box.Height >= 43.9,
            $"A handle of {box.Width} x {box.Height} px is too small for a glove."
        );
        (double x, double y) = (box.X + (box.Width / 2), box.Y + (box.Height / 2));
        double scale = await screen.PxPerMm();
        await screen.DragPx(x, y, x + (6 * scale), y - (4 * scale));

        Part part = (await screen.Drawn()).Parts.Single(each => each.Ref == "U7");
        Assert.Equal((20, 18), (part.LengthMm, part.WidthMm));
        Assert.Equal((133, 82), (part.XMm, part.YMm));
    }

    [Fact]
    public async Task A_part_is_turned_flipped_copied_and_deleted()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        await screen.Choose("U7");

        await screen.Button("Turn 90°").ClickAsync();
        await screen.Button("Turn 15° to the right").ClickAsync();
        await screen.Button("Other side").ClickAsync();
        await screen.Says("U7 is on the bottom side.");
        await screen.Button("Duplicate").ClickAsync();
        Board board = await screen.Drawn();
        Assert.Equal(75, board.Parts.Single(part => part.Ref == "U7").RotationDeg);
        Part copy = board.Parts.Single(part => part.Ref == "U1");
        Assert.Equal((75, BoardSide.Bottom, 14, 14), (copy.RotationDeg, copy.Side, copy.LengthMm, copy.WidthMm));
        await Assertions.Expect(screen.Page.Locator("g.bm-bottom[data-name='U7']")).ToHaveCountAsync(1);

        await screen.Canvas.PressAsync("Delete");
        Assert.DoesNotContain((await screen.Drawn()).Parts, part => part.Ref == "U1");
    }

    [Fact]
    public async Task Every_step_is_undone_and_done_again_by_buttons_and_by_keys()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        string before = await screen.DrawnText();
        await Assertions.Expect(screen.Button("Undo")).ToBeDisabledAsync();

        await screen.Drag(30, 90, 50, 90);
        await screen.Canvas.PressAsync("r");
        await screen.Canvas.PressAsync("Delete");
        string after = await screen.DrawnText();

        await screen.Button("Undo").ClickAsync();
        await screen.Page.Keyboard.PressAsync("Control+z");
        Assert.Equal((50, 90), await screen.PlaceOf("C12"));
        await screen.Page.Keyboard.PressAsync("Control+z");
        Assert.Equal(before, await screen.DrawnText());
        await Assertions.Expect(screen.Button("Undo")).ToBeDisabledAsync();
        await Assertions.Expect(screen.State).ToHaveTextAsync("Saved");

        await screen.Button("Redo").ClickAsync();
        await screen.Page.Keyboard.PressAsync("Control+y");
        await screen.Page.Keyboard.PressAsync("Control+Shift+Z");
        Assert.Equal(after, await screen.DrawnText());
    }

    [Fact]
    public async Task Two_hundred_steps_are_all_undone()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        string before = await screen.DrawnText();
        await screen.Choose("C12");
        for (int i = 0; i < 200; i++)
        {
            await screen.Canvas.PressAsync("r");
        }
        for (int i = 0; i < 200; i++)
        {
            await screen.Page.Keyboard.PressAsync("Control+z");
        }
        Assert.Equal(before, await screen.DrawnText());
    }

    [Fact]
    public async Task The_outline_is_typed_dragged_given_a_corner_and_made_a_rectangle_again()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        await screen.Field("Length [mm]").FillAsync("200");
        await screen.Field("Length [mm]").PressAsync("Tab");
        Assert.Equal(200, (await screen.Drawn()).LengthMm);
        await screen.Button("Fit the board into the picture").ClickAsync();

        await screen.Button("Outline").ClickAsync();
        await screen.Drag(200, 120, 180, 100);
        Board smaller = await screen.Drawn();
        Assert.Equal((180, 100, 0), (smaller.LengthMm, smaller.WidthMm, smaller.Outline.Count));

        await screen.Drag(180, 50, 150, 50);
        Board notched = await screen.Drawn();
        Assert.Equal(5, notched.Outline.Count);
        Assert.Contains(new PointMm { XMm = 150, YMm = 50 }, notched.Outline);
        Assert.Equal(180, notched.LengthMm);

        // Dragging the lower left corner outward moves the origin with it; the parts stay where they are on the board.
        await screen.Drag(0, 0, -10, 0);
        Board wider = await screen.Drawn();
        Assert.Equal(190, wider.LengthMm);
        Assert.Equal((40, 90), await screen.PlaceOf("C12"));

        await screen.Button("Back to a rectangle").ClickAsync();
        Assert.Empty((await screen.Drawn()).Outline);
    }

    [Fact]
    public async Task The_outline_is_drawn_by_keys_alone()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        await screen.Button("Outline").PressAsync("Enter");
        await screen.Canvas.FocusAsync();
        await screen.Page.Keyboard.PressAsync("PageDown");
        await screen.Says("Corner 2 of 4 at 180, 0 mm.");
        await screen.Page.Keyboard.PressAsync("Insert");
        await screen.Page.Keyboard.PressAsync("Shift+ArrowLeft");
        Board board = await screen.Drawn();
        Assert.Contains(new PointMm { XMm = 179, YMm = 60 }, board.Outline);
        await screen.Page.Keyboard.PressAsync("Delete");
        Assert.Equal(4, (await screen.Drawn()).Outline.Count);
    }

    [Fact]
    public async Task A_whole_part_is_placed_and_set_by_keys_alone()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        await screen.Button("Place…").PressAsync("Enter");
        ILocator crystal = screen.Page.GetByRole(AriaRole.Button, new() { Name = "crystal", Exact = true });
        await crystal.PressAsync("Enter");
        await Assertions.Expect(screen.Canvas).ToBeFocusedAsync();
        await screen.Page.Keyboard.PressAsync("Shift+ArrowRight");
        await screen.Page.Keyboard.PressAsync("Enter");
        Assert.Contains("Y1", await screen.Chosen(), StringComparison.Ordinal);
        await screen.Page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(screen.Field("Reference")).ToBeFocusedAsync();
        await screen.Page.Keyboard.PressAsync("Control+a");
        await screen.Page.Keyboard.TypeAsync("Y9");
        await screen.Page.Keyboard.PressAsync("Tab");
        Assert.Contains((await screen.Drawn()).Parts, part => part.Ref == "Y9" && part.Kind == PartKind.Crystal);
    }

    [Fact]
    public async Task The_list_follows_the_picture_and_the_picture_the_list()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        await screen.Page.Mouse.ClickAsync(await screen.X(130), await screen.Y(80));
        Assert.Contains("U7", await screen.Chosen(), StringComparison.Ordinal);

        await screen.List.FocusAsync();
        await screen.Page.Keyboard.PressAsync("Home");
        await Assertions.Expect(screen.Page.Locator("g.bm-chosen")).ToHaveAttributeAsync("data-name", "DSP");
        await screen.Says("DSP, plastic ball-grid body, 90.0, 60.0 mm.");
        await screen.Page.Keyboard.PressAsync("ArrowDown");
        await Assertions.Expect(screen.Page.Locator("g.bm-chosen")).ToHaveAttributeAsync("data-name", "C12");
    }

    [Fact]
    public async Task Overlaps_and_bodies_outside_the_outline_are_remarked_on_the_same_side_only()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        await Assertions.Expect(screen.Remarks).ToHaveCountAsync(0);

        await screen.Choose("C12");
        await screen.SetPlace(75, 60);
        await Assertions.Expect(screen.Remarks).ToContainTextAsync("DSP and C12 overlap on the top side by 52.0 mm².");
        await Assertions.Expect(screen.Page.Locator(".bm-overlap")).ToHaveCountAsync(1);
        await Assertions.Expect(screen.Near).ToHaveTextAsync("Overlaps DSP");

        await screen.Button("Other side").ClickAsync();
        await Assertions.Expect(screen.Page.Locator(".bm-overlap")).ToHaveCountAsync(0);

        await screen.Choose("DSP");
        await screen.SetPlace(170, 60);
        await Assertions.Expect(screen.Remarks).ToContainTextAsync("DSP reaches outside the outline.");
    }

    [Fact]
    public async Task The_gap_to_the_nearest_body_is_shown()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        await screen.Choose("C12");
        // The chip's left edge is at 72.5; a body 8 mm long at 60 ends at 64.
        await screen.SetPlace(60, 60);
        await Assertions.Expect(screen.Near).ToHaveTextAsync("Nearest: DSP, 8.5 mm");
    }

    [Fact]
    public async Task The_ball_field_and_the_A1_corner_of_the_chip_are_drawn()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        ILocator chip = screen.Page.Locator("g[data-name='DSP']");
        await Assertions.Expect(chip.Locator(".bm-ball")).ToHaveCountAsync(1);
        double[] corner = await screen.EdgesMm(chip.Locator(".bm-a1"));
        Assert.Equal(72.5, corner[0], 0.1);
        Assert.Equal(77.5, corner[3], 0.1);

        // A quarter turn to the left takes corner A1 from the upper left to the lower left.
        await screen.Choose("DSP");
        await screen.Button("Turn 90°").ClickAsync();
        await Assertions.Expect(screen.Field("Turn [°]")).ToHaveValueAsync("90");
        double[] turned = await screen.EdgesMm(chip.Locator(".bm-a1"));
        Assert.Equal(72.5, turned[0], 0.1);
        Assert.Equal(42.5, turned[1], 0.1);
    }

    [Fact]
    public async Task A_chip_without_a_place_is_put_on_the_picture_and_saved_with_the_job()
    {
        string id = bench.NewJob(job => job with { Chips = [job.Chips[0] with { XMm = null, YMm = null }] });
        await using BoardScreen screen = await bench.Open(id);
        await screen.Choose("DSP");
        await screen.Button("Place on the picture").ClickAsync();
        await screen.Page.Mouse.ClickAsync(await screen.X(100), await screen.Y(50));
        await screen.Save();

        Chip chip = bench.Store.FindJob(id)!.Job.Chips[0];
        Assert.Equal((100, 50), (chip.XMm, chip.YMm));
        Assert.Equal("as drawn in the test", chip.Marking);
    }

    [Fact]
    public async Task The_tap_after_choosing_an_unplaced_object_places_it()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob(WithUnplacedCell), Laptop);
        await screen.Choose("cell 1");
        await Assertions.Expect(screen.Page.Locator(".bm-live")).ToContainTextAsync("Tap where cell 1 sits");
        LocatorBoundingBoxResult button = (await screen.Button("Place on the picture").BoundingBoxAsync())!;
        Assert.Equal(0, await screen.Page.EvaluateAsync<double>("() => scrollY"));
        Assert.InRange(button.Y + button.Height, 0, 900);

        // A stroke moves the picture and keeps the choice.
        await screen.Drag(60, 100, 70, 100);
        Assert.Contains("cell 1", await screen.Chosen(), StringComparison.Ordinal);
        await screen.Page.Mouse.ClickAsync(await screen.X(60), await screen.Y(100));
        Assert.Equal((60, 100), await screen.PlaceOf("cell 1"));
        Assert.Contains("cell 1", await screen.Chosen(), StringComparison.Ordinal);

        // Placed once, the next tap chooses again.
        await screen.Page.Mouse.ClickAsync(await screen.X(130), await screen.Y(80));
        Assert.Contains("U7", await screen.Chosen(), StringComparison.Ordinal);
        Assert.Equal((60, 100), await screen.PlaceOf("cell 1"));
    }

    [Fact]
    public async Task An_unplaced_object_is_placed_by_keys_alone_and_let_go_by_escape()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob(WithUnplacedCell));
        await screen.List.FocusAsync();
        // Both keys within one frame, as fast fingers press them.
        await screen.List.EvaluateAsync(
            "list => ['End', 'Enter'].forEach(key => list.dispatchEvent(new KeyboardEvent('keydown', { key })))"
        );
        await Assertions.Expect(screen.Canvas).ToBeFocusedAsync();
        await screen.Page.Keyboard.PressAsync("Escape");
        await Assertions.Expect(screen.List.Locator("[aria-selected=true]")).ToHaveCountAsync(0);
        await screen.Choose("cell 1");
        await screen.Canvas.FocusAsync();
        await screen.Page.Keyboard.PressAsync("Shift+ArrowRight");
        await screen.Page.Keyboard.PressAsync("Enter");
        Assert.NotNull((await screen.PlaceOf("cell 1")).Item1);
    }

    [Fact]
    public async Task The_object_list_keeps_still_while_objects_are_chosen()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob(job => WithManyParts(job, 12)), Laptop);
        ILocator rows = screen.List.Locator("li");
        // The middle of every row that shows, before anything is chosen; the same spots must hit the same rows after it.
        LocatorBoundingBoxResult list = (await screen.List.BoundingBoxAsync())!;
        float x = list.X + 40;
        List<(float Y, string Text)> spots = [];
        for (int i = 0; i < await rows.CountAsync(); i++)
        {
            LocatorBoundingBoxResult row = (await rows.Nth(i).BoundingBoxAsync())!;
            float y = row.Y + (row.Height / 2);
            if (y < list.Y + list.Height - 1)
            {
                spots.Add((y, await rows.Nth(i).Locator("strong").InnerTextAsync()));
            }
        }
        Assert.True(spots.Count > 3, $"Only {spots.Count} rows show.");
        foreach ((float y, string text) in spots)
        {
            await screen.Page.Mouse.ClickAsync(x, y);
            await screen.Frame();
            Assert.Equal(text, await screen.List.Locator("[aria-selected=true] strong").InnerTextAsync());
        }
    }

    [Fact]
    public async Task A_typed_length_is_taken_by_enter_by_saving_and_before_another_object_is_chosen()
    {
        string id = bench.NewJob();
        await using BoardScreen screen = await bench.Open(id);

        // Typed in the same moment as the object is chosen: the board's own length must not take it.
        await screen.Page.EvaluateAsync(
            """
            () => {
              const map = document.querySelector('gb-board-map');
              map.choose(map.doc.items.find(item => item.data.ref === 'U7').key);
              const field = [...document.querySelectorAll('[data-field=lengthMm]')][0];
              field.focus();
              field.value = '15';
            }
            """
        );
        // Chosen from elsewhere, without the field losing the focus first.
        await screen.Page.EvaluateAsync(
            """
            () => {
              const map = document.querySelector('gb-board-map');
              map.choose(map.doc.items.find(item => item.data.ref === 'C12').key);
            }
            """
        );
        await screen.Frame();
        Board board = await screen.Drawn();
        Assert.Equal(
            (180, 15, 8),
            (board.LengthMm, board.Parts.Single(part => part.Ref == "U7").LengthMm, board.Parts[0].LengthMm)
        );

        await screen.Field("Length [mm]").FillAsync("9");
        await screen.Field("Length [mm]").PressAsync("Enter");
        await screen.Says("C12: Length changed.");
        Assert.Equal(1, bench.Store.FindJob(id)!.Revision);

        await screen.Field("Width [mm]").FillAsync("7");
        await screen.Page.EvaluateAsync("() => document.getElementById('drawing-form').requestSubmit()");
        await screen.Page.GetByText("Saved as revision").WaitForAsync();
        Part saved = bench.Store.FindJob(id)!.Job.Host.Parts[0];
        Assert.Equal((9, 7), (saved.LengthMm, saved.WidthMm));
    }

    [Fact]
    public async Task A_typed_length_survives_a_reload_and_a_refused_one_stays_to_be_seen()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        await screen.Choose("C12");
        await screen.Field("Length [mm]").FillAsync("9");
        await screen.Page.ReloadAsync();
        await screen.Ready();
        await screen.Button("Take it back").ClickAsync();
        Assert.Equal(9, (await screen.Drawn()).Parts[0].LengthMm);

        await screen.Choose("C12");
        await screen.Field("Length [mm]").FillAsync("-4");
        await screen.Field("Width [mm]").FillAsync("5");
        await screen.Field("Width [mm]").PressAsync("Tab");
        await screen.Frame();
        await Assertions.Expect(screen.Field("Length [mm]")).ToHaveValueAsync("-4");
        Part part = (await screen.Drawn()).Parts[0];
        Assert.Equal((9, 5), (part.LengthMm, part.WidthMm));
    }

    [Fact]
    public async Task Labels_of_small_neighbours_do_not_overlap()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob(WithNeighbours));
        await screen.Frame();
        string[] texts = [.. await screen.Page.Locator("text.bm-label").AllTextContentsAsync()];
        Assert.Contains("DSP", texts);
        Assert.Contains("electrolytic 1", texts);
        string[] meeting = await screen.Page.EvaluateAsync<string[]>(
            """
            () => {
              const labels = [...document.querySelectorAll('text.bm-label')].map(node => ({ text: node.textContent, box: node.getBoundingClientRect() }));
              return labels.flatMap((a, i) => labels.slice(i + 1)
                .filter(b => a.box.left < b.box.right && b.box.left < a.box.right && a.box.top < b.box.bottom - 2 && b.box.top < a.box.bottom - 2)
                .map(b => `${a.text} / ${b.text}`));
            }
            """
        );
        Assert.Empty(meeting);
        string title = await screen.Page.Locator("g[data-name='electrolytic 5'] > title").TextContentAsync() ?? "";
        Assert.Equal("electrolytic 5", title);
        await screen.Choose("electrolytic 5");
        Assert.Contains("electrolytic 5", await screen.Page.Locator("text.bm-label").AllTextContentsAsync());
    }

    [Fact]
    public async Task A_finger_chooses_first_and_then_moves_and_two_fingers_zoom()
    {
        await using BoardScreen screen = await bench.Open(
            bench.NewJob(),
            new()
            {
                HasTouch = true,
                ViewportSize = new() { Width = 820, Height = 1180 },
            }
        );
        ICDPSession touch = await screen.Page.Context.NewCDPSessionAsync(screen.Page);

        // A first stroke over a part that is not chosen pans the picture and moves nothing.
        double left = await screen.X(0);
        await screen.TouchDrag(touch, 30, 90, 45, 90);
        Assert.Equal((30, 90), await screen.PlaceOf("C12"));
        Assert.InRange(await screen.X(0) - left, 15 * await screen.PxPerMm() - 12, 15 * await screen.PxPerMm() + 12);

        await screen.Page.Touchscreen.TapAsync(await screen.X(30), await screen.Y(90));
        Assert.Contains("C12", await screen.Chosen(), StringComparison.Ordinal);
        await screen.TouchDrag(touch, 30, 90, 40, 100);
        Assert.Equal((40, 100), await screen.PlaceOf("C12"));

        double before = await screen.PxPerMm();
        await screen.Pinch(touch, 90, 60, 10, 20);
        Assert.InRange(await screen.PxPerMm() / before, 1.8, 2.2);
        Assert.Equal((40, 100), await screen.PlaceOf("C12"));
    }

    [Fact]
    public async Task The_page_is_free_of_accessibility_violations()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        await screen.CheckAccessibility("nothing chosen");
        await screen.Choose("U7");
        await screen.Page.Locator("summary").Filter(new() { HasText = "Heat and moisture" }).ClickAsync();
        await screen.CheckAccessibility("a part chosen");
        await screen.Button("Outline").ClickAsync();
        await screen.CheckAccessibility("outline");
        await screen.Button("Photo…").ClickAsync();
        await screen.Button("Place…").ClickAsync();
        await screen.CheckAccessibility("palette and photo");
    }

    [Fact]
    public async Task A_step_among_two_thousand_parts_redraws_only_the_part_that_moved()
    {
        string id = bench.NewJob(job => WithManyParts(job, 2000));
        await using BoardScreen screen = await bench.Open(id);
        await screen.Choose("C1000");
        int[] made = await screen.Page.EvaluateAsync<int[]>(
            """
            async () => {
              const canvas = document.querySelector('.bm-canvas');
              const frame = () => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)));
              await frame();
              const made = [0, 0, 0];
              const kinds = ['g.bm-object', 'text.bm-label.bm-top', '.bm-list li'];
              const observer = new MutationObserver(changes => changes.forEach(change => change.addedNodes.forEach(node =>
                kinds.forEach((kind, i) => { made[i] += node.matches?.(kind) ? 1 : 0; }))));
              observer.observe(document.querySelector('gb-board-map'), { childList: true, subtree: true });
              for (let i = 0; i < 10; i++) {
                canvas.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowRight', bubbles: true }));
                await frame();
              }
              observer.disconnect();
              return made;
            }
            """
        );
        Assert.Equal(10, made[0]);
        // A moved label may give way to, or make way for, the few beside it.
        Assert.InRange(made[1], 10, 50);
        Assert.Equal(10, made[2]);
        Assert.Equal(2000, await screen.Page.Locator("g.bm-part").CountAsync());
    }

    private static BrowserNewContextOptions Laptop =>
        new()
        {
            ViewportSize = new() { Width = 1366, Height = 900 },
        };

    private static Job WithUnplacedCell(Job job) =>
        job with
        {
            Host = job.Host with { Parts = [.. job.Host.Parts, new Part { Ref = "cell 1", Kind = PartKind.CoinCell }] },
        };

    private static Job WithNeighbours(Job job) =>
        job with
        {
            Host = job.Host with
            {
                Parts =
                [
                    .. Enumerable
                        .Range(1, 8)
                        .Select(i => new Part
                        {
                            Ref = string.Create(CultureInfo.InvariantCulture, $"electrolytic {i}"),
                            Kind = PartKind.AluminiumElectrolytic,
                            XMm = 20 + (i * 9),
                            YMm = 100,
                            LengthMm = 6.3,
                            WidthMm = 6.3,
                        }),
                ],
            },
        };

    private static Job WithManyParts(Job job, int number) =>
        job with
        {
            Host = job.Host with
            {
                LengthMm = 400,
                WidthMm = 300,
                Parts =
                [
                    .. Enumerable
                        .Range(0, number)
                        .Select(i => new Part
                        {
                            Ref = string.Create(CultureInfo.InvariantCulture, $"C{i + 1}"),
                            Kind = PartKind.CeramicCapacitor,
                            XMm = 5 + (i % 60 * 6.5),
                            YMm = 5 + (i / 60 * 8.5),
                            LengthMm = 3.2,
                            WidthMm = 1.6,
                        }),
                ],
            },
        };
}
