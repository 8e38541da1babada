using System.Net;
using System.Net.Security;
using System.Net.Sockets;
using System.Net.WebSockets;
using System.Security.Cryptography.X509Certificates;
using System.Text;
using Graftbench.Store;
using Graftbench.Web.Heating;
using Graftbench.Web.Network;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;

namespace Graftbench.Web.Tests.Network;

/// <summary>A really started bench that answers other devices, on two free ports of this machine, with a clock of the test's.</summary>
public sealed class NetworkBench : IAsyncDisposable
{
    public const string Owner = "Mina Vale";
    public const string Technician = "Jo Ferro";
    public const string Viewer = "Kim Lind";
    public const string Words = "four plain words here";

    // Hashing takes a third of a second; the same three people serve every test.
    private static readonly Lazy<Passphrase> Kept = new(() => Passphrase.Of(Words));
    private readonly WebApplication app;

    private NetworkBench(WebApplication app, string folder, FakeTimeProvider time)
    {
        this.app = app;
        Folder = folder;
        Time = time;
        Bench = new Uri(app.Urls.Single(url => url.StartsWith("http:", StringComparison.Ordinal)));
        Door = new Uri(app.Urls.Single(url => url.StartsWith("https:", StringComparison.Ordinal)));
    }

    public string Folder { get; }

    public FakeTimeProvider Time { get; }

    public Uri Bench { get; }

    public Uri Door { get; }

    public IServiceProvider Services => app.Services;

    public BenchStore Store => app.Services.GetRequiredService<BenchStore>();

    public HeatDesk Desk => app.Services.GetRequiredService<HeatDesk>();

    public AccessBook Book => app.Services.GetRequiredService<AccessBook>();

    public BenchNetwork Network => app.Services.GetRequiredService<BenchNetwork>();

    public IReadOnlyList<RouteEndpoint> Endpoints =>
        [.. app.Services.GetRequiredService<EndpointDataSource>().Endpoints.OfType<RouteEndpoint>()];

    /// <summary>Everything that is in the evidence: what was refused must not have added to it.</summary>
    public long Lines =>
        Store.Jobs().Sum(job => (long)Store.Evidence(job.Job.Id).Count) + Store.Evidence(BenchStore.ShopRecord).Count;

    public static async Task<NetworkBench> Start(
        bool people = true,
        string? folder = null,
        HeatPlanning? heat = null,
        bool demo = true,
        bool realTime = false
    )
    {
        string data = folder ?? Directory.CreateTempSubdirectory("graftbench-net-").FullName;
        FakeTimeProvider time = new(DateTimeOffset.UtcNow);
        WebApplication server = BenchServer.Build(
            new BenchOptions
            {
                DataFolder = data,
                LoadDemo = demo,
                Heat = heat,
                Time = realTime ? TimeProvider.System : time,
                Network = new NetworkOptions { Address = IPAddress.Loopback, Port = 0 },
            }
        );
        await server.StartAsync();
        NetworkBench bench = new(server, data, time);
        if (people)
        {
            bench.Book.Add(Owner, Role.Owner, Kept.Value);
            bench.Book.Add(Technician, Role.Technician, Kept.Value);
            bench.Book.Add(Viewer, Role.Viewer, Kept.Value);
        }
        return bench;
    }

    public BenchClient AtBench() => new(Bench);

    public DeviceClient Device() => new(Door, Network.Certificates!.AuthorityFile);

    /// <summary>Shows a code on the screen at the bench.</summary>
    public async Task<string> Code()
    {
        using BenchClient client = AtBench();
        Answer answer = await client.Post(await client.Form("/devices", "/devices/code"));
        Assert.Equal(HttpStatusCode.Redirect, answer.Status);
        string html = await client.Get("/devices");
        int at = html.IndexOf("class=\"code-text\">", StringComparison.Ordinal) + "class=\"code-text\">".Length;
        return html[at..(at + 9)];
    }

    public async Task<DeviceClient> Paired(string name = "Tablet")
    {
        DeviceClient device = Device();
        Answer answer = await device.Pair(await Code(), name);
        Assert.True(answer.Status == HttpStatusCode.Redirect, answer.Html);
        return device;
    }

    public async Task<DeviceClient> SignedIn(string person)
    {
        DeviceClient device = await Paired("Tablet of " + person);
        Answer answer = await device.SignIn(person, Words);
        Assert.True(answer.Status == HttpStatusCode.Redirect, answer.Html);
        return device;
    }

    public Device DeviceOf(string name) => Book.Devices.Single(device => device.Name == name);

    public async Task Stop()
    {
        await app.StopAsync();
        await app.DisposeAsync();
    }

    public async ValueTask DisposeAsync()
    {
        await Stop();
        Directory.Delete(Folder, recursive: true);
    }
}

/// <summary>A browser without scripts on another device: says where it comes from, trusts the bench's authority and nothing else.</summary>
public sealed class DeviceClient : IDisposable
{
    private readonly Uri door;
    private readonly SocketsHttpHandler handler;

    public DeviceClient(Uri door, byte[] authority)
    {
        this.door = door;
        handler = new SocketsHttpHandler { CookieContainer = Cookies, AllowAutoRedirect = false };
        X509ChainPolicy policy = new()
        {
            TrustMode = X509ChainTrustMode.CustomRootTrust,
            RevocationMode = X509RevocationMode.NoCheck,
        };
        policy.CustomTrustStore.Add(X509CertificateLoader.LoadCertificate(authority));
        handler.SslOptions.CertificateChainPolicy = policy;
        Http = new HttpClient(handler) { BaseAddress = door };
    }

    public CookieContainer Cookies { get; } = new();

    public HttpClient Http { get; }

    public string Origin => door.GetLeftPart(UriPartial.Authority);

    public string? Secret(string cookie) => Cookies.GetCookies(door)[cookie]?.Value;

    public void Keep(string cookie, string secret) =>
        Cookies.Add(new Cookie(cookie, secret, "/", door.Host) { Secure = true });

    /// <summary>Opens a live feed; the socket tells the status where it was refused.</summary>
    public async Task<ClientWebSocket> Feed(string path, string? origin = null)
    {
        ClientWebSocket socket = new();
        socket.Options.CollectHttpResponseDetails = true;
        socket.Options.SetRequestHeader("Origin", origin ?? Origin);
        UriBuilder live = new(new Uri(door, path)) { Scheme = "wss" };
        try
        {
            using HttpMessageInvoker invoker = new(handler, disposeHandler: false);
            await socket.ConnectAsync(live.Uri, invoker, TestContext.Current.CancellationToken);
        }
        catch (WebSocketException)
        {
            // What was answered stands in the socket.
        }
        return socket;
    }

    /// <summary>Sends a request as it is written, which no client's rules put right, and gives all that is answered.</summary>
    public async Task<string> Raw(string request)
    {
        using TcpClient tcp = new();
        await tcp.ConnectAsync(door.Host, door.Port, TestContext.Current.CancellationToken);
        await using SslStream tls = new(tcp.GetStream());
        await tls.AuthenticateAsClientAsync(
            new SslClientAuthenticationOptions
            {
                TargetHost = door.Host,
                CertificateChainPolicy = handler.SslOptions.CertificateChainPolicy,
            },
            TestContext.Current.CancellationToken
        );
        await tls.WriteAsync(Encoding.Latin1.GetBytes(request), TestContext.Current.CancellationToken);
        using StreamReader reader = new(tls, Encoding.Latin1);
        return await reader.ReadToEndAsync(TestContext.Current.CancellationToken);
    }

    public async Task<Answer> Get(string path)
    {
        using HttpResponseMessage answer = await Http.GetAsync(
            new Uri(path, UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        return await Read(answer);
    }

    public async Task<HtmlForm> Form(string path, string action) => HtmlForm.Of((await Get(path)).Html, action);

    public async Task<Answer> Post(HtmlForm form)
    {
        using FormUrlEncodedContent content = new(form.Fields);
        return await Post(form.Action, content);
    }

    public async Task<Answer> Post(string path, HttpContent content, params (string Name, string Value)[] headers)
    {
        using HttpRequestMessage request = new(HttpMethod.Post, new Uri(path, UriKind.Relative)) { Content = content };
        foreach ((string name, string value) in headers.Length == 0 ? [("Origin", Origin)] : headers)
        {
            request.Headers.TryAddWithoutValidation(name, value);
        }
        using HttpResponseMessage answer = await Http.SendAsync(request, TestContext.Current.CancellationToken);
        return await Read(answer);
    }

    public async Task<Answer> Pair(string code, string name) =>
        await Post((await Form("/pair", "/pair")).With("code", code).With("name", name));

    public async Task<Answer> SignIn(string person, string passphrase, string back = "/") =>
        await Post(
            (await Form("/sign-in", "/sign-in"))
                .With("person", person)
                .With("passphrase", passphrase)
                .With("back", back)
        );

    public void Dispose()
    {
        Http.Dispose();
        handler.Dispose();
    }

    private static async Task<Answer> Read(HttpResponseMessage answer) =>
        new(
            answer.StatusCode,
            answer.Headers.Location?.ToString(),
            await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)
        );
}
