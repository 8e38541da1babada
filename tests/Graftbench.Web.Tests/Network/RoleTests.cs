using System.Net;
using System.Net.WebSockets;
using Graftbench.Web.Network;
using Microsoft.AspNetCore.Routing;
using Microsoft.AspNetCore.Routing.Patterns;

namespace Graftbench.Web.Tests.Network;

/// <summary>One bench with somebody of each role signed in.</summary>
public sealed class RolesBench : IAsyncLifetime
{
    public NetworkBench Host { get; private set; } = null!;

    public DeviceClient Owner { get; private set; } = null!;

    public DeviceClient Technician { get; private set; } = null!;

    public DeviceClient Viewer { get; private set; } = null!;

    public async ValueTask InitializeAsync()
    {
        Host = await NetworkBench.Start();
        Owner = await Host.SignedIn(NetworkBench.Owner);
        Technician = await Host.SignedIn(NetworkBench.Technician);
        Viewer = await Host.SignedIn(NetworkBench.Viewer);
    }

    public async ValueTask DisposeAsync()
    {
        Owner.Dispose();
        Technician.Dispose();
        Viewer.Dispose();
        await Host.DisposeAsync();
    }
}

/// <summary>Every address that the program has, asked for by somebody who may not.</summary>
public class RoleTests(RolesBench bench) : IClassFixture<RolesBench>
{
    /// <summary>What a viewer may send: nothing of it changes a job or the shop.</summary>
    private static readonly HashSet<string> OfTheViewer = new(StringComparer.Ordinal)
    {
        "/pair",
        "/sign-in",
        "/sign-out",
        "/preferences",
        "/me/passphrase",
    };

    private IEnumerable<(RouteEndpoint Endpoint, string Method, string Path)> All =>
        bench.Host.Endpoints.Select(endpoint =>
            (
                endpoint,
                endpoint.Metadata.GetMetadata<IHttpMethodMetadata>()?.HttpMethods.Single() ?? "*",
                PathOf(endpoint.RoutePattern)
            )
        );

    [Fact]
    public void Every_address_states_its_role()
    {
        Assert.True(bench.Host.Endpoints.Count > 100);
        List<string> without =
        [
            .. All.Where(one => one.Endpoint.Metadata.GetMetadata<NeededRole>() is null)
                .Select(one => $"{one.Method} {one.Endpoint.RoutePattern.RawText}"),
        ];
        Assert.True(without.Count == 0, "Put into AccessTable: " + string.Join(", ", without));
    }

    [Fact]
    public void The_table_lists_no_address_that_is_not_there()
    {
        HashSet<string> there = All.Select(one => $"{one.Method} /{one.Endpoint.RoutePattern.RawText!.TrimStart('/')}")
            .ToHashSet(StringComparer.Ordinal);
        Assert.All(AccessTable.All.Keys, row => Assert.Contains(row, there));
    }

    [Fact]
    public void Every_change_needs_a_technician_or_more()
    {
        Assert.All(
            All.Where(one => one.Method == "POST" && !OfTheViewer.Contains(one.Endpoint.RoutePattern.RawText!)),
            one => Assert.True(one.Endpoint.Metadata.GetMetadata<NeededRole>()!.Role >= Role.Technician, one.Path)
        );
    }

    [Fact]
    public async Task Nobody_gets_anything_but_the_pairing_page()
    {
        using DeviceClient nobody = bench.Host.Device();
        long before = bench.Host.Lines;
        foreach ((RouteEndpoint endpoint, string method, string path) in All)
        {
            if (endpoint.Metadata.GetMetadata<NeededRole>()!.Role == Role.Anyone)
            {
                continue;
            }
            using StringContent body = new("note=x");
            Answer answer = method == "POST" ? await nobody.Post(path, body) : await nobody.Get(path);
            Assert.True(answer.Status == HttpStatusCode.Unauthorized, $"{method} {path}: {(int)answer.Status}");
            Assert.Contains("This device is not paired", answer.Html, StringComparison.Ordinal);
            Assert.DoesNotContain("arcade", answer.Html, StringComparison.OrdinalIgnoreCase);
        }
        Assert.Equal(before, bench.Host.Lines);
    }

    [Fact]
    public async Task A_paired_device_without_a_person_gets_nothing_but_the_sign_in_page()
    {
        using DeviceClient paired = await bench.Host.Paired("Lonely");
        long before = bench.Host.Lines;
        foreach ((RouteEndpoint endpoint, string method, string path) in All)
        {
            if (endpoint.Metadata.GetMetadata<NeededRole>()!.Role <= Role.Paired)
            {
                continue;
            }
            using StringContent body = new("note=x");
            Answer answer = method == "POST" ? await paired.Post(path, body) : await paired.Get(path);
            Assert.True(answer.Status == HttpStatusCode.Unauthorized, $"{method} {path}: {(int)answer.Status}");
            Assert.Contains("Who are you?", answer.Html, StringComparison.Ordinal);
        }
        Assert.Equal(before, bench.Host.Lines);
    }

    [Fact]
    public async Task A_viewer_is_refused_every_change_and_every_download()
    {
        long before = bench.Host.Lines;
        foreach ((RouteEndpoint endpoint, string method, string path) in All)
        {
            if (endpoint.Metadata.GetMetadata<NeededRole>()!.Role <= Role.Viewer)
            {
                continue;
            }
            using StringContent body = new("note=x");
            Answer answer = method == "POST" ? await bench.Viewer.Post(path, body) : await bench.Viewer.Get(path);
            Assert.True(answer.Status == HttpStatusCode.Forbidden, $"{method} {path}: {(int)answer.Status}");
            Assert.Contains("Not for your role", answer.Html, StringComparison.Ordinal);
        }
        Assert.Equal(before, bench.Host.Lines);
    }

    [Fact]
    public async Task A_technician_is_refused_people_and_devices()
    {
        long before = bench.Host.Lines;
        foreach ((RouteEndpoint endpoint, string method, string path) in All)
        {
            if (endpoint.Metadata.GetMetadata<NeededRole>()!.Role <= Role.Technician)
            {
                continue;
            }
            using StringContent body = new("name=x");
            Answer answer =
                method == "POST" ? await bench.Technician.Post(path, body) : await bench.Technician.Get(path);
            Assert.True(answer.Status == HttpStatusCode.Forbidden, $"{method} {path}: {(int)answer.Status}");
        }
        Assert.Equal(before, bench.Host.Lines);
    }

    [Theory]
    [InlineData("/")]
    [InlineData("/jobs/arcade-graphics-chip")]
    [InlineData("/jobs/arcade-graphics-chip/sheet")]
    [InlineData("/jobs/arcade-graphics-chip/readings")]
    [InlineData("/shelf")]
    [InlineData("/reference")]
    public async Task A_viewer_sees_pages(string path)
    {
        Answer answer = await bench.Viewer.Get(path);
        Assert.Equal(HttpStatusCode.OK, answer.Status);
    }

    [Theory, InlineData(true), InlineData(false)]
    public async Task A_live_feed_is_refused_to_nobody(bool paired)
    {
        using DeviceClient device = paired ? await bench.Host.Paired("Lonely feed") : bench.Host.Device();
        using ClientWebSocket socket = await device.Feed("/jobs/x/watch/x/live");
        Assert.Equal(HttpStatusCode.Unauthorized, socket.HttpStatusCode);
    }

    [Fact]
    public async Task An_owner_manages_people_from_a_device()
    {
        Answer page = await bench.Owner.Get("/devices");
        Assert.Equal(HttpStatusCode.OK, page.Status);
        HtmlForm form = HtmlForm
            .Of(page.Html, "/people")
            .With("name", "Ada Nox")
            .With("role", "viewer")
            .With("passphrase", "a long enough phrase");
        Assert.Equal(HttpStatusCode.Redirect, (await bench.Owner.Post(form)).Status);
        Store.EvidenceLine line = bench.Host.Store.Evidence(Store.BenchStore.ShopRecord)[^1];
        Assert.Equal(("person-added", NetworkBench.Owner), (line.Kind, line.Who));
        Assert.DoesNotContain("phrase", line.PayloadJson, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Only_an_owner_is_offered_to_take_out_personal_data()
    {
        const string job = "/jobs/arcade-graphics-chip";
        Assert.Contains("/personal-data", (await bench.Owner.Get(job)).Html, StringComparison.Ordinal);
        Assert.DoesNotContain("/personal-data", (await bench.Technician.Get(job)).Html, StringComparison.Ordinal);
        Answer page = await bench.Owner.Get(job + "/personal-data");
        Answer look = await bench.Owner.Post(HtmlForm.Of(page.Html, job + "/personal-data/look").With("words", "ab"));
        Assert.Equal(HttpStatusCode.OK, look.Status);
        Assert.Contains("fewer than 3 characters", look.Html, StringComparison.Ordinal);
    }

    private static string PathOf(RoutePattern pattern) =>
        "/"
        + string.Join(
            '/',
            pattern.PathSegments.Select(segment =>
                string.Concat(
                    segment.Parts.Select(part =>
                        part switch
                        {
                            RoutePatternLiteralPart literal => literal.Content,
                            RoutePatternParameterPart { Name: "id" } => "arcade-graphics-chip",
                            RoutePatternParameterPart { Name: "line" } => "1",
                            RoutePatternParameterPart { Name: "board" } => "host",
                            RoutePatternParameterPart { Name: "task" } => "place",
                            _ => "x",
                        }
                    )
                )
            )
        );
}
