using System.Net;
using Graftbench.Store;
using Microsoft.Data.Sqlite;

namespace Graftbench.Web.Tests;

/// <summary>Every answer is a page in words, however the request went.</summary>
public sealed class AnswerTests
{
    private const string Job = "machine-tool-bridge-chip";

    [Fact]
    public async Task Odd_requests_are_answered_in_words()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        foreach (string path in (string[])["/", $"/jobs/{Job}", "/shelf"])
        {
            using HttpResponseMessage head = await Send(client, HttpMethod.Head, path);
            Assert.Equal(HttpStatusCode.OK, head.StatusCode);
            Assert.Empty(await head.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken));
        }
        foreach (HttpMethod method in (HttpMethod[])[HttpMethod.Put, HttpMethod.Delete])
        {
            using HttpResponseMessage answer = await Send(client, method, "/");
            Assert.Equal(HttpStatusCode.MethodNotAllowed, answer.StatusCode);
            Assert.Contains("Not this way", await Text(answer), StringComparison.Ordinal);
        }
        foreach (string path in (string[])["/favicon.ico", "/assets/0/none.css", "/none", "/jobs/none.json"])
        {
            using HttpResponseMessage answer = await Send(client, HttpMethod.Get, path);
            Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
            Assert.Contains("<h1", await Text(answer), StringComparison.Ordinal);
        }
        foreach (string back in (string[])["/\t/x", "/\u00e9", "/\r\nX: y", "//x", "/\\x"])
        {
            HtmlForm form = (await client.Form("/", "/preferences")).With("back", back);
            Answer answer = await client.Post(form);
            Assert.Equal((HttpStatusCode.Redirect, "/"), (answer.Status, answer.Location));
        }
    }

    [Fact]
    public async Task A_page_that_fails_half_way_still_says_so()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        await using (SqliteConnection connection = new($"Data Source={host.Store.FilePath};Pooling=False"))
        {
            await connection.OpenAsync(TestContext.Current.CancellationToken);
            await using SqliteCommand command = connection.CreateCommand();
            command.CommandText =
                "DROP TRIGGER evidence_is_not_updated; DROP TRIGGER evidence_follows_its_head; PRAGMA ignore_check_constraints = ON;"
                + $"UPDATE evidence SET sha256 = 'x' WHERE record_id = '{Job}' AND sequence = 1";
            await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
        }
        using BenchClient client = host.Client();
        using HttpResponseMessage answer = await Send(client, HttpMethod.Get, $"/jobs/{Job}");
        Assert.Equal(HttpStatusCode.InternalServerError, answer.StatusCode);
        string html = await Text(answer);
        Assert.Contains("Something broke here", html, StringComparison.Ordinal);
        Assert.Contains("showing it changes nothing", html, StringComparison.Ordinal);
        Assert.True(answer.Headers.Contains("Content-Security-Policy"));
    }

    [Fact]
    public async Task A_refused_note_keeps_its_text_and_stores_nothing()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        int before = host.Store.Evidence(Job).Count;
        HtmlForm form = await client.Form($"/jobs/{Job}", $"/jobs/{Job}/evidence/note");
        Answer refused = await client.Post(form.With("note", "begin " + new string('x', 100_000)));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.Status);
        Assert.Contains("begin xxx", refused.Html, StringComparison.Ordinal);
        Assert.Equal(before, host.Store.Evidence(Job).Count);

        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(form.With("note", "one\r\ntwo"))).Status);
        Assert.Equal(before + 2, host.Store.Evidence(Job).Count);
        EvidenceLine line = host.Store.Evidence(Job)[^2];
        Assert.Contains("one\\ntwo", line.PayloadJson, StringComparison.Ordinal);
        Assert.Equal("one\ntwo", host.Store.FindJob(Job)!.Job.Evidence[^1].Note);
    }

    private static Task<HttpResponseMessage> Send(BenchClient client, HttpMethod method, string path) =>
        client.Http.SendAsync(new HttpRequestMessage(method, path), TestContext.Current.CancellationToken);

    private static Task<string> Text(HttpResponseMessage answer) =>
        answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
}
