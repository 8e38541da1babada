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
