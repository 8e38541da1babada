using System.Net;
using System.Text.RegularExpressions;

namespace Graftbench.Web.Tests;

public sealed class DemoBench : IAsyncLifetime
{
    public BenchHost Host { get; private set; } = null!;

    public async ValueTask InitializeAsync() => Host = await BenchHost.Start(demo: true);

    public ValueTask DisposeAsync() => Host.DisposeAsync();
}

public class PageTests(DemoBench bench) : IClassFixture<DemoBench>
{
    public static TheoryData<string> Addresses =>
        [
            "/",
            "/jobs/new",
            "/import",
            "/shelf",
            "/shelf/board/new",
            "/shelf/chip/new",
            "/shelf/material/new",
            "/reference",
            "/reference?q=cell",
            "/jobs/arcade-graphics-chip",
            "/jobs/machine-tool-bridge-chip",
            "/jobs/mixing-desk-signal-processor",
            "/jobs/arcade-graphics-chip/edit/machine",
            "/jobs/arcade-graphics-chip/edit/host",
            "/jobs/arcade-graphics-chip/edit/host-parts",
            "/jobs/arcade-graphics-chip/edit/donor",
            "/jobs/arcade-graphics-chip/edit/donor-parts",
            "/jobs/arcade-graphics-chip/edit/chips",
            "/jobs/arcade-graphics-chip/edit/dryer",
            "/jobs/arcade-graphics-chip/edit/materials",
            "/jobs/arcade-graphics-chip/edit/history",
            "/jobs/arcade-graphics-chip/edit/heats",
            "/jobs/arcade-graphics-chip/edit/weighings",
            "/jobs/arcade-graphics-chip/add/weighing",
            "/jobs/arcade-graphics-chip/add/heat",
        ];

    [Theory, MemberData(nameof(Addresses))]
    public async Task Page_answers_with_headers_and_nothing_inline(string address)
    {
        using BenchClient client = bench.Host.Client();
        using HttpResponseMessage answer = await client.Http.GetAsync(
            new Uri(address, UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        string html = await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        string policy = Assert.Single(answer.Headers.GetValues("Content-Security-Policy"));
        Assert.Contains("default-src 'self'", policy, StringComparison.Ordinal);
        Assert.DoesNotContain("unsafe", policy, StringComparison.Ordinal);
        Assert.Equal("nosniff", Assert.Single(answer.Headers.GetValues("X-Content-Type-Options")));
        Assert.Equal("DENY", Assert.Single(answer.Headers.GetValues("X-Frame-Options")));
        Assert.DoesNotMatch(
            new Regex(
                "\\sstyle=\"|<style|\\son[a-z]+=\"|javascript:",
                RegexOptions.IgnoreCase,
                TimeSpan.FromSeconds(5)
            ),
            html
        );
        Assert.DoesNotMatch(
            new Regex(
                "(src|href)=\"(https?:)?//",
                RegexOptions.IgnoreCase | RegexOptions.ExplicitCapture,
                TimeSpan.FromSeconds(5)
            ),
            html
        );
        Assert.Contains("<main", html, StringComparison.Ordinal);
        Assert.Matches("<h1[ >]", html);
        Assert.Contains("<title>", html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task First_page_and_its_assets_are_small_on_the_wire()
    {
        using BenchClient client = bench.Host.Client();
        client.Http.DefaultRequestHeaders.AcceptEncoding.ParseAdd("br");
        string[] addresses = ["/", .. await AssetAddresses()];
        long bytes = 0;
        foreach (string address in addresses)
        {
            byte[] body = await client.Http.GetByteArrayAsync(
                new Uri(address, UriKind.Relative),
                TestContext.Current.CancellationToken
            );
            bytes += body.Length;
        }
        Assert.InRange(bytes, 1_000, 150_000);
    }

    [Fact]
    public async Task Assets_are_kept_for_good_and_answer_304_to_their_tag()
    {
        using BenchClient client = bench.Host.Client();
        foreach (string address in await AssetAddresses())
        {
            using HttpResponseMessage first = await client.Http.GetAsync(
                new Uri(address, UriKind.Relative),
                TestContext.Current.CancellationToken
            );
            Assert.Equal(HttpStatusCode.OK, first.StatusCode);
            Assert.Contains("immutable", first.Headers.CacheControl!.ToString(), StringComparison.Ordinal);
            using HttpRequestMessage again = new(HttpMethod.Get, address);
            again.Headers.IfNoneMatch.Add(first.Headers.ETag!);
            using HttpResponseMessage second = await client.Http.SendAsync(
                again,
                TestContext.Current.CancellationToken
            );
            Assert.Equal(HttpStatusCode.NotModified, second.StatusCode);
        }
    }

    [Fact]
    public async Task Ten_questions_stand_in_order_and_those_not_built_say_so()
    {
        using BenchClient client = bench.Host.Client();
        string html = await client.Get("/jobs/arcade-graphics-chip");
        int at = 0;
        for (int number = 1; number <= 10; number++)
        {
            int next = html.IndexOf($"<article class=\"card panel", at, StringComparison.Ordinal);
            Assert.True(next >= at);
            Assert.Contains($"id=\"question-{number}\"", html[next..(next + 200)], StringComparison.Ordinal);
            at = next + 1;
        }
        Assert.Contains("not computed yet", html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Drying_card_shows_both_answers_and_a_countdown()
    {
        using BenchClient client = bench.Host.Client();
        string html = await client.Get("/jobs/arcade-graphics-chip");
        Assert.Contains("Table of the standard", html, StringComparison.Ordinal);
        Assert.Contains("95 % band", html, StringComparison.Ordinal);
        Assert.Contains("Floor-life clock", html, StringComparison.Ordinal);
        Assert.Contains("<gb-countdown><time datetime=", html, StringComparison.Ordinal);
        Assert.Contains("<gb-profile data-profile=", html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Fahrenheit_is_shown_beside_and_entries_stay_in_Celsius()
    {
        using BenchClient client = bench.Host.Client();
        HtmlForm preferences = await client.Form("/", "/preferences");
        Answer answer = await client.Post(preferences.With("unit", "f").With("back", "/jobs/machine-tool-bridge-chip"));
        Assert.Equal("/jobs/machine-tool-bridge-chip", answer.Location);
        Assert.Contains(
            "60 °C (140 °F)",
            WebUtility.HtmlDecode(await client.Get("/jobs/machine-tool-bridge-chip")),
            StringComparison.Ordinal
        );
        Assert.Contains(
            "<span class=\"unit\">°C</span>",
            WebUtility.HtmlDecode(await client.Get("/jobs/machine-tool-bridge-chip/edit/dryer")),
            StringComparison.Ordinal
        );
    }

    [
        Theory,
        InlineData("//elsewhere.example/"),
        InlineData("https://elsewhere.example/"),
        InlineData("/\\elsewhere.example"),
        InlineData("")
    ]
    public async Task Preferences_never_send_anyone_elsewhere(string back)
    {
        using BenchClient client = bench.Host.Client();
        HtmlForm preferences = await client.Form("/", "/preferences");
        Answer answer = await client.Post(preferences.With("theme", "dark").With("back", back));
        Assert.Equal("/", answer.Location);
        Assert.Contains("data-theme=\"dark\"", await client.Get("/"), StringComparison.Ordinal);
    }

    [
        Theory,
        InlineData("/nothing"),
        InlineData("/jobs/none"),
        InlineData("/jobs/none/edit/machine"),
        InlineData("/files/00"),
        InlineData("/shelf/rocket/new")
    ]
    public async Task Unknown_address_is_a_404_page(string address)
    {
        using BenchClient client = bench.Host.Client();
        using HttpResponseMessage answer = await client.Http.GetAsync(
            new Uri(address, UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
        Assert.Contains(
            "Back to Today",
            await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken),
            StringComparison.Ordinal
        );
    }

    private async Task<IReadOnlyList<string>> AssetAddresses()
    {
        using BenchClient client = bench.Host.Client();
        return Regex
            .Matches(
                await client.Get("/"),
                "\"(?<address>/assets/[^\"]+)\"",
                RegexOptions.ExplicitCapture,
                TimeSpan.FromSeconds(1)
            )
            .Select(match => match.Groups["address"].Value)
            .ToList();
    }
}
