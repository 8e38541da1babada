using System.Net;
using Graftbench.Store;
using Graftbench.Web.Heating;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;

namespace Graftbench.Web.Tests;

/// <summary>A really started server on a free port, over a store in a folder of its own.</summary>
public sealed class BenchHost : IAsyncDisposable
{
    private readonly WebApplication app;
    private readonly string folder;

    private BenchHost(WebApplication app, string folder)
    {
        this.app = app;
        this.folder = folder;
        Address = new Uri(app.Urls.Single());
    }

    public Uri Address { get; }

    public HeatDesk Desk => app.Services.GetRequiredService<HeatDesk>();

    public BenchStore Store => app.Services.GetRequiredService<BenchStore>();

    public static async Task<BenchHost> Start(
        bool demo = false,
        HeatPlanning? heat = null,
        Func<BenchOptions, BenchOptions>? with = null
    )
    {
        string data = Directory.CreateTempSubdirectory("graftbench-web-").FullName;
        BenchOptions options = new()
        {
            DataFolder = data,
            LoadDemo = demo,
            Heat = heat,
        };
        WebApplication server = BenchServer.Build(with is null ? options : with(options));
        await server.StartAsync();
        return new BenchHost(server, data);
    }

    public BenchClient Client() => new(Address);

    public async ValueTask DisposeAsync()
    {
        await app.StopAsync();
        await app.DisposeAsync();
        Directory.Delete(folder, recursive: true);
    }
}

/// <summary>A browser without scripts: keeps cookies, reads forms and posts them.</summary>
public sealed class BenchClient : IDisposable
{
    private readonly HttpClient http;

    public BenchClient(Uri address)
    {
        Cookies = new CookieContainer();
        http = new HttpClient(new HttpClientHandler { CookieContainer = Cookies, AllowAutoRedirect = false })
        {
            BaseAddress = address,
        };
    }

    public CookieContainer Cookies { get; }

    public HttpClient Http => http;

    public async Task<string> Get(string path)
    {
        using HttpResponseMessage answer = await http.GetAsync(
            new Uri(path, UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        string html = await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.True(answer.StatusCode == HttpStatusCode.OK, $"{path} answered {(int)answer.StatusCode}: {html}");
        return html;
    }

    public async Task<HtmlForm> Form(string path, string action) => HtmlForm.Of(await Get(path), action);

    public async Task<Answer> Post(HtmlForm form)
    {
        using FormUrlEncodedContent content = new(form.Fields);
        return await Post(form.Action, content);
    }

    public async Task<Answer> Post(string path, HttpContent content)
    {
        using HttpResponseMessage answer = await http.PostAsync(
            new Uri(path, UriKind.Relative),
            content,
            TestContext.Current.CancellationToken
        );
        return new Answer(
            answer.StatusCode,
            answer.Headers.Location?.ToString(),
            await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)
        );
    }

    public void Dispose() => http.Dispose();
}

public sealed record Answer(HttpStatusCode Status, string? Location, string Html);
