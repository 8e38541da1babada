using System.Net;
using System.Net.WebSockets;

namespace Graftbench.Web.Tests.Network;

/// <summary>What pages of other sites, and names that are not this bench's, can bring a browser to ask for.</summary>
public class CrossSiteTests(RolesBench bench) : IClassFixture<RolesBench>
{
    private const string Job = "/jobs/arcade-graphics-chip";

    public static TheoryData<string, string, HttpStatusCode> Foreign =>
        new()
        {
            { "Origin", "https://elsewhere.example", HttpStatusCode.Forbidden },
            { "Origin", "null", HttpStatusCode.Forbidden },
            { "Origin", "https://127.0.0.1", HttpStatusCode.Forbidden },
            { "Origin", "http://HOST", HttpStatusCode.Forbidden },
            { "Origin", "https://HOST.elsewhere.example", HttpStatusCode.Forbidden },
            { "Sec-Fetch-Site", "cross-site", HttpStatusCode.Forbidden },
            { "Sec-Fetch-Site", "same-site", HttpStatusCode.Forbidden },
            { "X-Nothing", "said", HttpStatusCode.Forbidden },
            { "Origin", "https://HOST", HttpStatusCode.Redirect },
            { "Sec-Fetch-Site", "same-origin", HttpStatusCode.Redirect },
        };

    [Theory, MemberData(nameof(Foreign))]
    public async Task A_change_from_a_foreign_page_is_refused_though_cookies_and_token_are_right(
        string header,
        string value,
        HttpStatusCode status
    )
    {
        HtmlForm note = (await bench.Technician.Form(Job, Job + "/evidence/note")).With("note", value);
        using FormUrlEncodedContent content = new(note.Fields);
        long before = bench.Host.Lines;
        string said = value.Replace("HOST", bench.Host.Door.Authority, StringComparison.Ordinal);
        Answer answer = await bench.Technician.Post(note.Action, content, (header, said));
        Assert.Equal(status, answer.Status);
        Assert.Equal(status == HttpStatusCode.Redirect, bench.Host.Lines > before);
    }

    [Theory]
    [InlineData("Origin", "https://elsewhere.example")]
    [InlineData("Origin", "null")]
    [InlineData("Sec-Fetch-Site", "cross-site")]
    public async Task At_the_bench_too(string header, string value)
    {
        using BenchClient client = bench.Host.AtBench();
        HtmlForm note = (await client.Form(Job, Job + "/evidence/note")).With("note", "x");
        long before = bench.Host.Lines;
        using FormUrlEncodedContent content = new(note.Fields);
        using HttpRequestMessage request = new(HttpMethod.Post, new Uri(note.Action, UriKind.Relative))
        {
            Content = content,
        };
        request.Headers.TryAddWithoutValidation(header, value);
        using HttpResponseMessage answer = await client.Http.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Forbidden, answer.StatusCode);
        Assert.Equal(before, bench.Host.Lines);
    }

    [Fact]
    public async Task A_change_without_the_token_of_a_form_is_refused()
    {
        long before = bench.Host.Lines;
        using FormUrlEncodedContent content = new([KeyValuePair.Create("note", "x")]);
        Assert.Equal(HttpStatusCode.BadRequest, (await bench.Technician.Post(Job + "/evidence/note", content)).Status);
        Assert.Equal(before, bench.Host.Lines);
    }

    [Theory, InlineData("https://elsewhere.example"), InlineData("null"), InlineData("http://127.0.0.1")]
    public async Task A_live_feed_is_opened_by_pages_of_this_bench_only(string origin)
    {
        using ClientWebSocket socket = await bench.Technician.Feed(Job + "/watch/x/live", origin);
        Assert.Equal(HttpStatusCode.Forbidden, socket.HttpStatusCode);
    }

    [Theory]
    [InlineData("elsewhere.example")]
    [InlineData("127.0.0.1.elsewhere.example")]
    [InlineData("127.1")]
    [InlineData("0x7f.0.0.1")]
    [InlineData("2130706433")]
    [InlineData("[::1]")]
    [InlineData("192.168.0.1")]
    public async Task A_foreign_host_is_refused_at_both_doors(string host)
    {
        using BenchClient client = bench.Host.AtBench();
        using HttpRequestMessage request = new(HttpMethod.Get, new Uri("/", UriKind.Relative));
        request.Headers.Host = host;
        using HttpResponseMessage answer = await client.Http.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
        string raw = await bench.Owner.Raw($"GET / HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n");
        Assert.StartsWith("HTTP/1.1 400 ", raw, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("https://elsewhere.example/")]
    [InlineData("//elsewhere.example/")]
    [InlineData("/\\elsewhere.example")]
    [InlineData("/%5celsewhere.example\r\nX: y")]
    public async Task No_form_leads_elsewhere(string back)
    {
        HtmlForm form = (await bench.Technician.Form("/", "/preferences")).With("theme", "dark").With("back", back);
        Answer answer = await bench.Technician.Post(form);
        Assert.Equal((HttpStatusCode.Redirect, "/"), (answer.Status, answer.Location));
    }

    [Theory, InlineData("/"), InlineData("/pair"), InlineData("/devices"), InlineData("/jobs/none")]
    public async Task Every_answer_carries_the_headers(string path)
    {
        using DeviceClient nobody = bench.Host.Device();
        foreach (DeviceClient client in (DeviceClient[])[bench.Owner, bench.Viewer, nobody])
        {
            using HttpResponseMessage answer = await client.Http.GetAsync(
                new Uri(path, UriKind.Relative),
                TestContext.Current.CancellationToken
            );
            Assert.Equal("nosniff", Assert.Single(answer.Headers.GetValues("X-Content-Type-Options")));
            Assert.Equal("DENY", Assert.Single(answer.Headers.GetValues("X-Frame-Options")));
            Assert.StartsWith(
                "default-src 'self'; script-src 'self';",
                Assert.Single(answer.Headers.GetValues("Content-Security-Policy")),
                StringComparison.Ordinal
            );
            Assert.False(answer.Headers.Contains("Server"));
        }
    }
}
