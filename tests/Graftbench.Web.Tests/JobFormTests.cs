using System.Net;
using System.Text.RegularExpressions;
using Graftbench.Core.Jobs;
using Graftbench.Store;

namespace Graftbench.Web.Tests;

public class JobFormTests : IAsyncLifetime
{
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
        GC.SuppressFinalize(this);
    }

    [Fact]
    public async Task Job_is_typed_on_one_page_with_decimal_commas()
    {
        Answer answer = await client.Post(await Filled());
        Assert.Equal(HttpStatusCode.Redirect, answer.Status);
        Assert.Equal("/jobs/synthesiser-voice-chip", answer.Location);

        Job job = host.Store.FindJob("synthesiser-voice-chip")!.Job;
        Assert.Equal(160.5, job.Host.LengthMm);
        Assert.Equal(1.75, job.Chips[0].BodyThicknessMm);
        Assert.Equal((ChipPlace.Donor, ChipPlace.Host), (job.Chips[0].From, job.Chips[0].To));
        Assert.Equal((ChipPlace.Host, ChipPlace.Scrap), (job.Chips[1].From, job.Chips[1].To));
        Assert.Equal(["cell 1", "electrolytic 1", "electrolytic 2"], job.Host.Parts.Select(part => part.Ref));
        Assert.Empty(job.History.Exposures);
        Assert.Contains(
            "Synthesiser: voice chip",
            await client.Get("/jobs/synthesiser-voice-chip"),
            StringComparison.Ordinal
        );
        Assert.Contains("Synthesiser: voice chip", await client.Get("/"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Loose_chip_needs_no_donor_board()
    {
        HtmlForm form = (await Filled())
            .With("x.origin", "shelf")
            .With("donor.lengthMm", "")
            .With("donor.widthMm", "")
            .With("donor.thicknessMm", "");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(form)).Status);
        Job job = host.Store.FindJob("synthesiser-voice-chip")!.Job;
        Assert.Null(job.Donor);
        Assert.Equal(ChipPlace.Shelf, job.Chips[0].From);
    }

    [Fact]
    public async Task The_old_chip_sits_where_the_new_one_goes_and_a_number_may_have_an_exponent()
    {
        HtmlForm form = (await Filled())
            .With("chips[0].hostXMm", "4.5e1")
            .With("chips[0].hostYMm", "30")
            .With("chips[0].xMm", "70")
            .With("chips[0].yMm", "20");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(form)).Status);
        Job job = host.Store.FindJob("synthesiser-voice-chip")!.Job;
        Chip placed = job.Chips[0];
        Chip old = job.Chips[1];
        Assert.Equal((45d, 30d, 70d, 20d), (placed.HostXMm, placed.HostYMm, placed.XMm, placed.YMm));
        Assert.Equal((45d, 30d, null, null), (old.XMm, old.YMm, old.HostXMm, old.HostYMm));
    }

    [Fact]
    public async Task A_number_beyond_reason_is_called_out_of_range_and_not_text()
    {
        Answer answer = await client.Post((await Filled()).With("host.lengthMm", "1e300"));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        Assert.DoesNotContain("Text does not belong", answer.Html, StringComparison.Ordinal);
        Assert.Contains("1e300", answer.Html, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task Every_problem_is_shown_beside_its_field_and_nothing_typed_is_lost()
    {
        HtmlForm form = (await Filled())
            .With("host.lengthMm", "-4")
            .With("chips[0].ballDiameterMm", "0.76 m")
            .With("dryer.setC", "900")
            .With("x.count.coin-cell", "many")
            .With("machine.symptom", "dead <after> \"rain\"");
        Answer answer = await client.Post(form);

        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        foreach (
            string path in (string[])
                ["f-host-lengthMm", "f-chips-0--ballDiameterMm", "f-dryer-setC", "f-x-count-coin-cell"]
        )
        {
            Assert.Contains($"href=\"#{path}\"", answer.Html, StringComparison.Ordinal);
            Assert.Contains($"id=\"{path}-problem\"", answer.Html, StringComparison.Ordinal);
        }
        HtmlForm shown = HtmlForm.Of(answer.Html, "/jobs/new");
        foreach (
            (string name, string value) in form.Fields.Where(field =>
                field.Key is not ("__RequestVerificationToken" or "do")
            )
        )
        {
            Assert.Contains(KeyValuePair.Create(name, value), shown.Fields);
        }
        Assert.Empty(host.Store.Jobs());
    }

    [Fact]
    public async Task Problems_are_named_as_on_the_form_each_once_and_in_its_order()
    {
        HtmlForm form = (await Filled())
            .With("dryer.setC", "900")
            .With("x.count.coin-cell", "many")
            .With("chips[0].pitchMm", "77")
            .With("chips[0].id", "")
            .With("host.lengthMm", "-4")
            .With("machine.owner", new string('x', 5000));
        Answer answer = await client.Post(form);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        string summary = Between(answer.Html, "class=\"summary\"", "</section>");
        Assert.Contains("6 entries need another look", summary, StringComparison.Ordinal);
        Assert.Equal(
            [
                "Owner",
                "Host board: Length",
                "Host board: Coin cells",
                "Chip 1: Pitch",
                "Chip 1: Reference",
                "Dryer holds",
            ],
            Regex
                .Matches(
                    summary,
                    "<a href=\"#[^\"]*\">(?<label>[^<]*)</a>",
                    RegexOptions.ExplicitCapture,
                    TimeSpan.FromSeconds(1)
                )
                .Select(match => match.Groups["label"].Value)
        );
        Assert.Equal(new string('x', 5000), HtmlForm.Of(answer.Html, "/jobs/new")["machine.owner"]);
    }

    [Fact]
    public async Task Class_of_the_package_library_fills_the_sizes_without_a_script()
    {
        Core.Facts.PackageClass chosen = Core.Facts.PackageLibrary.Classes[^1];
        HtmlForm form = (await client.Form("/jobs/new", "/jobs/new"))
            .With("title", "kept")
            .With("chips[0].packageClass", chosen.Id)
            .With("do", "take:package-class");
        Answer answer = await client.Post(form);
        Assert.Equal(HttpStatusCode.OK, answer.Status);
        HtmlForm shown = HtmlForm.Of(answer.Html, "/jobs/new");
        Assert.Equal("kept", shown["title"]);
        Assert.Equal(chosen.BodyLengthMm, double.Parse(shown["chips[0].bodyLengthMm"]!));
        Assert.Equal(chosen.BallCount, int.Parse(shown["chips[0].ballCount"]!));
    }

    [Theory, InlineData("true", 3), InlineData("false", 0)]
    public async Task Same_board_as_the_host_brings_its_parts_where_wanted(string parts, int expected)
    {
        HtmlForm form = (await Filled()).With("x.donor-parts", parts).With("do", "take:host-size");
        HtmlForm shown = HtmlForm.Of((await client.Post(form)).Html, "/jobs/new");
        Assert.Equal("160,5", shown["donor.lengthMm"]);
        await client.Post(shown.With("do", "save"));
        Board donor = host.Store.FindJob("synthesiser-voice-chip")!.Job.Donor!;
        Assert.Equal(expected, donor.Parts.Count);
        Assert.Equal(expected > 0 ? 1 : 0, donor.Parts.Count(part => part.Kind == PartKind.CoinCell));
    }

    [Fact]
    public async Task Two_jobs_of_one_title_get_ids_of_their_own()
    {
        await client.Post(await Filled());
        Answer second = await client.Post(await Filled());
        Assert.Equal("/jobs/synthesiser-voice-chip-2", second.Location);
    }

    [Fact]
    public async Task Form_posted_back_unchanged_changes_nothing()
    {
        await client.Post(await Filled());
        foreach (
            string section in (string[])
                [
                    "machine",
                    "host",
                    "host-parts",
                    "donor",
                    "donor-parts",
                    "chips",
                    "dryer",
                    "materials",
                    "history",
                    "heats",
                    "weighings",
                ]
        )
        {
            HtmlForm form = await client.Form(
                $"/jobs/synthesiser-voice-chip/edit/{section}",
                $"/jobs/synthesiser-voice-chip/edit/{section}"
            );
            Answer answer = await client.Post(form.With("do", "save"));
            Assert.True(answer.Status == HttpStatusCode.Redirect, $"{section}: {answer.Html}");
            Assert.Equal(1, host.Store.FindJob("synthesiser-voice-chip")!.Revision);
        }
    }

    [Fact]
    public async Task Entries_are_added_and_taken_out_without_losing_the_others()
    {
        await client.Post(await Filled());
        string address = "/jobs/synthesiser-voice-chip/edit/host-parts";
        HtmlForm form = (await client.Form(address, address))
            .With("host.parts[1].ref", "C7")
            .With("do", "remove:host.parts[0]");
        HtmlForm without = HtmlForm.Of((await client.Post(form)).Html, address);
        Assert.Equal("C7", without["host.parts[0].ref"]);
        Assert.Equal("electrolytic 2", without["host.parts[1].ref"]);

        HtmlForm more = HtmlForm.Of((await client.Post(without.With("do", "add:host.parts"))).Html, address);
        Answer saved = await client.Post(
            more.With("host.parts[2].ref", "F3").With("host.parts[2].kind", "label-or-tape").With("do", "save")
        );
        Assert.True(saved.Status == HttpStatusCode.Redirect, saved.Html);
        IReadOnlyList<Part> parts = host.Store.FindJob("synthesiser-voice-chip")!.Job.Host.Parts;
        Assert.Equal(["C7", "electrolytic 2", "F3"], parts.Select(part => part.Ref));
        Assert.Equal(PartKind.AluminiumElectrolytic, parts[0].Kind);
    }

    [Fact]
    public async Task Undo_saves_the_earlier_version_as_a_new_one()
    {
        await client.Post(await Filled());
        string address = "/jobs/synthesiser-voice-chip/edit/machine";
        await client.Post(
            (await client.Form(address, address)).With("machine.owner", "Second owner").With("do", "save")
        );
        HtmlForm undo = await client.Form("/jobs/synthesiser-voice-chip/undo", "/jobs/synthesiser-voice-chip/undo");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(undo)).Status);
        StoredJob now = host.Store.FindJob("synthesiser-voice-chip")!;
        Assert.Equal((3, "First owner"), (now.Revision, now.Job.Machine.Owner));
    }

    [Fact]
    public async Task Cell_on_the_board_bars_the_dryer_until_it_is_marked_as_off()
    {
        await client.Post(Wet(await Filled()));
        string html = await client.Get("/jobs/synthesiser-voice-chip");
        string hostPart = Between(html, "id=\"dry-host\"", "id=\"dry-donor\"");
        Assert.DoesNotContain("Into the dryer now", hostPart, StringComparison.Ordinal);
        Assert.Contains("cell 1 is off", hostPart, StringComparison.Ordinal);
        Assert.Contains("there is no dryer button yet", hostPart, StringComparison.Ordinal);

        // A page that was opened earlier may still have the button.
        Answer refused = await client.Post(await DryerForm("in"));
        Assert.Equal(HttpStatusCode.Conflict, refused.Status);
        Assert.Empty(host.Store.FindJob("synthesiser-voice-chip")!.Job.History.Exposures);

        Answer off = await client.Post(HtmlForm.Of(html, "/jobs/synthesiser-voice-chip/taken-off"));
        Assert.Equal("/jobs/synthesiser-voice-chip?done=off#dry-host", off.Location);
        StoredJob now = host.Store.FindJob("synthesiser-voice-chip")!;
        Assert.Equal(2, now.Revision);
        Assert.Equal([true, false, false, false], now.Job.Host.Parts.Select(part => part.TakenOff));
        Assert.Contains(
            "Into the dryer now",
            Between(await client.Get("/jobs/synthesiser-voice-chip"), "id=\"dry-host\"", "id=\"dry-donor\""),
            StringComparison.Ordinal
        );
    }

    [Theory, InlineData("host", "cell 9"), InlineData("shelf", "cell 1"), InlineData("", "")]
    public async Task Taken_off_refuses_a_part_that_is_not_there(string board, string part)
    {
        await client.Post(await Filled());
        HtmlForm form = await client.Form("/jobs/synthesiser-voice-chip", "/jobs/synthesiser-voice-chip/taken-off");
        Answer answer = await client.Post(form.With("board", board).With("ref", part));
        Assert.Equal(HttpStatusCode.BadRequest, answer.Status);
        Assert.Equal(1, host.Store.FindJob("synthesiser-voice-chip")!.Revision);
    }

    [Fact]
    public async Task Missing_authority_stands_at_the_top_and_Today_tells_what_is_not_started()
    {
        await client.Post(Wet(await Filled()).With("x.count.coin-cell", ""));
        string html = await client.Get("/jobs/synthesiser-voice-chip");
        Assert.InRange(
            html.IndexOf("intake.no-authority", StringComparison.Ordinal),
            1,
            html.IndexOf("id=\"question-1\"", StringComparison.Ordinal)
        );
        Assert.Matches("and [1-9] more to put right first", await client.Get("/"));

        await client.Post(await DryerForm("in"));
        string today = await client.Get("/");
        Assert.Contains("host board in the dryer; donor board not started", today, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Dryer_buttons_write_the_exposure_log()
    {
        await client.Post((await Filled()).With("x.count.coin-cell", ""));
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(await DryerForm("in"))).Status);
        Exposure bake = Assert.Single(host.Store.FindJob("synthesiser-voice-chip")!.Job.History.Exposures);
        Assert.Equal(("host", ExposurePlace.Bake, null, 70.0), (bake.Of, bake.Place, bake.To, bake.TemperatureC));

        await Task.Delay(1100, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(await DryerForm("out"))).Status);
        IReadOnlyList<Exposure> log = host.Store.FindJob("synthesiser-voice-chip")!.Job.History.Exposures;
        Assert.Equal([ExposurePlace.Bake, ExposurePlace.Room], log.Select(exposure => exposure.Place));
        Assert.Equal(log[1].From, log[0].To);
        Assert.Null(log[1].To);
    }

    [Fact]
    public async Task Heat_beyond_the_guideline_asks_for_the_decision_first()
    {
        await client.Post(await Filled());
        string address = "/jobs/synthesiser-voice-chip/add/heat";
        Answer answer = new(HttpStatusCode.OK, null, "");
        int stored = 0;
        for (; stored < 12 && answer.Status != HttpStatusCode.UnprocessableEntity; stored++)
        {
            answer = await client.Post(
                (await client.Form(address, address))
                    .With("history.heats[0].of", "U1")
                    .With($"history.heats[{stored}].of", "U1")
                    .With($"history.heats[{stored}].kind", "again")
            );
        }
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        Assert.Contains(
            "decides on it and why",
            Between(answer.Html, $"id=\"f-history-heats-{stored - 1}--decision-problem\"", "</ul>"),
            StringComparison.Ordinal
        );
        int before = host.Store.FindJob("synthesiser-voice-chip")!.Job.History.Heats.Count;

        HtmlForm decided = HtmlForm
            .Of(answer.Html, address)
            .With($"history.heats[{before}].decision", "Owner agreed by phone.");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(decided)).Status);
        Assert.Equal(
            "Owner agreed by phone.",
            host.Store.FindJob("synthesiser-voice-chip")!.Job.History.Heats[^1].Decision
        );
    }

    [Fact]
    public async Task Saved_lines_say_what_changed_and_stand_apart_from_the_name()
    {
        await client.Post(await Filled());
        string address = "/jobs/synthesiser-voice-chip/add/weighing";
        HtmlForm weighing = await client.Form(address, address);
        await client.Post(weighing.With("history.weighings[0].weightG", "312.2"));
        string html = await client.Get("/jobs/synthesiser-voice-chip");
        Assert.Matches(@"revision 2: weighing of host 312\.2 g\s+<span", html);
        Assert.Matches(@"revision 1: taken in\s+<span", html);
        HtmlForm off = await client.Form("/jobs/synthesiser-voice-chip", "/jobs/synthesiser-voice-chip/taken-off");
        await client.Post(off);
        Assert.Matches(@"revision 3: host parts\s+<span", await client.Get("/jobs/synthesiser-voice-chip"));
    }

    [Fact]
    public async Task Note_that_is_too_long_is_refused_in_words()
    {
        await client.Post(await Filled());
        HtmlForm note = await client.Form("/jobs/synthesiser-voice-chip", "/jobs/synthesiser-voice-chip/evidence/note");
        Answer answer = await client.Post(note.With("note", new string('x', 4001)));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        Assert.Contains("4001 characters", answer.Html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Waived_finding_stays_visible_with_its_reason()
    {
        await client.Post(await Filled());
        HtmlForm waive = await client.Form("/jobs/synthesiser-voice-chip", "/jobs/synthesiser-voice-chip/waive");
        string code = waive["code"]!;
        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await client.Post(waive.With("note", "  "))).Status);
        Assert.Equal(
            HttpStatusCode.Redirect,
            (await client.Post(waive.With("note", "Cell is welded in, limit held by 55 °C."))).Status
        );
        string html = await client.Get("/jobs/synthesiser-voice-chip");
        Assert.Contains("Cell is welded in", html, StringComparison.Ordinal);
        Assert.Contains(code, html, StringComparison.Ordinal);
    }

    /// <summary>A body on the host that has to be dried, and a dryer that can do it.</summary>
    private static HtmlForm Wet(HtmlForm form) =>
        form.With("x.count.moulded-package", "1").With("dryer.air", "stated").With("dryer.humidityPercent", "1");

    private static string Between(string html, string from, string to)
    {
        int start = html.IndexOf(from, StringComparison.Ordinal);
        int end = html.IndexOf(to, start + 1, StringComparison.Ordinal);
        Assert.True(start >= 0 && end > start, $"The page has no '{from}' before '{to}'.");
        return html[start..end];
    }

    private async Task<HtmlForm> DryerForm(string what)
    {
        HtmlForm form = await client.Form("/jobs/synthesiser-voice-chip", "/jobs/synthesiser-voice-chip/dryer");
        return form.With("of", "host").With("do", what);
    }

    private async Task<HtmlForm> Filled() =>
        (await client.Form("/jobs/new", "/jobs/new"))
            .With("title", "Synthesiser: voice chip")
            .With("machine.owner", "First owner")
            .With("host.lengthMm", "160,5")
            .With("host.widthMm", "100")
            .With("chips[0].bodyLengthMm", "27")
            .With("chips[0].bodyWidthMm", "27")
            .With("chips[0].bodyThicknessMm", "1,75")
            .With("chips[0].pitchMm", "1.27")
            .With("chips[0].moistureLevel", "3")
            .With("donor.lengthMm", "160.5")
            .With("donor.widthMm", "100")
            .With("donor.thicknessMm", "1.6")
            .With("x.count.coin-cell", "1")
            .With("x.count.aluminium-electrolytic", "2")
            .With("do", "save");
}
