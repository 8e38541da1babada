using System.Net;
using System.Net.Http.Headers;
using System.Runtime.CompilerServices;
using System.Text;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Store;

namespace Graftbench.Web.Tests;

/// <summary>The Bench screen, and a calibration from a log file to the heat plan that uses it.</summary>
public sealed class CalibrationTests
{
    private static readonly string Corpus = Path.Combine(Folder(), "../corpus/calibration");

    [Fact]
    public async Task A_log_is_fitted_shown_kept_and_used_by_the_next_plan()
    {
        Job? planned = null;
        await using BenchHost bench = await BenchHost.Start(
            heat: (job, task, chip, _, _) =>
            {
                planned = job;
                throw new InvalidOperationException("enough seen");
            }
        );
        bench.Store.SaveJob(Scrap(), 0, "Ada");
        using BenchClient client = bench.Client();
        Assert.Contains("Never calibrated: usual figures count.", await client.Get("/bench"), StringComparison.Ordinal);

        string trial = await Send(client, await Filled(client), File.ReadAllBytes(Path.Combine(Corpus, "trial.csv")));
        string page = await Done(client, trial);
        Assert.Contains("numbers of the bench learned", page, StringComparison.Ordinal);
        Assert.Contains("not learned", page, StringComparison.Ordinal);
        Assert.Contains("Holds for:", page, StringComparison.Ordinal);
        Assert.Empty(bench.Store.BenchFacts());

        HtmlForm keep = HtmlForm.Of(page, trial + "/keep");
        Answer kept = await client.Post(keep);
        Assert.Equal("/bench?done=kept", kept.Location);
        Assert.Equal(HttpStatusCode.NotFound, (await client.Post(keep)).Status);
        BenchFact fact = Assert.Single(bench.Store.BenchFacts("LEFT bench", BenchFactRules.Calibration));
        EvidenceLine line = bench.Store.Evidence(BenchStore.ShopRecord).Single(one => one.Sequence == fact.Sequence);
        Assert.Equal(
            File.ReadAllBytes(Path.Combine(Corpus, "trial.csv")),
            bench.Store.FindFile(line.FileSha256!)!.Bytes
        );
        Assert.True(bench.Store.Verify(null, null, TestContext.Current.CancellationToken).IsWhole);
        string shown = await client.Get(kept.Location!);
        Assert.Contains("the coldest joint is forecast to", shown, StringComparison.Ordinal);
        Assert.Contains("Film under the nozzle", shown, StringComparison.Ordinal);

        bench.Desk.Request(Scrap(), HeatTask.Place, "S1");
        for (int i = 0; i < 200 && planned is null; i++)
        {
            await Task.Delay(20, TestContext.Current.CancellationToken);
        }
        CalibratedValue film = planned!.Bench.Calibration!.Numbers[0];
        Assert.Equal(CalibratedNumber.FilmUnderNozzle, film.Number);
        // The simulated bench behind the log has 1.18.
        Assert.InRange(film.Ratio, 1.08, 1.30);
    }

    [Fact]
    public async Task All_that_is_wrong_with_a_form_is_said_at_once_and_what_was_typed_stays()
    {
        await using BenchHost bench = await BenchHost.Start();
        bench.Store.SaveJob(Scrap(), 0, "Ada");
        using BenchClient client = bench.Client();
        HtmlForm form = (await Filled(client))
            .With("boardLengthMm", "wide")
            .With("flowPercent", "300")
            .With("at", "tomorrow")
            .With("set", "10, warm, 5");
        Answer answer = await client.Post(form.Action, Content(form, Encoding.UTF8.GetBytes("hello\n")));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        foreach (string says in (string[])["Board length", "Airflow", "Day of the trial", "no table", "line 1"])
        {
            Assert.Contains(says, answer.Html, StringComparison.Ordinal);
        }
        Assert.Contains("value=\"wide\"", answer.Html, StringComparison.Ordinal);
        Answer none = await client.Post(form.Action, Content(await Filled(client), null));
        Assert.Contains("No log", none.Html, StringComparison.Ordinal);
        Assert.Empty(bench.Store.BenchFacts());
    }

    [Fact]
    public async Task Uploads_of_any_sort_are_answered_in_words()
    {
        await using BenchHost bench = await BenchHost.Start();
        bench.Store.SaveJob(Scrap(), 0, "Ada");
        using BenchClient client = bench.Client();
        byte[] sound = File.ReadAllBytes(Path.Combine(Corpus, "trial.csv"));
        Random random = new(4);
        for (int round = 0; round < 25; round++)
        {
            byte[] bytes = [.. sound.AsSpan(0, random.Next(1, sound.Length))];
            for (int k = random.Next(60); k > 0; k--)
            {
                bytes[random.Next(bytes.Length)] = (byte)random.Next(256);
            }
            HtmlForm form = await Filled(client);
            Answer answer = await client.Post(form.Action, Content(form, bytes));
            Assert.True(
                answer.Status is HttpStatusCode.UnprocessableEntity or HttpStatusCode.Redirect,
                answer.Status.ToString()
            );
        }
        Assert.Empty(bench.Store.BenchFacts());
    }

    [Fact]
    public async Task A_trial_that_is_not_explained_cannot_be_kept()
    {
        await using BenchHost bench = await BenchHost.Start();
        bench.Store.SaveJob(Scrap(), 0, "Ada");
        using BenchClient client = bench.Client();
        // The log's probes under each other's names.
        HtmlForm form = (await Filled(client)).With("channel0", "far").With("channel2", "board");
        string trial = await Send(client, form, File.ReadAllBytes(Path.Combine(Corpus, "trial.csv")));
        string page = await Done(client, trial);
        Assert.Contains("Not explained", page, StringComparison.Ordinal);
        Assert.DoesNotContain(trial + "/keep", page, StringComparison.Ordinal);
        HtmlForm token = HtmlForm.Of(page, "/preferences");
        using FormUrlEncodedContent content = new(token.Fields);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await client.Post(trial + "/keep", content)).Status);
        Assert.Empty(bench.Store.BenchFacts());
    }

    [Fact]
    public async Task A_stored_run_brings_its_probes_and_plan_and_a_simulation_is_not_kept()
    {
        await using BenchHost bench = await BenchHost.Start();
        bench.Store.SaveJob(Scrap(), 0, "Ada");
        string[] lines = File.ReadAllLines(Path.Combine(Corpus, "trial.csv"));
        const string Setup = """
            {"simulation":true,"alignmentChecked":true,
             "plan":{"gas":[[0,22],[120,22],[120,219],[240,219],[240,150],[320,150],[320,300],[460,300],[460,22]],
                     "preheater":[[0,22],[0,135],[200,135],[200,180],[460,180],[460,22]],"durationS":600},
             "probes":[{"channel":"board","xMm":58,"yMm":60,"zMm":0},{"channel":"top","xMm":80,"yMm":60,"zMm":2.55},
                       {"channel":"far","xMm":15,"yMm":105,"zMm":0}]}
            """;
        HeatRun run = bench.Store.StartRun(new HeatRunDraft("scrap-trial", "Ada", Setup, ["board", "top", "far"]));
        bench.Store.AppendSamples(
            run,
            [
                .. lines
                    .Skip(2)
                    .Select(line =>
                        line.Split(',')
                            .Select(field => double.Parse(field, System.Globalization.CultureInfo.InvariantCulture))
                            .ToArray()
                    )
                    .Select(row => new HeatSample(row[0], row[1..])),
            ]
        );
        bench.Store.EndRun(run, HeatRunState.Ended);
        using BenchClient client = bench.Client();
        HtmlForm form = (await client.Form("/bench/calibrate?job=scrap-trial", "/bench/calibrate")).With("run", run.Id);
        Answer answer = await client.Post(form.Action, Content(form, null));
        Assert.True(answer.Status == HttpStatusCode.Redirect, answer.Html);
        string page = await Done(client, answer.Location!);
        Assert.Contains("numbers of the bench learned", page, StringComparison.Ordinal);
        Assert.Contains("is a simulation", page, StringComparison.Ordinal);
        Assert.DoesNotContain("/keep", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Facts_that_cannot_be_read_are_said_and_not_used()
    {
        await using BenchHost bench = await BenchHost.Start();
        bench.Store.SaveJob(Scrap(), 0, "Ada");
        bench.Store.AddBenchFact("Left bench", BenchFactRules.Calibration, """{"calibration":{"at":5}}""", "Ada");
        bench.Store.AddBenchFact(
            "Left bench",
            BenchFactRules.ProbeFormat,
            """{"Source":"serial /dev/x","Format":{"Columns":[{"Role":0,"Name":"left"},{"Role":0,"Name":"right"}]}}""",
            "Ada"
        );
        using BenchClient client = bench.Client();
        string page = await client.Get("/bench");
        Assert.Contains("cannot be read; it is not used", page, StringComparison.Ordinal);
        Assert.Contains("serial /dev/x: left, right", page, StringComparison.Ordinal);
        Assert.Contains("Never calibrated", page, StringComparison.Ordinal);
    }

    [Theory, InlineData("/bench/calibrate?job=none"), InlineData("/bench/trials/none")]
    public async Task What_is_not_there_is_said(string address)
    {
        await using BenchHost bench = await BenchHost.Start();
        using BenchClient client = bench.Client();
        using HttpResponseMessage answer = await client.Http.GetAsync(
            new Uri(address, UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
    }

    private static Job Scrap() =>
        JobReader.Read(File.ReadAllBytes(Path.Combine(Corpus, "scrap.json")), DateTimeOffset.UtcNow).Job!;

    private static async Task<HtmlForm> Filled(BenchClient client) =>
        (await client.Form("/bench/calibrate?job=scrap-trial", "/bench/calibrate"))
            .With(
                "set",
                await File.ReadAllTextAsync(Path.Combine(Corpus, "set.csv"), TestContext.Current.CancellationToken)
            )
            .With("aligned", "yes")
            .With("channel0", "board")
            .With("place0", "58,60")
            .With("channel1", "top")
            .With("place1", "body top")
            .With("channel2", "far")
            .With("place2", "15,105");

    private static async Task<string> Send(BenchClient client, HtmlForm form, byte[] log)
    {
        Answer answer = await client.Post(form.Action, Content(form, log));
        Assert.True(answer.Status == HttpStatusCode.Redirect, answer.Html);
        return answer.Location!;
    }

    private static async Task<string> Done(BenchClient client, string trial)
    {
        for (int i = 0; ; i++)
        {
            string page = await client.Get(trial);
            if (!page.Contains("http-equiv=\"refresh\"", StringComparison.Ordinal))
            {
                return page;
            }
            Assert.True(i < 600, "The trial is not done after a minute.");
            await Task.Delay(100, TestContext.Current.CancellationToken);
        }
    }

    private static MultipartFormDataContent Content(HtmlForm form, byte[]? log)
    {
        MultipartFormDataContent content = [];
        foreach ((string name, string value) in form.Fields)
        {
            content.Add(new StringContent(value), name);
        }
        if (log is not null)
        {
            ByteArrayContent file = new(log);
            file.Headers.ContentType = new MediaTypeHeaderValue("text/csv");
            content.Add(file, "log", "trial.csv");
        }
        return content;
    }

    private static string Folder([CallerFilePath] string file = "") => Path.GetDirectoryName(file)!;
}
