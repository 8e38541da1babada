using System.Globalization;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Microsoft.Playwright;
using SkiaSharp;

namespace Graftbench.Web.E2E;

/// <content>Drawings and photos that are kept, refused or come back.</content>
public sealed partial class BoardMapTests
{
    [Fact]
    public async Task A_saved_drawing_looks_the_same_after_a_reload_and_keeps_what_is_not_drawn()
    {
        string id = bench.NewJob();
        await using BoardScreen screen = await bench.Open(id);
        await screen.Drag(30, 90, 40, 100);
        string drawn = await screen.DrawnText();
        await screen.Save();

        Assert.Equal(drawn, await screen.DrawnText());
        await Assertions.Expect(screen.Page.GetByText("There is an unsaved drawing")).ToHaveCountAsync(0);
        await screen.Page.ReloadAsync();
        await screen.Ready();
        Assert.Equal(drawn, await screen.DrawnText());
        Part capacitor = bench.Store.FindJob(id)!.Job.Host.Parts[0];
        Assert.Equal((105, 12.5), (capacitor.BakeLimitC, capacitor.HeightMm));
        Assert.Equal(LaminateKind.EpoxyTg150, bench.Store.FindJob(id)!.Job.Host.Laminate);
    }

    [Fact]
    public async Task A_drawing_on_an_old_revision_is_kept_on_screen_and_can_be_saved_over_the_new_one()
    {
        string id = bench.NewJob();
        await using BoardScreen screen = await bench.Open(id);
        await screen.Drag(30, 90, 40, 100);
        Job other = bench.Store.FindJob(id)!.Job;
        bench.Store.SaveJob(other with { Title = "Changed by the other bench" }, 1, "other bench");

        await screen.SubmitButton.ClickAsync();
        await Assertions.Expect(screen.Page.GetByRole(AriaRole.Alert)).ToContainTextAsync("Not saved");
        await screen.Ready();
        Assert.Equal((40, 100), await screen.PlaceOf("C12"));
        await Assertions.Expect(screen.State).ToHaveTextAsync("Not saved yet");

        await screen.Button("Save mine over revision 2").ClickAsync();
        await Assertions.Expect(screen.Page.GetByText("Saved as revision 3.")).ToBeVisibleAsync();
        Job saved = bench.Store.FindJob(id)!.Job;
        Assert.Equal("Changed by the other bench", saved.Title);
        Assert.Equal(40, saved.Host.Parts[0].XMm);
    }

    [Fact]
    public async Task An_unsaved_drawing_survives_a_reload_and_is_offered_back()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        string stored = await screen.DrawnText();
        await screen.Drag(30, 90, 40, 100);
        string drawn = await screen.DrawnText();

        await screen.Page.ReloadAsync();
        await screen.Ready();
        Assert.Equal(stored, await screen.DrawnText());
        await screen.Button("Take it back").ClickAsync();
        Assert.Equal(drawn, await screen.DrawnText());

        await screen.Page.ReloadAsync();
        await screen.Ready();
        await screen.Button("Throw it away").ClickAsync();
        await screen.Page.ReloadAsync();
        await screen.Ready();
        await Assertions.Expect(screen.Button("Take it back")).ToHaveCountAsync(0);
    }

    [Fact]
    public async Task Leaving_with_unsaved_work_asks_first()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        List<string> asked = [];
        screen.Page.Dialog += async (_, dialog) =>
        {
            asked.Add(dialog.Type);
            await dialog.DismissAsync();
        };
        await screen.Drag(30, 90, 40, 100);
        string address = screen.Page.Url;
        await screen.Page.EvaluateAsync("() => { location.href = '/health'; }");
        await screen.Page.WaitForTimeoutAsync(500);
        Assert.Equal(["beforeunload"], asked);
        Assert.Equal(address, screen.Page.Url);
    }

    [Fact]
    public async Task A_part_outside_the_allowed_range_comes_back_as_drawn_with_a_message_that_leads_to_it()
    {
        string id = bench.NewJob();
        await using BoardScreen screen = await bench.Open(id);
        for (int i = 0; i < 6; i++)
        {
            await screen.Button("Zoom out").ClickAsync();
        }
        await screen.Drag(30, 90, -130, 90);
        await screen.Choose("U7");
        await screen.SubmitButton.ClickAsync();

        ILocator problem = screen.Page.GetByRole(AriaRole.Alert).GetByRole(AriaRole.Button);
        await Assertions.Expect(problem).ToContainTextAsync("Part C12");
        await screen.Ready();
        Assert.Equal((-130, 90), await screen.PlaceOf("C12"));
        await problem.ClickAsync();
        Assert.Contains("C12", await screen.Chosen(), StringComparison.Ordinal);
        await Assertions.Expect(screen.Field("X [mm]")).ToBeFocusedAsync();
        Assert.Equal(1, bench.Store.FindJob(id)!.Revision);
    }

    [Theory]
    [InlineData("")]
    [InlineData("{")]
    [InlineData("null")]
    [InlineData("{\"board\":[],\"chips\":{}}")]
    [InlineData("{\"board\":{\"parts\":7,\"lengthMm\":\"long\"},\"chips\":[]}")]
    [InlineData("{\"board\":{},\"board\":{},\"chips\":[]}")]
    [InlineData("{\"board\":{},\"chips\":[{\"id\":\"nobody\"}]}")]
    public async Task A_broken_post_is_answered_with_a_page_and_changes_nothing(string drawing)
    {
        string id = bench.NewJob();
        await using BoardScreen screen = await bench.Open(id);
        IResponse response = await screen.Page.RunAndWaitForResponseAsync(
            () =>
                screen.Page.EvaluateAsync(
                    "text => { const form = document.getElementById('drawing-form');"
                        + " const copy = form.cloneNode(false); copy.append(...form.querySelectorAll('input[type=hidden]'));"
                        + " copy.querySelector('[data-drawing]').value = text; document.body.append(copy); copy.submit(); }",
                    drawing
                ),
            answer => answer.Request.Method == "POST"
        );
        Assert.InRange(response.Status, 400, 422);
        await Assertions.Expect(screen.Page.GetByRole(AriaRole.Alert)).ToContainTextAsync("Not saved");
        Assert.Equal(1, bench.Store.FindJob(id)!.Revision);
    }

    [Fact]
    public async Task A_photo_is_shown_at_once_kept_upright_and_without_its_position_data()
    {
        string id = bench.NewJob();
        await using BoardScreen screen = await bench.Open(id);
        byte[] photo = TestPhotos.JpegTurned(640, 480, "N 48 12 30");
        Assert.Contains("N 48 12 30", Encoding.Latin1.GetString(photo), StringComparison.Ordinal);

        await screen.Button("Photo…").ClickAsync();
        ILocator file = screen.Page.GetByLabel("Photo of the top side, cut to the board's edges (JPEG, PNG or WebP)");
        await file.SetInputFilesAsync(
            new FilePayload
            {
                Name = "board.jpg",
                MimeType = "image/jpeg",
                Buffer = photo,
            }
        );
        await Assertions.Expect(screen.Page.Locator("svg image")).ToHaveAttributeAsync("href", BoardScreen.LocalPhoto);
        await screen.Button("Attach this photo").First.ClickAsync();
        await Assertions.Expect(screen.Page.GetByText("The photo is attached to the job.")).ToBeVisibleAsync();

        EvidenceLine line = bench.Store.Evidence(id).Last(each => each.Kind == "picture");
        Assert.Equal("host", JsonDocument.Parse(line.PayloadJson).RootElement.GetProperty("board").GetString());
        byte[] kept = bench.Store.FindFile(line.FileSha256!)!.Bytes;
        Assert.DoesNotContain("N 48 12 30", Encoding.Latin1.GetString(kept), StringComparison.Ordinal);
        using SKBitmap bitmap = SKBitmap.Decode(kept);
        Assert.Equal((480, 640), (bitmap.Width, bitmap.Height));
        // The red mark is at the upper left of the stored rows; turned right as the camera asked, it is at the upper right.
        Assert.True(bitmap.GetPixel(440, 40) is { Red: > 180, Green: < 90 }, $"{bitmap.GetPixel(440, 40)}");

        await screen.Page.ReloadAsync();
        await screen.Ready();
        await Assertions.Expect(screen.Page.Locator("svg image")).ToHaveAttributeAsync("href", BoardScreen.KeptPhoto);
    }

    [Theory]
    [MemberData(nameof(TestPhotos.Hostile), MemberType = typeof(TestPhotos))]
    public async Task A_file_that_is_no_sound_picture_is_refused_with_the_reason(string what, string expected)
    {
        string id = bench.NewJob();
        await using BoardScreen screen = await bench.Open(id);
        await screen.Button("Photo…").ClickAsync();
        ILocator file = screen.Page.GetByLabel("Photo of the top side, cut to the board's edges (JPEG, PNG or WebP)");
        // From the disk, as a person does it: a large file need not go through the browser's wire.
        string folder = Directory.CreateTempSubdirectory("graftbench-photo-").FullName;
        try
        {
            string photo = Path.Combine(folder, "board.jpg");
            await File.WriteAllBytesAsync(photo, TestPhotos.Bytes(what), TestContext.Current.CancellationToken);
            await file.SetInputFilesAsync(photo);
            await screen.Button("Attach this photo").First.ClickAsync();
            await Assertions.Expect(screen.Page.GetByText(expected)).ToBeVisibleAsync();
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
        Assert.DoesNotContain(bench.Store.Evidence(id), line => line.Kind == "picture");
        Assert.Equal("ok", await (await screen.Page.APIRequest.GetAsync(bench.Address + "/health")).TextAsync());
    }

    [Fact]
    public async Task Without_JavaScript_the_board_is_seen_and_the_way_to_the_table_is_shown()
    {
        string id = bench.NewJob();
        await using IBrowserContext context = await bench.Browser.NewContextAsync(new() { JavaScriptEnabled = false });
        IPage page = await context.NewPageAsync();
        await page.GotoAsync($"{bench.Address}/jobs/{id}/board/host");
        await Assertions.Expect(page.Locator("gb-board-map svg")).ToBeVisibleAsync();
        await Assertions
            .Expect(page.GetByRole(AriaRole.Link, new() { Name = "enter the parts as a table" }))
            .ToBeVisibleAsync();

        await page.Locator("summary").Filter(new() { HasText = "Send a photo of the board by file" }).ClickAsync();
        byte[] text = Encoding.UTF8.GetBytes("not a picture");
        await page.Locator("#board-photo")
            .SetInputFilesAsync(
                new FilePayload
                {
                    Name = "a.jpg",
                    MimeType = "image/jpeg",
                    Buffer = text,
                }
            );
        await page.GetByRole(AriaRole.Button, new() { Name = "Attach this photo" }).ClickAsync();
        await Assertions
            .Expect(page.GetByRole(AriaRole.Alert))
            .ToContainTextAsync("This file is no JPEG, PNG or WebP picture.");
    }
}
