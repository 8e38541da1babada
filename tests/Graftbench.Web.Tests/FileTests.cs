using System.Net;
using System.Text;
using Graftbench.Core.Jobs;
using Graftbench.Web.Demo;

namespace Graftbench.Web.Tests;

public class FileTests
{
    [Fact]
    public async Task Record_goes_out_of_one_bench_and_into_another()
    {
        await using BenchHost here = await BenchHost.Start(demo: true);
        await using BenchHost there = await BenchHost.Start();
        using BenchClient giver = here.Client();
        using BenchClient taker = there.Client();
        byte[] zip = await giver.Http.GetByteArrayAsync(
            new Uri("/jobs/arcade-graphics-chip/record.zip", UriKind.Relative),
            TestContext.Current.CancellationToken
        );

        Answer answer = await Import(taker, zip, "record.zip");
        Assert.True(answer.Status == HttpStatusCode.Redirect, answer.Html);
        Assert.Equal(
            JobFormat.Write(here.Store.FindJob("arcade-graphics-chip")!.Job),
            JobFormat.Write(there.Store.FindJob("arcade-graphics-chip")!.Job)
        );

        Assert.Equal("/jobs/arcade-graphics-chip?done=here", (await Import(taker, zip, "record.zip")).Location);
        Assert.Contains(
            "nothing changed",
            await taker.Get("/jobs/arcade-graphics-chip?done=here"),
            StringComparison.Ordinal
        );

        zip[zip.Length / 2] ^= 0x40;
        Answer damaged = await Import(taker, zip, "record.zip");
        Assert.Equal(HttpStatusCode.UnprocessableEntity, damaged.Status);
        Assert.Contains("Nothing was imported", damaged.Html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Job_document_comes_back_the_same()
    {
        await using BenchHost here = await BenchHost.Start(demo: true);
        await using BenchHost there = await BenchHost.Start();
        using BenchClient giver = here.Client();
        using BenchClient taker = there.Client();
        byte[] json = await giver.Http.GetByteArrayAsync(
            new Uri("/jobs/arcade-graphics-chip/job.json", UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        Assert.Equal("/jobs/arcade-graphics-chip?done=imported", (await Import(taker, json, "job.json")).Location);
        Assert.Equal(json, JobFormat.Write(there.Store.FindJob("arcade-graphics-chip")!.Job));

        Assert.Equal("/jobs/arcade-graphics-chip?done=here", (await Import(taker, json, "job.json")).Location);

        byte[] other = Encoding.UTF8.GetBytes(
            Encoding.UTF8.GetString(json).Replace("\"title\": \"", "\"title\": \"Another ", StringComparison.Ordinal)
        );
        Answer taken = await Import(taker, other, "job.json");
        Assert.Equal(HttpStatusCode.UnprocessableEntity, taken.Status);
        Assert.Equal(1, there.Store.FindJob("arcade-graphics-chip")!.Revision);
    }

    public static TheoryData<string, byte[]> Broken =>
        new()
        {
            { "empty", [] },
            { "cut off", Encoding.UTF8.GetBytes("{ \"format\": \"graftbench-job-1\", \"id\": ") },
            { "binary", [0, 1, 2, 3, 250, 251, 252] },
            { "a picture", [0x89, (byte)'P', (byte)'N', (byte)'G', 13, 10, 26, 10] },
            { "a zip's head and no more", [(byte)'P', (byte)'K', 3, 4] },
            { "too large", new byte[17 * 1024 * 1024] },
            {
                "not a number",
                Encoding.UTF8.GetBytes(
                    "{ \"format\": \"graftbench-job-1\", \"id\": \"a\", \"title\": \"a\", \"host\": { \"lengthMm\": NaN, \"widthMm\": -1 } }"
                )
            },
        };

    [Theory, MemberData(nameof(Broken))]
    public async Task Broken_file_is_refused_with_what_is_wrong_and_nothing_is_stored(string what, byte[] bytes)
    {
        await using BenchHost host = await BenchHost.Start();
        using BenchClient client = host.Client();
        Answer answer = await Import(client, bytes, "file");
        Assert.True(answer.Status == HttpStatusCode.UnprocessableEntity, what);
        Assert.Contains("Nothing was imported", answer.Html, StringComparison.Ordinal);
        Assert.Empty(host.Store.Records());
    }

    [Fact]
    public async Task Demo_is_loaded_once_and_never_over_anything()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        Assert.Equal(3, host.Store.Jobs().Count);
        Assert.Equal(0, DemoShop.LoadOnce(host.Store, TimeProvider.System));
        Assert.Equal(3, host.Store.Records().Count);
    }

    [Fact]
    public void Demo_dates_move_by_whole_days_up_to_the_day_before()
    {
        DateTimeOffset now = new(2031, 5, 9, 13, 0, 0, TimeSpan.FromHours(2));
        string moved = Encoding.UTF8.GetString(
            DemoShop.Moved(
                """{ "a": "2026-11-02T08:00:00+01:00", "list": [{ "b": "2026-11-20T17:30:00+01:00" }], "c": "2026-x", /* kept out */ "d": 5, }"""u8,
                now
            )
        );
        Assert.Contains("\"b\":\"2031-05-08T17:30:00\\u002B01:00\"", moved, StringComparison.Ordinal);
        Assert.Contains("\"a\":\"2031-04-20T08:00:00\\u002B01:00\"", moved, StringComparison.Ordinal);
        Assert.Contains("\"c\":\"2026-x\"", moved, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Files_beside_a_job_are_checked_all_together_before_anything_is_stored()
    {
        await using BenchHost host = await BenchHost.Start();
        using BenchClient client = host.Client();
        string document = """
            {
              "format": "graftbench-job-1", "id": "beside", "title": "Beside",
              "host": { "lengthMm": 120, "widthMm": 80, "thicknessMm": 1.6 },
              "chips": [{ "id": "U1", "from": "shelf", "to": "host", "bodyLengthMm": 17, "bodyWidthMm": 17, "bodyThicknessMm": 1.4,
                          "ballList": { "file": "list.csv", "view": "top" } }],
              "evidence": [
                { "at": "2020-03-02T09:00:00Z", "who": "Ida", "kind": "reading", "file": "read.csv" },
                { "at": "2020-03-02T09:00:00Z", "who": "Ida", "kind": "note", "file": "note.txt",
                  "sha256": "0000000000000000000000000000000000000000000000000000000000000000" }
              ]
            }
            """;
        const string List = "ball,signal,type\nA1,CLK,signal\nA2,GND,ground\nB1,D0,signal\nB2,D1,signal\n";
        const string Readings = "net,kind,value,unit,state\nCLK,diode,440,mV,handover\n";
        Answer refused = await Import(
            client,
            ("job.json", document),
            ("list.csv", "nothing,of,use\n"),
            ("read.csv", Readings.Replace("440", "four", StringComparison.Ordinal)),
            ("note.txt", "hello"),
            ("other.txt", "hello")
        );
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.Status);
        foreach (
            string says in (string[])["list.csv", "read.csv, line 2", "note.txt: not the file", "other.txt: the job"]
        )
        {
            Assert.True(
                refused.Html.Contains(says, StringComparison.Ordinal),
                says + "\n" + refused.Html[refused.Html.IndexOf("<main", StringComparison.Ordinal)..]
            );
        }
        Assert.Empty(host.Store.Records());

        Answer taken = await Import(
            client,
            ("job.json", document.Replace(new string('0', 64), Sha("hello"), StringComparison.Ordinal)),
            ("list.csv", List),
            ("read.csv", Readings),
            ("note.txt", "hello")
        );
        Assert.Equal("/jobs/beside?done=imported", taken.Location);
        Job job = host.Store.FindJob("beside")!.Job;
        Assert.Equal(Sha(List), job.Chips[0].BallList!.Sha256);
        Assert.Equal([Sha(Readings), Sha("hello")], job.Evidence.Select(entry => entry.Sha256));
        Assert.All(
            (string[])[Sha(List), Sha(Readings), Sha("hello")],
            hash => Assert.NotNull(host.Store.FindFile(hash))
        );
        Assert.Contains("CLK", await client.Get("/jobs/beside/readings.csv"), StringComparison.Ordinal);
        Answer two = await Import(client, ("a.json", document), ("b.json", document));
        Assert.Contains("2 of them job documents", two.Html, StringComparison.Ordinal);
    }

    private static string Sha(string text) =>
        Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(Encoding.UTF8.GetBytes(text)));

    private static async Task<Answer> Import(BenchClient client, params (string Name, string Text)[] files)
    {
        HtmlForm form = await client.Form("/import", "/import");
        using MultipartFormDataContent content = new();
        content.Add(new StringContent(form["__RequestVerificationToken"]!), "__RequestVerificationToken");
        foreach ((string name, string text) in files)
        {
            content.Add(new ByteArrayContent(Encoding.UTF8.GetBytes(text)), "file", name);
        }
        return await client.Post("/import", content);
    }

    private static async Task<Answer> Import(BenchClient client, byte[] bytes, string name)
    {
        HtmlForm form = await client.Form("/import", "/import");
        using MultipartFormDataContent content = new();
        using StringContent token = new(form["__RequestVerificationToken"]!);
        using ByteArrayContent file = new(bytes);
        content.Add(token, "__RequestVerificationToken");
        content.Add(file, "file", name);
        return await client.Post("/import", content);
    }
}
