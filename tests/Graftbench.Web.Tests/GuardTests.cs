using System.Net;
using System.Net.Http.Headers;
using System.Text;

namespace Graftbench.Web.Tests;

public class GuardTests(DemoBench bench) : IClassFixture<DemoBench>
{
    [Theory]
    [InlineData("/jobs/new")]
    [InlineData("/preferences")]
    [InlineData("/import")]
    [InlineData("/jobs/arcade-graphics-chip/dryer")]
    [InlineData("/jobs/arcade-graphics-chip/undo")]
    [InlineData("/jobs/arcade-graphics-chip/evidence/note")]
    [InlineData("/jobs/arcade-graphics-chip/edit/machine")]
    [InlineData("/nothing-here")]
    public async Task Post_without_the_form_token_is_refused(string address)
    {
        using BenchClient client = bench.Host.Client();
        await client.Get("/");
        using FormUrlEncodedContent content = new([KeyValuePair.Create("title", "x"), KeyValuePair.Create("do", "in")]);
        Answer answer = await client.Post(address, content);
        Assert.Equal(HttpStatusCode.BadRequest, answer.Status);
    }

    [Theory, InlineData("elsewhere.example"), InlineData("127.0.0.1.elsewhere.example"), InlineData("192.168.0.1")]
    public async Task Foreign_host_name_is_refused(string host)
    {
        using BenchClient client = bench.Host.Client();
        using HttpRequestMessage request = new(HttpMethod.Get, "/");
        request.Headers.Host = host;
        using HttpResponseMessage answer = await client.Http.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
    }

    [Fact]
    public async Task Form_beyond_its_limit_is_refused_with_the_limit()
    {
        using BenchClient client = bench.Host.Client();
        HtmlForm form = await client.Form("/jobs/arcade-graphics-chip", "/jobs/arcade-graphics-chip/evidence/note");
        Answer answer = await client.Post(form.With("note", new string('a', 5 * 1024 * 1024)));
        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, answer.Status);
        Assert.Contains("4 MB", answer.Html, StringComparison.Ordinal);
    }

    [
        Theory,
        InlineData("..\\..\\evil.html"),
        InlineData("../../evil.html"),
        InlineData("evil\u0001.html"),
        InlineData("...")
    ]
    public async Task Hostile_file_is_stored_under_a_plain_name_and_never_runs(string name)
    {
        using BenchClient client = bench.Host.Client();
        Answer answer = await Attach(
            client,
            name,
            "text/html",
            Encoding.UTF8.GetBytes($"<script>alert('{name.Length}')</script>")
        );
        Assert.Equal(HttpStatusCode.Redirect, answer.Status);

        Store.EvidenceLine line = bench
            .Host.Store.Evidence("arcade-graphics-chip")
            .Last(each => each.FileSha256 is not null);
        Assert.DoesNotContain("/", line.FileName!, StringComparison.Ordinal);
        Assert.DoesNotContain("\\", line.FileName!, StringComparison.Ordinal);
        using HttpResponseMessage file = await client.Http.GetAsync(
            new Uri($"/files/{line.FileSha256}", UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        Assert.Equal("application/octet-stream", file.Content.Headers.ContentType!.MediaType);
        Assert.Equal("attachment", file.Content.Headers.ContentDisposition!.DispositionType);
        Assert.Contains(
            "sandbox",
            Assert.Single(file.Headers.GetValues("Content-Security-Policy")),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task File_beyond_its_limit_is_refused_and_not_stored()
    {
        using BenchClient client = bench.Host.Client();
        int before = bench.Host.Store.Evidence("machine-tool-bridge-chip").Count;
        Answer answer = await Attach(
            client,
            "big.bin",
            "application/octet-stream",
            new byte[33 * 1024 * 1024],
            "machine-tool-bridge-chip"
        );
        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, answer.Status);
        Assert.Equal(before, bench.Host.Store.Evidence("machine-tool-bridge-chip").Count);
    }

    [Fact]
    public async Task Note_with_markup_is_shown_as_text()
    {
        using BenchClient client = bench.Host.Client();
        HtmlForm form = await client.Form(
            "/jobs/machine-tool-bridge-chip",
            "/jobs/machine-tool-bridge-chip/evidence/note"
        );
        await client.Post(form.With("note", "<img src=x onerror=alert(1)>"));
        string html = await client.Get("/jobs/machine-tool-bridge-chip");
        Assert.DoesNotContain("<img src=x", html, StringComparison.Ordinal);
        Assert.Contains("&lt;img src=x", html, StringComparison.Ordinal);
    }

    private static async Task<Answer> Attach(
        BenchClient client,
        string name,
        string mediaType,
        byte[] bytes,
        string job = "arcade-graphics-chip"
    )
    {
        HtmlForm form = await client.Form($"/jobs/{job}", $"/jobs/{job}/evidence/file");
        using MultipartFormDataContent content = new();
        using StringContent token = new(form["__RequestVerificationToken"]!);
        content.Add(token, "__RequestVerificationToken");
        using ByteArrayContent file = new(bytes);
        file.Headers.ContentType = new MediaTypeHeaderValue(mediaType);
        file.Headers.ContentDisposition = new ContentDispositionHeaderValue("form-data")
        {
            Name = "\"file\"",
            FileName = $"\"{name.Replace("\u0001", "_")}\"",
        };
        content.Add(file);
        return await client.Post(form.Action, content);
    }
}
