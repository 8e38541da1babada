using Graftbench.Core.Jobs;
using Microsoft.Playwright;

namespace Graftbench.Web.E2E;

/// <summary>Copper regions are drawn on the picture; heater, nozzle and shields are shown on it.</summary>
public sealed class BoardCopperTests(BoardBench bench) : IClassFixture<BoardBench>
{
    [Fact]
    public async Task A_region_is_drawn_with_one_stroke_and_stored_by_its_edges()
    {
        string id = bench.NewJob();
        await using BoardScreen screen = await bench.Open(id);

        await screen.PickKind("more copper");
        await screen.Drag(10, 12, 65.5, 30);
        await screen.Says("more copper 55.5 × 18 placed at 38, 21 mm, 55.5 by 18 mm.");
        await Assertions.Expect(screen.Field("Left edge [mm]")).ToHaveValueAsync("10");
        await Assertions.Expect(screen.Field("Lower edge [mm]")).ToHaveValueAsync("12");
        await screen.Field("Left edge [mm]").FillAsync("8.25");
        await screen.Field("Left edge [mm]").PressAsync("Tab");
        await screen.Page.GetByText("Thickness", new() { Exact = true }).Last.ClickAsync();
        await screen.Field("Copper thickness [mm]").FillAsync("0.14");
        await screen.Field("Copper thickness [mm]").PressAsync("Tab");
        await screen.CheckAccessibility("copper region chosen");
        await screen.Save();

        CopperRegion region = Assert.Single(bench.Store.FindJob(id)!.Job.Host.CopperRegions);
        Assert.Equal(
            new CopperRegion
            {
                Amount = CopperAmount.Rich,
                XMm = 8.25,
                YMm = 12,
                LengthMm = 55.5,
                WidthMm = 18,
                CopperThicknessMm = 0.14,
            },
            region
        );
    }

    [Fact]
    public async Task A_region_is_drawn_sized_turned_and_deleted_by_keys()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        await screen.Button("Place…").FocusAsync();
        await screen.Page.Keyboard.PressAsync("Enter");
        // The palette begins with copper: more, then less.
        await screen.Page.Keyboard.PressAsync("Tab");
        await screen.Page.Keyboard.PressAsync("Enter");
        await screen.Canvas.PressAsync("Enter");
        Assert.Equal(CopperAmount.Poor, Assert.Single((await screen.Drawn()).CopperRegions).Amount);

        await screen.Canvas.PressAsync("Alt+Shift+ArrowRight");
        await screen.Canvas.PressAsync("Shift+ArrowUp");
        CopperRegion region = Assert.Single((await screen.Drawn()).CopperRegions);
        Assert.Equal((31, 20), (region.LengthMm, region.WidthMm));
        await screen.Canvas.PressAsync("r");
        CopperRegion turned = Assert.Single((await screen.Drawn()).CopperRegions);
        Assert.Equal((20, 31), (turned.LengthMm, turned.WidthMm));
        Assert.Equal(region.XMm + 5.5, turned.XMm, 6);
        await screen.Canvas.PressAsync("Delete");
        Assert.Empty((await screen.Drawn()).CopperRegions);
        await screen.Canvas.PressAsync("Control+z");
        Assert.Single((await screen.Drawn()).CopperRegions);
    }

    [Fact]
    public async Task A_finger_draws_a_region_chooses_it_and_moves_it()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob(), new() { HasTouch = true });
        ICDPSession touch = await screen.Page.Context.NewCDPSessionAsync(screen.Page);
        await screen.PickKind("less copper");
        await screen.TouchDrag(touch, 120, 10, 170, 40);
        await screen.TouchDrag(touch, 145, 25, 135, 30);
        CopperRegion region = Assert.Single((await screen.Drawn()).CopperRegions);
        Assert.Equal((110, 15, 50, 30), (region.XMm, region.YMm, region.LengthMm, region.WidthMm));
    }

    [Fact]
    public async Task What_sits_on_a_region_is_taken_before_it_and_a_stroke_over_it_only_pans()
    {
        CopperRegion all = new()
        {
            Amount = CopperAmount.Rich,
            XMm = 0,
            YMm = 0,
            LengthMm = 180,
            WidthMm = 120,
        };
        string id = bench.NewJob(job => job with { Host = job.Host with { CopperRegions = [all] } });
        await using BoardScreen screen = await bench.Open(id);

        await screen.Drag(30, 20, 50, 20);
        Assert.Equal(all, Assert.Single((await screen.Drawn()).CopperRegions));
        await screen.Drag(30, 90, 40, 90);
        Assert.Equal((40, 90), await screen.PlaceOf("C12"));
        await screen.Choose("more copper 180 × 120");
        await screen.Drag(40, 90, 45, 90);
        Assert.Equal((45, 90), await screen.PlaceOf("C12"));
        Assert.Equal(all, Assert.Single((await screen.Drawn()).CopperRegions));
        // Copper is no body: nothing overlaps with it.
        await Assertions.Expect(screen.Remarks).ToBeHiddenAsync();
    }

    [Fact]
    public async Task A_region_over_the_edge_is_remarked_refused_and_led_back_to()
    {
        await using BoardScreen screen = await bench.Open(bench.NewJob());
        await screen.PickKind("more copper");
        await screen.Drag(150, 20, 190, 40);
        await Assertions.Expect(screen.Remarks).ToContainTextAsync("reaches over the edge of the board");
        await screen.SubmitButton.ClickAsync();
        ILocator problem = screen.Page.Locator("[data-board-object='region:0']");
        await Assertions.Expect(problem).ToContainTextAsync("Copper region 1");
        await screen.Ready();
        await problem.ClickAsync();
        await Assertions.Expect(screen.Field("Left edge [mm]")).ToBeFocusedAsync();
    }

    [Fact]
    public async Task Heater_zones_nozzle_and_shields_are_shown()
    {
        string id = bench.NewJob(job =>
            job with
            {
                Host = job.Host with
                {
                    Parts = [job.Host.Parts[0] with { Shield = HeatShield.Foil }, job.Host.Parts[1]],
                },
                Bench = new Bench
                {
                    Heat = new HeatTools
                    {
                        Gas = new GasTool
                        {
                            Nozzles =
                            [
                                new Nozzle
                                {
                                    Name = "40 by 30",
                                    LengthMm = 40,
                                    WidthMm = 30,
                                },
                                new Nozzle
                                {
                                    Name = "20 round",
                                    LengthMm = 20,
                                    Round = true,
                                },
                            ],
                        },
                        Preheater = new BottomHeater
                        {
                            LengthMm = 160,
                            WidthMm = 100,
                            Zones =
                            [
                                new HeaterZone
                                {
                                    Name = "left",
                                    XMm = 10,
                                    YMm = 10,
                                    LengthMm = 80,
                                    WidthMm = 100,
                                },
                            ],
                        },
                    },
                },
            }
        );
        await using BoardScreen screen = await bench.Open(id);
        // Without a centre the board lies in the middle of the field.
        Near([10, 10, 170, 110], await screen.EdgesMm(screen.Page.Locator(".bm-field-below")));
        Near([10, 10, 90, 110], await screen.EdgesMm(screen.Page.Locator(".bm-zone")));
        await screen.Page.GetByLabel("Nozzle shown over the chip").SelectOptionAsync("40 by 30");
        Near([70, 45, 110, 75], await screen.EdgesMm(screen.Page.Locator(".bm-nozzle")));
        await screen.Page.GetByLabel("Nozzle shown over the chip").SelectOptionAsync("20 round");
        Near([80, 50, 100, 70], await screen.EdgesMm(screen.Page.Locator(".bm-nozzle")));
        await Assertions.Expect(screen.Page.Locator("[data-name=C12] .bm-shield")).ToHaveCountAsync(1);
        await Assertions.Expect(screen.Page.Locator("[data-name=U7] .bm-shield")).ToHaveCountAsync(0);
        Assert.Contains("Saved", await screen.State.InnerTextAsync(), StringComparison.Ordinal);
    }

    private static void Near(double[] expectedMm, double[] foundMm)
    {
        for (int i = 0; i < expectedMm.Length; i++)
        {
            Assert.Equal(expectedMm[i], foundMm[i], 0.5);
        }
    }
}
