using System.Net;
using System.Net.Http.Headers;
using System.Text;
using System.Text.Json;
using Graftbench.Web.Proving;

namespace Graftbench.Web.Tests;

/// <summary>Readings, proof, first power and return as a browser without scripts uses them, on an invented job.</summary>
public sealed class ReadingPageTests
{
    private const string Id = "machine-tool-bridge-chip";
    private const string Job = $"/jobs/{Id}";
    private const string Readings = Job + "/readings";
    private const string Proof = Job + "/proof";

    [Fact]
    public async Task Readings_are_typed_one_by_one_and_the_next_net_comes_by_itself()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        Assert.Contains("Nothing was read yet", await client.Get(Job), StringComparison.Ordinal);
        const string Like = "?state=baseline&kind=resistance&meter=M1&board=21,5&leads=subtracted";
        HtmlForm form = await client.Form(Readings + Like, Readings + "/take");
        // The ball list names the chip's rails.
        Assert.Equal("V3", form["net"]);
        Answer taken = await client.Post(form.With("value", "0,21k"));
        Assert.Equal(HttpStatusCode.Redirect, taken.Status);
        form = await client.Form(taken.Location!.Split('#')[0], Readings + "/take");
        Assert.Equal(("VCORE", "M1", "21,5"), (form["net"], form["meter"], form["board"]));
        await client.Post(form.With("value", "1.9").With("ball", "d4").With("x", "112,5").With("y", "88"));

        JobReadings record = JobReadings.Of(host.Store.Evidence(Id));
        Assert.Equal([210, 1.9], record.All.Select(one => one.Value.Number!.Value));
        Assert.All(record.All, one => Assert.Equal((21.5, "M1", "T. Arden"), (one.BoardC, one.Meter, one.Person)));
        Assert.Equal(("D4", 112.5, 88.0), (record.All[1].Ball, record.All[1].XMm, record.All[1].YMm));
        // The same point is offered for the next reading of that net.
        Assert.Equal("112.5", (await client.Form(Readings + Like + "&net=VCORE", Readings + "/take"))["x"]);
        string page = await client.Get(Readings + Like);
        Assert.Contains("<b>2</b> of 2 nets read", page, StringComparison.Ordinal);

        HtmlForm back = HtmlForm.Of(page, $"{Readings}/{record.Readings[0].Line}/back");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(back)).Status);
        Assert.Equal(["VCORE"], JobReadings.Of(host.Store.Evidence(Id)).All.Select(one => one.Net));
        // Nothing was taken out of the record.
        Assert.Equal(
            3,
            host.Store.Evidence(Id).Count(line => line.PayloadJson.Contains("\"readings\"", StringComparison.Ordinal))
        );
    }

    /// <summary>Net, value, board temperature, what is said.</summary>
    public static readonly TheoryData<string, string, string, string> Bad = new()
    {
        { "VCORE", "", "21", "There is no value" },
        { "VCORE", "twelve", "21", "twelve" },
        { "VCORE", "1e12", "21", "lies outside" },
        { "VCORE", "4.2 V", "21", "V" },
        { "VCORE", "-5", "21", "-5" },
        { "", "5", "21", "which net" },
        { "VCORE", "5", "900", "from -40 to 150" },
        { "VCORE", "5", "NaN", "from -40 to 150" },
    };

    [Theory, MemberData(nameof(Bad))]
    public async Task What_cannot_be_taken_is_refused_and_what_was_typed_comes_back(
        string net,
        string value,
        string board,
        string says
    )
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        HtmlForm form = await client.Form(Readings + "?kind=resistance", Readings + "/take");
        Answer answer = await client.Post(form.With("net", net).With("value", value).With("board", board));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        string text = WebUtility.HtmlDecode(answer.Html);
        Assert.Contains(says, text, StringComparison.Ordinal);
        Assert.Contains("Nothing was saved", text, StringComparison.Ordinal);
        Assert.Contains($"value=\"{value}\"", text, StringComparison.Ordinal);
        Assert.Empty(JobReadings.Of(host.Store.Evidence(Id)).Readings);
    }

    [Fact]
    public async Task A_list_is_taken_whole_or_refused_with_all_that_is_wrong()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        Answer refused = await Send(
            client,
            Readings + "/import",
            Readings,
            "net,kind,value,unit\nA,diode,0.4,V\nB,sparks,1,V\nC,diode,4.5 kOhm,\n",
            ("state", "baseline")
        );
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.Status);
        Assert.Contains("Line 3:", refused.Html, StringComparison.Ordinal);
        Assert.Contains("Line 4:", refused.Html, StringComparison.Ordinal);
        Assert.Empty(JobReadings.Of(host.Store.Evidence(Id)).Readings);

        Assert.Equal(
            HttpStatusCode.Redirect,
            (await Send(client, Readings + "/import", Readings, Failing, ("state", "baseline"))).Status
        );
        string csv = await client.Get($"{Job}/readings.csv");
        Assert.Equal(9, csv.Split('\n').Count(line => line.Contains("M1", StringComparison.Ordinal)));
    }

    internal const string Failing = """
        net,kind,value,unit,state,meter,leads
        VCORE,resistance,1.9,ohm,baseline,M1,subtracted
        VCORE,resistance,14.6,ohm,donor-baseline,M1,subtracted
        VCORE,resistance,1.2,ohm,after-placing,M1,subtracted
        V3,resistance,212,ohm,baseline,M1,
        V3,resistance,205,ohm,after-placing,M1,
        PA0,diode,0.48,V,baseline,M1,
        PA0,diode,0.481,V,after-placing,M1,
        PA1,diode,480,mV,baseline,M1,
        PA1,diode,OL,,after-placing,M1,
        """;

    [Fact]
    public async Task A_rail_below_half_of_the_donors_stops_the_power_until_it_is_let_pass_by_name()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        await Send(client, Readings + "/import", Readings, Failing, ("state", "baseline"));
        string page = WebUtility.HtmlDecode(await client.Get(Proof));
        Assert.Contains("Do not power: VCORE is 0.08 of its donor's baseline", page, StringComparison.Ordinal);
        Assert.Contains("joints are proven by a reading", page, StringComparison.Ordinal);
        // The card of the job's page and the plan say the same.
        Assert.Contains("Do not power", WebUtility.HtmlDecode(await client.Get(Job)), StringComparison.Ordinal);

        HtmlForm power = HtmlForm
            .Of(await client.Get(Proof), Proof + "/power")
            .With("supply", "12")
            .With("standby", "0.5")
            .With("cooler", "yes");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(power)).Status);
        Assert.Contains(
            "Not yet: what stands against it",
            WebUtility.HtmlDecode(await client.Get(Proof)),
            StringComparison.Ordinal
        );

        foreach ((string code, string where) in new[] { ("proof.rail-low", "VCORE"), ("proof.signal-open", "PA1") })
        {
            HtmlForm waiver = Waiver(await client.Get(Proof), code, where);
            Assert.Equal(
                HttpStatusCode.Redirect,
                (await client.Post(waiver.With("note", "Another chip with a lower core; data sheet page 4."))).Status
            );
        }
        page = WebUtility.HtmlDecode(await client.Get(Proof));
        Assert.Contains("set aside with a reason", page, StringComparison.Ordinal);
        Assert.Contains("0.6 A", page, StringComparison.Ordinal);
    }

    private static HtmlForm Limit(string html) => HtmlForm.Of(html, Proof + "/limit").With("limit", "ratio-stop");

    private static HtmlForm Waiver(string html, string code, string where)
    {
        int at = html.IndexOf($"value=\"{code}\"", StringComparison.Ordinal);
        Assert.True(at > 0, $"no waiver for {code}");
        return HtmlForm.Of(html, $"{Job}/waive").With("code", code).With("where", where);
    }

    [Fact]
    public async Task Limits_rails_and_figures_are_lines_that_can_be_put_back()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        HtmlForm limit = Limit(await client.Get(Proof));
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(limit.With("value", "0,4"))).Status);
        Assert.Equal(0.4, JobReadings.Of(host.Store.Evidence(Id)).Limits.Of("ratio-stop").Value);
        Assert.Equal(
            HttpStatusCode.Redirect,
            (await client.Post(Limit(await client.Get(Proof)).With("do", "usual"))).Status
        );
        Assert.Equal(0.5, JobReadings.Of(host.Store.Evidence(Id)).Limits.Of("ratio-stop").Value);
        foreach (string bad in new[] { "", "half", "NaN", "1e999" })
        {
            Answer refused = await client.Post(Limit(await client.Get(Proof)).With("value", bad));
            Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.Status);
        }
        Assert.Equal(
            HttpStatusCode.UnprocessableEntity,
            (await client.Post(Limit(await client.Get(Proof)).With("limit", "no-such"))).Status
        );

        HtmlForm rail = HtmlForm.Of(await client.Get(Proof), Proof + "/rail");
        Answer wrong = await client.Post(
            rail.With("name", "").With("class", "engine").With("baseline", "moon").With("volts", "-3")
        );
        Assert.Equal(HttpStatusCode.UnprocessableEntity, wrong.Status);
        Assert.Equal(
            4,
            wrong
                .Html.Split("<li>")
                .Count(part =>
                    part.StartsWith("Say", StringComparison.Ordinal)
                    || part.StartsWith("Voltage", StringComparison.Ordinal)
                )
        );
        Assert.Equal(
            HttpStatusCode.Redirect,
            (
                await client.Post(
                    rail.With("name", "VIN").With("class", "input").With("baseline", "baseline").With("volts", "12")
                )
            ).Status
        );
        Assert.Contains(JobReadings.Of(host.Store.Evidence(Id)).Rails, one => one is { Name: "VIN", NominalV: 12 });
    }

    [Fact]
    public async Task A_trace_is_read_drawn_and_named()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        HtmlForm power = HtmlForm
            .Of(await client.Get(Proof), Proof + "/power")
            .With("standby", "0.5")
            .With("supply", "12");
        await client.Post(power);
        string trace =
            "time_s,current_A\n"
            + string.Concat(
                Enumerable
                    .Range(0, 200)
                    .Select(i => FormattableString.Invariant($"{i * 0.1:0.0},{0.5 + (0.001 * (i % 3)):0.000}\n"))
            );
        Assert.Equal(
            HttpStatusCode.Redirect,
            (await Send(client, Proof + "/trace", Proof, trace, ("role", "first-power"))).Status
        );
        string page = WebUtility.HtmlDecode(await client.Get(Proof));
        Assert.Contains("standby", page, StringComparison.OrdinalIgnoreCase);
        Assert.Contains("Supply current over time", page, StringComparison.Ordinal);
        using JsonDocument data = JsonDocument.Parse(await client.Get(Job + "/proof.json"));
        Assert.Equal("standby", data.RootElement.GetProperty("firstPower").GetProperty("signature").GetString());
        foreach (string bad in new[] { "no trace at all", "time,current\n1,2\n1,x\n" })
        {
            Assert.Equal(
                HttpStatusCode.UnprocessableEntity,
                (await Send(client, Proof + "/trace", Proof, bad, ("role", "first-power"))).Status
            );
        }
    }

    [Fact]
    public async Task A_return_is_held_against_the_hand_over()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        Assert.Contains("readings of both", await client.Get(Job + "/returns"), StringComparison.Ordinal);
        StringBuilder list = new("net,kind,value,unit,state,meter,repeat,temperature\n");
        for (int net = 0; net < 12; net++)
        {
            for (int repeat = 1; repeat <= 3; repeat++)
            {
                list.Append(
                    FormattableString.Invariant(
                        $"PA{net},diode,{0.45 + (0.01 * net) + (0.001 * (repeat - 2))},V,handover,M1,{repeat},22\n"
                    )
                );
                list.Append(
                    FormattableString.Invariant(
                        $"PA{net},diode,{0.45 + (0.01 * net) + (0.001 * (repeat - 2)) - 0.006 + (net == 4 ? 0.06 : 0)},V,return,M1,{repeat},25\n"
                    )
                );
            }
        }
        await Send(client, Readings + "/import", Readings, list.ToString(), ("state", "baseline"));
        string page = WebUtility.HtmlDecode(await client.Get(Job + "/returns"));
        Assert.Contains("1 of 12 nets has moved since hand-over", page, StringComparison.Ordinal);
        Assert.Contains("▲ PA4", page, StringComparison.Ordinal);
        Assert.Contains("Ball field: nets that moved", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_meter_is_asked_for_by_its_port_and_a_port_that_is_not_there_is_said()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        HtmlForm form = await client.Form(Readings, Readings + "/meter");
        Answer refused = await client.Post(form.With("port", "").With("baud", "fast").With("do", "start"));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.Status);
        Assert.Contains("which serial port", refused.Html, StringComparison.Ordinal);
        Assert.Contains("fast", refused.Html, StringComparison.Ordinal);
        await client.Post(form.With("port", "/dev/no-such-meter").With("baud", "9600").With("do", "start"));
        for (int i = 0; i < 50; i++)
        {
            using JsonDocument state = JsonDocument.Parse(await client.Get(Readings + "/meter.json?kind=diode"));
            if (
                state.RootElement.GetProperty("told").GetString()?.Contains("no-such-meter", StringComparison.Ordinal)
                == true
            )
            {
                return;
            }
            await Task.Delay(100, TestContext.Current.CancellationToken);
        }
        Assert.Fail("nobody said that the port is not there");
    }

    internal static async Task<Answer> Send(
        BenchClient client,
        string action,
        string page,
        string file,
        params (string Name, string Value)[] fields
    )
    {
        HtmlForm form = await client.Form(page, action);
        using MultipartFormDataContent content = new()
        {
            { new StringContent(form["__RequestVerificationToken"]!), "__RequestVerificationToken" },
        };
        foreach ((string name, string value) in fields)
        {
            content.Add(new StringContent(value), name);
        }
        ByteArrayContent bytes = new(Encoding.UTF8.GetBytes(file));
        bytes.Headers.ContentType = new MediaTypeHeaderValue("text/csv");
        content.Add(bytes, "file", "list.csv");
        return await client.Post(action, content);
    }
}
