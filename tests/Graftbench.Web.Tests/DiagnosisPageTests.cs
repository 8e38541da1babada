using System.Globalization;
using System.Net;
using Graftbench.Store;

namespace Graftbench.Web.Tests;

/// <summary>The screen of question 9 as a browser without scripts uses it.</summary>
public sealed class DiagnosisPageTests
{
    private const string Job = "/jobs/arcade-graphics-chip";
    private const string Screen = Job + "/diagnosis";
    private const string Other = "/jobs/mixing-desk-signal-processor/diagnosis";

    private static async Task<Answer> Send(BenchClient client, string part, params (string Name, string Value)[] fields)
    {
        // Any form of the page has the token of the bench.
        HtmlForm token = HtmlForm.Of(await client.Get("/import"), "/import");
        List<KeyValuePair<string, string>> all =
        [
            .. token.Fields.Where(field => field.Key.StartsWith('_')),
            .. fields.Select(field => KeyValuePair.Create(field.Name, field.Value)),
        ];
        using FormUrlEncodedContent content = new(all);
        return await client.Post(part, content);
    }

    private static async Task Seen(BenchClient client, string test, string outcome) =>
        Assert.Equal(
            HttpStatusCode.Redirect,
            (await Send(client, Screen + "/seen", ("test", test), ("outcome", outcome))).Status
        );

    private static long Lines(BenchHost host) => host.Store.Records().Sum(record => record.Lines);

    [Fact]
    public async Task Outcomes_are_counted_taken_back_and_the_job_tells_of_it()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        Assert.Contains("Nothing was tested yet", await client.Get(Job), StringComparison.Ordinal);
        string page = await client.Get(Screen);
        Assert.Contains("Press the package by its rim", page, StringComparison.Ordinal);
        await Seen(client, "current", "restarts");
        await Seen(client, "press", "same");
        // trade figures of the model page: .2540 and .1197, then .6355 and .3183
        page = await client.Get(Screen);
        Assert.Contains(
            "Not decided. First: firmware does not know the chip, 25 in 100",
            page,
            StringComparison.Ordinal
        );
        Assert.Contains("Read the boot memory again and compare", page, StringComparison.Ordinal);
        await Seen(client, "image", "wrong");
        page = await client.Get(Screen);
        Assert.Contains(
            "64 in 100; then bad dump, bad write or wrong identity, 32 in 100",
            page,
            StringComparison.Ordinal
        );
        page = await client.Get(Job);
        Assert.Contains("Not decided. First: firmware", page, StringComparison.Ordinal);
        Assert.Contains("Open the diagnosis", page, StringComparison.Ordinal);

        long line = host
            .Store.Evidence("arcade-graphics-chip")
            .Last(one => one.PayloadJson.Contains("\"test\":\"image\"", StringComparison.Ordinal))
            .Sequence;
        Assert.Equal(
            HttpStatusCode.Redirect,
            (await Send(client, Screen + "/back", ("line", line.ToString(CultureInfo.InvariantCulture)))).Status
        );
        Assert.Contains("25 in 100", await client.Get(Screen), StringComparison.Ordinal);
        // Taken back once is taken back: the line counts no more and cannot be named again.
        Answer again = await Send(client, Screen + "/back", ("line", line.ToString(CultureInfo.InvariantCulture)));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, again.Status);
        Assert.True(host.Store.Verify().IsWhole);
    }

    [Fact]
    public async Task A_closed_case_with_a_proven_cause_moves_the_table_of_the_shop_and_opened_again_it_does_not()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        await Seen(client, "image", "wrong");
        Assert.Contains("from 5 &#x2B; your 0", await client.Get(Other + "?table=image"), StringComparison.Ordinal);
        (string, string)[] closing =
        [
            ("cause", "firmware"),
            ("proof", "one-action"),
            ("closing", "newer image written"),
        ];
        Assert.Equal(HttpStatusCode.Redirect, (await Send(client, Screen + "/close", closing)).Status);
        string page = await client.Get(Screen);
        Assert.Contains(
            "Closed: Firmware does not know the chip; one action alone undid it.",
            page,
            StringComparison.Ordinal
        );
        Assert.Contains("Closed: Firmware does not know the chip", await client.Get(Job), StringComparison.Ordinal);
        // Another job of the shop: (5 x .80 + 1) / 6 = .8333, and the share (20 x .10 + 1) / 21 = .1429
        page = await client.Get(Other + "?table=image");
        Assert.Contains("from 5 &#x2B; your 1", page, StringComparison.Ordinal);
        Assert.Contains("83.33", page, StringComparison.Ordinal);
        page = await client.Get(Other);
        Assert.Contains("1 closed case of this shop", page, StringComparison.Ordinal);
        Assert.Contains(">14 <", page, StringComparison.Ordinal);

        Answer refused = await Send(client, Screen + "/seen", ("test", "rail"), ("outcome", "low"));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.Status);
        Assert.Contains("open it again first", refused.Html, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await Send(client, Screen + "/open")).Status);
        Assert.Contains("from 5 &#x2B; your 0", await client.Get(Other + "?table=image"), StringComparison.Ordinal);
        // Not proven: closed, and teaches nothing.
        (string, string)[] guess = [("cause", "firmware"), ("proof", "none"), ("closing", "")];
        Assert.Equal(HttpStatusCode.Redirect, (await Send(client, Screen + "/close", guess)).Status);
        Assert.Contains("from 5 &#x2B; your 0", await client.Get(Other + "?table=image"), StringComparison.Ordinal);
        Assert.Contains("does not learn from it", await client.Get(Screen), StringComparison.Ordinal);
        Assert.True(host.Store.Verify().IsWhole);
    }

    [Fact]
    public async Task A_row_that_was_edited_counts_in_every_job_and_says_who_and_why()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        (string, string)[] row =
        [
            ("test", "press"),
            ("cause", "pillow"),
            ("c0", "0,9"),
            ("c1", "0.1"),
            ("cases", "12"),
            ("who", "Ada"),
            ("why", "eleven of twelve here"),
        ];
        Assert.Equal(HttpStatusCode.Redirect, (await Send(client, Screen + "/row", row)).Status);
        string page = await client.Get(Other + "?table=press&edit=pillow");
        Assert.Contains("from 12 &#x2B; your 0", page, StringComparison.Ordinal);
        Assert.Contains("eleven of twelve here", page, StringComparison.Ordinal);
        Assert.Contains("Ada", page, StringComparison.Ordinal);
        HtmlForm form = HtmlForm.Of(page, Other + "/row");
        Assert.Equal(("0.9", "0.1", "12"), (form["c0"], form["c1"], form["cases"]));
        Assert.Single(host.Store.Evidence(BenchStore.ShopRecord), line => line.Who == "Ada" && line.Kind == "decision");
        Assert.True(host.Store.Verify().IsWhole);
    }

    public static readonly TheoryData<string, string, string[]> Hostile = new()
    {
        { "seen", "test=smell&outcome=burnt", ["There is no test &#x27;smell&#x27;"] },
        { "seen", "", ["There is no test"] },
        {
            "seen",
            "test=press&outcome=maybe&trials=0&chance=2",
            ["shows no &#x27;maybe&#x27;", "from 1 to 1000", "above 0 and up to 1"]
        },
        {
            "seen",
            "test=press&outcome=same&trials=99999999999999999999&chance=NaN&note=kept+words",
            ["from 1 to 1000", "above 0 and up to 1", "kept words"]
        },
        { "seen", "test=press&outcome=same&chance=1e400", ["above 0 and up to 1"] },
        { "seen", "test=press&outcome=same&note=LONG", ["at most 500"] },
        { "back", "line=-1", ["no test that counts"] },
        { "back", "line=99999999999999999999999", ["no test that counts"] },
        {
            "close",
            "cause=gremlins&proof=magic&closing=kept+words",
            ["no cause &#x27;gremlins&#x27;", "how the cause was proven", "kept words"]
        },
        { "close", "cause=&proof=dye", ["Say which cause"] },
        { "open", "", ["open already"] },
        { "row", "test=press&cause=nobody&c0=1", ["There is no row"] },
        {
            "row",
            "test=press&cause=pillow&c0=0.5&c1=0.6&cases=5&who=Ada&why=kept+words",
            ["sum to 1.1, not to 1", "kept words"]
        },
        { "row", "test=press&cause=pillow&c0=0&c1=1&cases=5&who=Ada&why=so", ["between 0 and 1, without the ends"] },
        {
            "row",
            "test=press&cause=pillow&c0=NaN&c1=&cases=x&who=&why=",
            [
                "Chance of changes: &#x27;NaN&#x27; is no number",
                "Chance of same: &#x27;&#x27;",
                "Counts as cases",
                "Say who",
                "Say why",
            ]
        },
        { "row", "test=press&cause=pillow&c0=0.6&c1=0.4&cases=0&who=Ada&why=so", ["counts as 0 cases"] },
        { "row", "test=shares&c0=0.5&c1=0.5&cases=20&who=Ada&why=so", ["Chance of bridge"] },
    };

    [Theory, MemberData(nameof(Hostile))]
    public async Task What_is_refused_says_all_that_is_wrong_keeps_what_was_typed_and_stores_nothing(
        string part,
        string form,
        string[] says
    )
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        long before = Lines(host);
        (string, string)[] fields =
        [
            .. form.Split('&', StringSplitOptions.RemoveEmptyEntries)
                .Select(pair => pair.Split('='))
                .Select(pair => (pair[0], pair[1] == "LONG" ? new string('x', 501) : pair[1].Replace('+', ' '))),
        ];
        Answer answer = await Send(client, $"{Screen}/{part}", fields);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        Assert.Contains("Nothing was saved", answer.Html, StringComparison.Ordinal);
        Assert.All(says, each => Assert.Contains(each, answer.Html, StringComparison.Ordinal));
        Assert.Equal(before, Lines(host));
    }

    public static readonly TheoryData<string> Foreign = new()
    {
        "{\"note\":\"x\",\"diagnosis\":{\"test\":\"smell\",\"outcome\":\"burnt\"}}",
        "{\"note\":\"x\",\"diagnosis\":{\"test\":\"press\",\"outcome\":\"same\",\"trials\":-4}}",
        "{\"note\":\"x\",\"diagnosis\":{\"test\":\"press\",\"outcome\":\"same\",\"chance\":1e300}}",
        "{\"note\":\"x\",\"diagnosis\":{\"proof\":\"sorcery\",\"cause\":\"firmware\"}}",
        "{\"note\":\"x\",\"diagnosis\":[1,2]}",
        "{\"note\":\"x\",\"diagnosis\":{\"takenBack\":77}}",
        "{\"note\":\"x\",\"diagnosis\":null}",
    };

    [Theory, MemberData(nameof(Foreign))]
    public async Task Lines_of_somebody_elses_record_say_nothing_and_break_nothing(string payload)
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        host.Store.Append("arcade-graphics-chip", new EvidenceDraft("somebody", "decision", payload));
        string page = await client.Get(Screen);
        Assert.Contains("Nothing was tested yet", page, StringComparison.Ordinal);
        Assert.DoesNotContain("NaN", page, StringComparison.Ordinal);
        host.Store.Append(
            BenchStore.ShopRecord,
            new EvidenceDraft(
                "somebody",
                "decision",
                "{\"note\":\"x\",\"diagnosis\":{\"cause\":\"pillow\",\"test\":\"press\",\"chances\":[2,-1],\"strength\":5}}"
            )
        );
        page = await client.Get(Screen + "?table=press");
        Assert.Contains("not taken: it does not fit the table", page, StringComparison.Ordinal);
        Assert.Contains("from 5 &#x2B; your 0", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_closed_case_of_a_cause_that_the_table_does_not_know_is_shown_and_teaches_nothing()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        host.Store.Append(
            "arcade-graphics-chip",
            new EvidenceDraft(
                "somebody",
                "decision",
                "{\"note\":\"x\",\"diagnosis\":{\"proof\":\"dye\",\"cause\":\"gremlins\"}}"
            )
        );
        Assert.Contains("Closed: no cause was found", await client.Get(Screen), StringComparison.Ordinal);
        Assert.Contains("(0 closed cases of this shop)", await client.Get(Other), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_side_view_that_is_uneven_is_suggested_and_counts_only_once_confirmed()
    {
        await using BenchHost host = await BenchHost.Start();
        using BenchClient client = host.Client();
        await PicturePageTests.Import(client);
        const string Sided = $"/jobs/{PictureFiles.Job}/diagnosis";
        // One level side says nothing yet: the other three are not seen.
        await PicturePageTests.Marked(client, PictureFiles.Side);
        Assert.DoesNotContain("Seen elsewhere", await client.Get(Sided), StringComparison.Ordinal);
        string address = await PicturePageTests.Marked(client, PictureFiles.TiltedSide);
        string page = await client.Get(Sided);
        Assert.Contains("from: <a class=\"source\" href=\"" + address, page, StringComparison.Ordinal);
        Assert.Contains("Nothing was tested yet", page, StringComparison.Ordinal);
        HtmlForm confirm = HtmlForm.Of(page, Sided + "/seen");
        Assert.Equal("side", confirm["test"]);
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(confirm.With("outcome", "uneven"))).Status);
        page = await client.Get(Sided);
        Assert.DoesNotContain("Seen elsewhere", page, StringComparison.Ordinal);
        Assert.Contains("from: side view picture", page, StringComparison.Ordinal);
        Assert.Contains("Not decided", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Readings_suggest_outcomes_and_what_they_stop_bars_tests_under_power()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        const string Bridge = "/jobs/machine-tool-bridge-chip";
        Assert.Contains(
            "<p class=\"answer\">Press the package",
            await client.Get(Bridge + "/diagnosis"),
            StringComparison.Ordinal
        );
        await ReadingPageTests.Send(
            client,
            Bridge + "/readings/import",
            Bridge + "/readings",
            ReadingPageTests.Failing,
            ("state", "baseline")
        );
        string page = await client.Get(Bridge + "/diagnosis");
        Assert.Contains(">readings of rail VCORE</a>", page, StringComparison.Ordinal);
        Assert.Contains(">readings of PA1</a>", page, StringComparison.Ordinal);
        Assert.Contains("Barred: No power: ", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<p class=\"answer\">Press the package", page, StringComparison.Ordinal);
        Assert.Contains("Nothing was tested yet", page, StringComparison.Ordinal);

        HtmlForm confirm = HtmlForm.Of(page, Bridge + "/diagnosis/seen");
        Assert.Equal("rail", confirm["test"]);
        await client.Post(confirm.With("outcome", "low"));
        page = await client.Get(Bridge + "/diagnosis");
        Assert.Contains("Not decided. First: two joints bridged", page, StringComparison.Ordinal);
        Assert.DoesNotContain(">readings of rail VCORE</a>", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_job_that_is_not_there_is_said()
    {
        await using BenchHost host = await BenchHost.Start();
        using BenchClient client = host.Client();
        using HttpResponseMessage none = await client.Http.GetAsync(
            new Uri("/jobs/nothing/diagnosis", UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        Assert.Equal(HttpStatusCode.NotFound, none.StatusCode);
    }
}
