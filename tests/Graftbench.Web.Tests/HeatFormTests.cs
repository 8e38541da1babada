using System.Net;
using Graftbench.Core.Jobs;
using Graftbench.Store;

namespace Graftbench.Web.Tests;

/// <summary>The heaters, copper and chip layers in the forms.</summary>
public class HeatFormTests : IAsyncLifetime
{
    private const string Desk = "mixing-desk-signal-processor";
    private BenchHost host = null!;
    private BenchClient client = null!;

    public async ValueTask InitializeAsync()
    {
        host = await BenchHost.Start(demo: true);
        client = host.Client();
    }

    public async ValueTask DisposeAsync()
    {
        client.Dispose();
        await host.DisposeAsync();
        GC.SuppressFinalize(this);
    }

    [Fact]
    public async Task Heaters_are_changed_and_nozzles_added_without_a_script()
    {
        string page = $"/jobs/{Desk}/edit/heaters";
        HtmlForm form = await client.Form(page, page);
        Answer grown = await client.Post(form.With("do", "add:bench.heat.gas.nozzles"));
        Assert.Equal(HttpStatusCode.OK, grown.Status);
        HtmlForm longer = HtmlForm
            .Of(grown.Html, page)
            .With("bench.heat.gas.nozzles[3].name", "45 square")
            .With("bench.heat.gas.nozzles[3].lengthMm", "45,5")
            .With("bench.heat.gas.maxC", "430")
            .With("bench.heat.preheater.zones[0].sharePercent", "")
            .With("do", "save");
        Answer saved = await client.Post(longer);
        Assert.Equal(HttpStatusCode.Redirect, saved.Status);

        HeatTools heat = host.Store.FindJob(Desk)!.Job.Bench.Heat;
        Assert.Equal(["20 square", "30 square", "14 round", "45 square"], heat.Gas.Nozzles.Select(each => each.Name));
        Assert.Equal(
            (45.5, null, false),
            (heat.Gas.Nozzles[3].LengthMm, heat.Gas.Nozzles[3].WidthMm, heat.Gas.Nozzles[3].Round)
        );
        Assert.Equal(430, heat.Gas.MaxC);
        Assert.Equal([100, 100, 80], heat.Preheater.Zones.Select(zone => zone.SharePercent));
        Assert.Equal((HeatControl.Stages, 6), (heat.Control, heat.MaxStages));
    }

    [Fact]
    public async Task What_contradicts_itself_is_said_beside_its_field()
    {
        string page = $"/jobs/{Desk}/edit/heaters";
        HtmlForm form = (await client.Form(page, page))
            .With("bench.heat.maxStages", "")
            .With("bench.heat.gas.minC", "300")
            .With("bench.heat.gas.maxC", "200")
            .With("bench.heat.gas.nozzles[1].name", "20 square")
            .With("do", "save");
        Answer answer = await client.Post(form);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        foreach (
            string id in (string[])["f-bench-heat-control", "f-bench-heat-gas-minC", "f-bench-heat-gas-nozzles-1--name"]
        )
        {
            Assert.Contains($"id=\"{id}-problem\"", answer.Html, StringComparison.Ordinal);
        }
        Assert.Contains("Nozzle 2: Name", answer.Html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Copper_regions_shields_and_layers_are_typed_in_their_forms()
    {
        string page = $"/jobs/{Desk}/edit/host";
        HtmlForm board = await client.Form(page, page);
        Answer grown = await client.Post(board.With("do", "add:host.copperRegions"));
        HtmlForm region = HtmlForm
            .Of(grown.Html, page)
            .With("host.copperRegions[2].amount", "rich")
            .With("host.copperRegions[2].xMm", "100")
            .With("host.copperRegions[2].yMm", "20")
            .With("host.copperRegions[2].lengthMm", "30")
            .With("host.copperRegions[2].widthMm", "10")
            .With("host.support", "frame")
            .With("do", "save");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(region)).Status);
        string parts = $"/jobs/{Desk}/edit/host-parts";
        HtmlForm shielded = (await client.Form(parts, parts))
            .With("host.parts[0].shield", "cover")
            .With("host.parts[0].staySolid", "no")
            .With("do", "save");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(shielded)).Status);
        string chips = $"/jobs/{Desk}/edit/chips";
        HtmlForm layered = (await client.Form(chips, chips))
            .With("chips[0].top", "lid")
            .With("chips[0].hostXMm", "140")
            .With("chips[0].hostYMm", "70.5")
            .With("do", "save");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(layered)).Status);
        string wishes = $"/jobs/{Desk}/edit/machine";
        HtmlForm wished = (await client.Form(wishes, wishes)).With("wishes.heat.moltenS", "55").With("do", "save");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(wished)).Status);

        Job job = host.Store.FindJob(Desk)!.Job;
        Assert.Equal((CopperAmount.Rich, 100), (job.Host.CopperRegions[2].Amount, job.Host.CopperRegions[2].XMm));
        Assert.Equal(BoardSupport.Frame, job.Host.Support);
        Assert.Equal((HeatShield.Cover, YesNo.No), (job.Host.Parts[0].Shield, job.Host.Parts[0].StaySolid));
        Assert.Equal((BodyTop.Lid, 70.5), (job.Chips[0].Top, job.Chips[0].HostYMm));
        Assert.Equal(55, job.Wishes.Heat.MoltenS);
    }

    [Fact]
    public async Task A_new_job_offers_the_benches_that_were_described_before_and_takes_the_chosen_one()
    {
        string page = await client.Get("/jobs/new");
        foreach (string bench in (string[])["Bench 1: knobs", "Bench 2: ramps", "Bench 3: stages"])
        {
            Assert.Contains(bench, page, StringComparison.Ordinal);
        }
        Answer answer = await client.Post(NewJob(HtmlForm.Of(page, "/jobs/new")).With("x.bench", Desk));
        Assert.Equal(HttpStatusCode.Redirect, answer.Status);
        Job job = host.Store.FindJob("amplifier")!.Job;
        Job desk = host.Store.FindJob(Desk)!.Job;
        Assert.Equal("Bench 3", job.Bench.Name);
        Assert.Equal(desk.Bench.Heat.Gas.Nozzles, job.Bench.Heat.Gas.Nozzles);
        // The field was centred on the desk's board at 140, 70; the new board of 100 x 60 mm has its middle at 50, 30.
        Assert.Equal([-130, -10, 110], job.Bench.Heat.Preheater.Zones.Select(zone => zone.XMm));
        Assert.All(job.Bench.Heat.Preheater.Zones, zone => Assert.Equal(-90, zone.YMm));
    }

    [Fact]
    public async Task The_drawing_page_says_where_a_chip_from_the_other_board_goes()
    {
        const string Arcade = "arcade-graphics-chip";
        string page = $"/jobs/{Arcade}/board/host";
        Assert.Contains("Its centre goes to 150, 120 mm.", await client.Get(page), StringComparison.Ordinal);
        StoredJob stored = host.Store.FindJob(Arcade)!;
        Job alone = stored.Job with { Chips = [stored.Job.Chips[0]] };
        host.Store.SaveJob(alone, stored.Revision, "test");
        Assert.Contains("Where it goes on this board is not known", await client.Get(page), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Another_bench_starts_without_heaters()
    {
        HtmlForm form = NewJob(await client.Form("/jobs/new", "/jobs/new")).With("x.bench", "");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(form)).Status);
        Assert.False(HeaterPlaces.AreDescribed(host.Store.FindJob("amplifier")!.Job.Bench.Heat));
    }

    [Fact]
    public async Task The_first_bench_is_described_in_the_first_job()
    {
        await using BenchHost empty = await BenchHost.Start();
        using BenchClient first = empty.Client();
        HtmlForm form = NewJob(await first.Form("/jobs/new", "/jobs/new"))
            .With("bench.heat.gas.maxC", "450")
            .With("bench.heat.gas.nozzles[0].lengthMm", "25")
            .With("bench.heat.preheater.kind", "plate");
        Answer saved = await first.Post(form);
        Assert.Equal(HttpStatusCode.Redirect, saved.Status);
        Bench bench = empty.Store.FindJob("amplifier")!.Job.Bench;
        Assert.Equal("25 mm square", Assert.Single(bench.Heat.Gas.Nozzles).Name);
        Assert.Equal(PreheaterKind.Plate, bench.Heat.Preheater.Kind);
    }

    [Fact]
    public async Task A_first_job_without_heaters_stores_none()
    {
        await using BenchHost empty = await BenchHost.Start();
        using BenchClient first = empty.Client();
        Answer saved = await first.Post(NewJob(await first.Form("/jobs/new", "/jobs/new")));
        Assert.Equal(HttpStatusCode.Redirect, saved.Status);
        HeatTools heat = empty.Store.FindJob("amplifier")!.Job.Bench.Heat;
        Assert.Empty(heat.Gas.Nozzles);
        Assert.False(HeaterPlaces.AreDescribed(heat));
    }

    private static HtmlForm NewJob(HtmlForm form) =>
        form.With("title", "Amplifier")
            .With("x.origin", "shelf")
            .With("host.lengthMm", "100")
            .With("host.widthMm", "60")
            .With("host.thicknessMm", "1.6")
            .With("chips[0].bodyLengthMm", "17")
            .With("chips[0].bodyWidthMm", "17")
            .With("chips[0].bodyThicknessMm", "1.4")
            .With("do", "save");
}
