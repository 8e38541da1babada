using System.Globalization;
using System.Net;
using System.Text;
using Graftbench.Core.Reviewing;
using Graftbench.Store;

namespace Graftbench.Web.Tests;

public class RunPageTests
{
    private const string Job = "/jobs/machine-tool-bridge-chip";

    internal static byte[] Log(double peakC, double fromS = 0, double toS = -1)
    {
        StringBuilder text = new("time s;T1;T2\n");
        for (int i = 0; i <= 400; i++)
        {
            double c = i <= 300 ? 25 + (peakC - 25) * i / 300.0 : peakC - 1.5 * (i - 300);
            if (i < fromS || i > toS)
            {
                text.Append(CultureInfo.InvariantCulture, $"{i};{c:0.0};{25 + (c - 25) * 0.8:0.0}\n");
            }
        }
        return Encoding.UTF8.GetBytes(text.ToString());
    }

    private static async Task<Answer> Send(BenchClient client, byte[] log, string name = "oven <1>.csv")
    {
        HtmlForm form = await client.Form(Job + "/runs/new", Job + "/runs/log");
        using MultipartFormDataContent content = new();
        foreach (KeyValuePair<string, string> field in form.Fields)
        {
            content.Add(new StringContent(field.Value), field.Key);
        }
        using ByteArrayContent file = new(log);
        content.Add(file, "file", name);
        return await client.Post(Job + "/runs/log", content);
    }

    private static async Task<Answer> Confirm(BenchClient client, string ask, params (string Name, string Value)[] with)
    {
        HtmlForm form = await client.Form(ask, ask);
        Dictionary<string, string> fields = new(form.Fields, StringComparer.Ordinal);
        foreach ((string field, string value) in with)
        {
            if (value.Length == 0)
            {
                fields.Remove(field);
            }
            else
            {
                fields[field] = value;
            }
        }
        using FormUrlEncodedContent content = new(fields);
        return await client.Post(ask, content);
    }

    private static readonly (string, string)[] Usual =
    [
        ("seat-0", "body"),
        ("heat", "place BRIDGE"),
        ("at", "2026-01-02T10:00"),
        ("simulated", ""),
        ("aligned", ""),
    ];

    [Fact]
    public async Task A_log_becomes_a_run_is_reviewed_and_goes_into_the_ledger_once()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        Answer taken = await Send(client, Log(242));
        Assert.True(taken.Status == HttpStatusCode.Redirect, taken.Html);
        Answer kept = await Confirm(client, taken.Location!, Usual);
        Assert.True(kept.Status == HttpStatusCode.Redirect, kept.Html);
        string page = await client.Get(kept.Location!);
        Assert.Contains("242.0 °C", page, StringComparison.Ordinal);
        Assert.Contains("set points of the heaters are not known", page, StringComparison.Ordinal);
        Assert.Contains("<svg", page, StringComparison.Ordinal);
        string run = kept.Location!.Split('?')[0];
        Assert.Contains(run, await client.Get(Job), StringComparison.Ordinal);
        Assert.Contains("\"review.peak\"", await client.Get(run + "/review.json"), StringComparison.Ordinal);
        HtmlForm form = await client.Form(run, run + "/ledger");
        Answer written = await client.Post(form);
        Assert.Equal(run + "?done=ledger#ledger", written.Location);
        Answer twice = await client.Post(form);
        Assert.Equal(run + "?done=twice#ledger", twice.Location);
        HeatRun stored = host.Store.Runs("machine-tool-bridge-chip").Single();
        Assert.NotEmpty(HeatEntries.Written(host.Store.FindJob("machine-tool-bridge-chip")!.Job, stored.Id));
        Assert.Contains(host.Store.Evidence("machine-tool-bridge-chip"), line => line.Kind == StoredRuns.LedgerKind);
    }

    [Fact]
    public async Task A_simulated_log_is_marked_and_never_reaches_the_ledger()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        Answer taken = await Send(client, Log(242));
        Answer kept = await Confirm(client, taken.Location!, [.. Usual[..3], ("simulated", "on")]);
        string page = await client.Get(kept.Location!);
        Assert.Contains("SIMULATION", page, StringComparison.Ordinal);
        Assert.DoesNotContain("/ledger\"", page, StringComparison.Ordinal);
        string run = kept.Location!.Split('?')[0];
        HtmlForm any = await client.Form(Job + "/runs/new", Job + "/runs/log");
        using FormUrlEncodedContent forged = new([
            .. any.Fields.Where(field => field.Key.Contains("Token", StringComparison.Ordinal)),
            new("line", "host"),
            new("line", "BRIDGE"),
        ]);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await client.Post(run + "/ledger", forged)).Status);
    }

    [Fact]
    public async Task Two_runs_are_laid_over_each_other_and_gaps_stay_gaps()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        string[] runs = new string[2];
        for (int i = 0; i < 2; i++)
        {
            Answer taken = await Send(client, Log(242 - 20 * i, 100, i == 0 ? 160 : -1), $"log{i}.csv");
            runs[i] = (await Confirm(client, taken.Location!, Usual)).Location!.Split('?')[0];
        }
        string page = await client.Get($"{runs[0]}?with={runs[1].Split('/')[^1]}&align=150");
        Assert.Contains("The same figures of both runs", page, StringComparison.Ordinal);
        Assert.Contains("no readings", page, StringComparison.Ordinal);
        Assert.Contains("other run: T1", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Everything_wrong_with_the_entries_is_said_at_once_and_what_was_typed_stays()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        Answer taken = await Send(client, Log(242));
        Answer refused = await Confirm(
            client,
            taken.Location!,
            ("seat-0", "somewhere & else"),
            ("heat", "fly"),
            ("at", "2199-01-01T00:00"),
            ("start", "soon")
        );
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.Status);
        foreach (
            string what in (string[])
                ["When the heat was", "What the heat was for", "Start of the heat", "somewhere &amp; else"]
        )
        {
            Assert.Contains(what, refused.Html, StringComparison.Ordinal);
        }
        Assert.Empty(host.Store.Runs("machine-tool-bridge-chip"));
    }

    [Fact]
    public async Task Bad_files_and_strange_addresses_get_words()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        int before = host.Store.Evidence("machine-tool-bridge-chip").Count;
        Random dice = new(3);
        byte[] good = Log(242);
        for (int i = 0; i < 30; i++)
        {
            byte[] bad = good[..dice.Next(1, good.Length)];
            for (int k = 0; k < bad.Length / 8; k++)
            {
                bad[dice.Next(bad.Length)] = (byte)dice.Next(256);
            }
            Answer answer = await Send(client, i % 3 == 0 ? bad[..Math.Min(bad.Length, 40)] : bad);
            Assert.True(answer.Status is HttpStatusCode.UnprocessableEntity or HttpStatusCode.Redirect, answer.Html);
            if (answer.Location is { } ask)
            {
                Answer next = await Confirm(client, ask, Usual);
                Assert.True(next.Status is HttpStatusCode.UnprocessableEntity or HttpStatusCode.Redirect, next.Html);
                if (next.Location is { } run)
                {
                    await client.Get(run);
                }
            }
        }
        Assert.True(host.Store.Evidence("machine-tool-bridge-chip").Count >= before);
        foreach (string path in (string[])["/runs/nothing", "/runs/log/abc", "/runs/nothing/review.json"])
        {
            using HttpResponseMessage answer = await client.Http.GetAsync(
                new Uri(Job + path, UriKind.Relative),
                TestContext.Current.CancellationToken
            );
            Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
        }
    }
}
