using System.Net;
using Graftbench.Core.Jobs;
using Graftbench.Store;

namespace Graftbench.Web.Tests;

/// <summary>A job that is typed in from the first page to the last: nothing is asked twice, nothing is lost, every message is in words.</summary>
public sealed class TypedJobTests : IAsyncLifetime
{
    private const string Job = "/jobs/loose-chip";
    private BenchHost host = null!;
    private BenchClient client = null!;

    public async ValueTask InitializeAsync()
    {
        host = await BenchHost.Start();
        client = host.Client();
    }

    public async ValueTask DisposeAsync()
    {
        client.Dispose();
        await host.DisposeAsync();
    }

    [Fact]
    public async Task A_chip_that_is_placed_leaves_its_bag_and_heats_its_board_in_one_entry()
    {
        await Take();
        await Put("history", "history.exposures", 0, ("of", "U1"), ("place", "dry-bag"), ("from", "2026-01-05T08:00"));
        await Put(
            "history",
            "history.exposures",
            1,
            ("of", "host"),
            ("place", "dry-cabinet"),
            ("from", "2026-01-05T08:00")
        );
        HtmlForm heat = await client.Form(Job + "/add/heat", Job + "/add/heat");
        Assert.Equal("true", heat["x.both"]);
        Answer saved = await client.Post(
            heat.With("history.heats[0].of", "U1")
                .With("history.heats[0].kind", "place")
                .With("history.heats[0].at", "2026-01-06T10:00")
                .With("history.heats[0].peakC", "241")
        );
        Assert.True(saved.Status == HttpStatusCode.Redirect, saved.Html);
        History history = Stored().History;
        Assert.Equal(["U1", "host"], history.Heats.Select(one => one.Of));
        Assert.Equal([241.0, 241.0], history.Heats.Select(one => one.PeakC!.Value));
        Assert.Equal(history.Heats[0].At, history.Exposures[0].To);
        Assert.Null(history.Exposures[1].To);

        // The board's own line, from who writes both down, comes as the only one.
        Answer again = await client.Post(
            (await client.Form(Job + "/add/heat", Job + "/add/heat"))
                .With("history.heats[2].of", "U1-old")
                .With("history.heats[2].kind", "clean")
        );
        Assert.Equal(HttpStatusCode.Redirect, again.Status);
        Assert.Equal(3, Stored().History.Heats.Count);
    }

    [Fact]
    public async Task A_heat_is_written_for_one_alone_where_the_tick_is_taken_out()
    {
        await Take();
        HtmlForm heat = await client.Form(Job + "/add/heat", Job + "/add/heat");
        heat.Fields.RemoveAll(field => field.Key == "x.both");
        await client.Post(heat.With("history.heats[0].of", "U1-old").With("history.heats[0].kind", "lift"));
        Assert.Equal(["U1-old"], Stored().History.Heats.Select(one => one.Of));
    }

    [Fact]
    public async Task The_heats_stand_in_the_order_of_the_work_and_the_next_one_is_named()
    {
        await Take();
        string html = await client.Get(Job);
        Assert.Contains("Lift the chip: U1-old</a>, next", html, StringComparison.Ordinal);
        Assert.Contains("/heat/lift/watch?chip=U1-old", html, StringComparison.Ordinal);
        HtmlForm heat = await client.Form(Job + "/add/heat", Job + "/add/heat");
        await client.Post(heat.With("history.heats[0].of", "host").With("history.heats[0].kind", "lift"));
        html = await client.Get(Job);
        Assert.Contains("Lift the chip: U1-old</a>, done", html, StringComparison.Ordinal);
        Assert.Contains("Solder the chip on: U1</a>, next", html, StringComparison.Ordinal);
        string undo = await client.Get(Job + "/undo");
        Assert.Contains("Heat 1: kind", undo, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Where_the_new_chip_is_placed_the_old_one_is_taken_to_be_off()
    {
        await Take();
        HtmlForm heat = await client.Form(Job + "/add/heat", Job + "/add/heat");
        await client.Post(heat.With("history.heats[0].of", "U1").With("history.heats[0].kind", "place"));
        string html = await client.Get(Job);
        Assert.Contains("Lift the chip: U1-old</a>, done", html, StringComparison.Ordinal);
        Assert.DoesNotContain("</a>, next", html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_a_form_refuses_is_said_without_the_words_of_the_document()
    {
        await Take();
        HtmlForm chips = await client.Form(Job + "/edit/chips", Job + "/edit/chips");
        Answer refused = await client.Post(
            chips
                .With("chips[0].id", "")
                .With("chips[0].bodyLengthMm", "")
                .With("chips[0].bodyWidthMm", "wide")
                .With("do", "save")
        );
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.Status);
        Assert.Contains("Nothing is entered here, and it is needed.", refused.Html, StringComparison.Ordinal);
        Assert.Contains("Nothing is entered here, and it is needed: a number", refused.Html, StringComparison.Ordinal);
        Assert.DoesNotContain("quotes", refused.Html, StringComparison.Ordinal);

        await Put("history", "history.exposures", 0, ("of", "U1"), ("place", "dry-bag"), ("from", "2026-01-05T08:00"));
        HtmlForm twice = HtmlForm
            .Of(
                (
                    await client.Post(
                        (await client.Form(Job + "/edit/history", Job + "/edit/history")).With(
                            "do",
                            "add:history.exposures"
                        )
                    )
                ).Html,
                Job + "/edit/history"
            )
            .With("history.exposures[1].of", "U1")
            .With("history.exposures[1].place", "room")
            .With("history.exposures[1].from", "2026-01-06T08:00")
            .With("do", "save");
        Answer overlap = await client.Post(twice);
        Assert.Contains("stay 1 has no end", overlap.Html, StringComparison.Ordinal);
        Assert.DoesNotContain("overlaps history.exposures", overlap.Html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_nozzle_without_a_name_is_called_by_its_size()
    {
        await Take();
        await Put("heaters", "bench.heat.gas.nozzles", 0, ("lengthMm", "30"), ("widthMm", "30"));
        await Put("heaters", "bench.heat.gas.nozzles", 1, ("lengthMm", "20"), ("widthMm", "14,5"));
        Assert.Equal(["30 mm square", "20 × 14.5 mm"], Stored().Bench.Heat.Gas.Nozzles.Select(one => one.Name));
    }

    [Fact]
    public async Task A_donor_that_is_the_same_board_takes_the_host_s_parts_over()
    {
        await Take(donor: true);
        HtmlForm parts = await client.Form(Job + "/edit/host-parts", Job + "/edit/host-parts");
        await client.Post(
            parts
                .With("host.parts[0].ref", "C1")
                .With("host.parts[0].xMm", "20")
                .With("host.parts[0].yMm", "90")
                .With("host.parts[0].bakeLimitC", "105")
                .With("host.parts[0].takenOff", "true")
                .With("do", "save")
        );
        string page = Job + "/edit/donor-parts";
        Answer taken = await client.Post((await client.Form(page, page)).With("do", "copy:host.parts"));
        Assert.Equal(HttpStatusCode.OK, taken.Status);
        Assert.Empty(Stored().Donor!.Parts);
        Assert.Equal(
            HttpStatusCode.Redirect,
            (await client.Post(HtmlForm.Of(taken.Html, page).With("do", "save"))).Status
        );
        Part part = Assert.Single(Stored().Donor!.Parts);
        Assert.Equal(("C1", 20.0, 105.0), (part.Ref, part.XMm, part.BakeLimitC));
        // Off the host is not off the donor.
        Assert.True(Stored().Host.Parts[0].TakenOff);
        Assert.False(part.TakenOff);
    }

    [Fact]
    public async Task Where_it_has_been_is_proposed_and_ends_the_stay_that_went_on()
    {
        await Take();
        string page = Job + "/add/exposure?of=host";
        string form = Job + "/add/exposure";
        HtmlForm first = await client.Form(page, form);
        Assert.Equal("room", first["history.exposures[0].place"]);
        await client.Post(first.With("history.exposures[0].from", "2026-01-02T08:00"));
        HtmlForm second = await client.Form(page, form);
        Answer saved = await client.Post(
            second
                .With("history.exposures[1].place", "dry-cabinet")
                .With("history.exposures[1].from", "2026-01-03T08:00")
        );

        Assert.Equal(HttpStatusCode.Redirect, saved.Status);
        Exposure[] stays = [.. Stored().History.Exposures];
        Assert.Equal(2, stays.Length);
        Assert.Equal(stays[1].From, stays[0].To);
        Assert.Null(stays[1].To);
    }

    [Fact]
    public async Task An_amount_that_was_tried_stands_in_the_form_and_is_not_saved_yet()
    {
        await Take();
        HtmlForm seat = await client.Form(Job + "/edit/seat?chip=U1&dome=0.085&spread=10&row=3", Job + "/edit/seat");
        Assert.Equal(("0.085", "10"), (seat["chips[0].seat.domeHeightMm"], seat["chips[0].seat.domeSpreadPercent"]));
        Assert.Null(Stored().Chips[0].Seat);
        await client.Post(seat.With("do", "save"));
        Assert.Equal(0.085, Stored().Chips[0].Seat!.DomeHeightMm);
    }

    [Fact]
    public async Task What_a_shop_tells_every_owner_is_typed_once()
    {
        await Take();
        HtmlForm first = await client.Form(Job + "/edit/handover", Job + "/edit/handover");
        Assert.Equal("", first["handover.reportTo"]);
        await client.Post(
            first
                .With("handover.whatWasDone", "Another chip.")
                .With("handover.reportTo", "Mill Lane 3")
                .With("handover.warrantyDays", "60")
                .With("do", "save")
        );
        await Take("Second job");
        HtmlForm second = await client.Form("/jobs/second-job/edit/handover", "/jobs/second-job/edit/handover");
        Assert.Equal(
            ("Mill Lane 3", "60", ""),
            (second["handover.reportTo"], second["handover.warrantyDays"], second["handover.whatWasDone"])
        );
    }

    [Fact]
    public async Task The_class_of_a_chip_is_chosen_by_its_title()
    {
        await Take();
        Assert.Contains(">Plastic, 17 ", await client.Get(Job + "/edit/chips"), StringComparison.Ordinal);
    }

    private Job Stored() => host.Store.FindJob("loose-chip")!.Job;

    private async Task Take(string title = "Loose chip", bool donor = false)
    {
        HtmlForm form = (await client.Form("/jobs/new", "/jobs/new"))
            .With("title", title)
            .With("host.lengthMm", "150")
            .With("host.widthMm", "110")
            .With("x.origin", donor ? "donor" : "shelf")
            .With("x.count.aluminium-electrolytic", "1")
            .With("chips[0].bodyLengthMm", "17")
            .With("chips[0].bodyWidthMm", "17")
            .With("chips[0].bodyThicknessMm", "1.4")
            .With("chips[0].pitchMm", "1")
            .With("donor.lengthMm", donor ? "150" : "")
            .With("donor.widthMm", donor ? "110" : "")
            .With("donor.thicknessMm", donor ? "1.6" : "")
            .With("do", "save");
        Answer taken = await client.Post(form);
        Assert.True(taken.Status == HttpStatusCode.Redirect, taken.Html);
    }

    private async Task Put(string section, string list, int index, params (string Field, string Text)[] fields)
    {
        string page = $"{Job}/edit/{section}";
        HtmlForm form = HtmlForm.Of(
            (await client.Post((await client.Form(page, page)).With("do", "add:" + list))).Html,
            page
        );
        foreach ((string field, string text) in fields)
        {
            form = form.With($"{list}[{index}].{field}", text);
        }
        Answer saved = await client.Post(form.With("do", "save"));
        Assert.True(saved.Status == HttpStatusCode.Redirect, saved.Html);
    }
}
