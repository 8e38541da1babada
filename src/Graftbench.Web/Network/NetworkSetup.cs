using Graftbench.Web.Hosting;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;

namespace Graftbench.Web.Network;

/// <summary>Puts the parts of this folder into the server.</summary>
internal static class NetworkSetup
{
    public static void AddNetwork(this IServiceCollection services, BenchOptions options, string keys)
    {
        services.AddSingleton(all => new BenchNetwork(
            options.Network,
            keys,
            options.Time,
            all.GetRequiredService<IServer>()
        ));
        services.AddSingleton(_ => new AccessBook(keys, options.Time));
        services.AddSingleton<PairingCodes>();
        services.AddSingleton<Sessions>();
        services.AddSingleton<OpenRequests>();
        services.AddSingleton<Attempts>();
        services.AddSingleton<AuditTrail>();
        services.AddScoped<VisitorAccess>();
    }

    /// <summary>HEAD is answered like GET; the server itself leaves the body out.</summary>
    public static void UseHeadAsGet(this IApplicationBuilder app) =>
        app.Use(
            (http, next) =>
            {
                if (HttpMethods.IsHead(http.Request.Method))
                {
                    http.Request.Method = HttpMethods.Get;
                }
                return next(http);
            }
        );

    /// <summary>Opens keys and certificates before anything is served, and writes down that other devices are answered.</summary>
    public static void TellOfNetwork(this WebApplication app)
    {
        BenchNetwork network = app.Services.GetRequiredService<BenchNetwork>();
        if (network.Certificates is { } certificates)
        {
            app.Lifetime.ApplicationStarted.Register(() =>
                app
                    .Services.GetRequiredService<AuditTrail>()
                    .Add(
                        Saving.WhoWithoutJob,
                        "network-started",
                        $"Other devices are answered at {string.Join(", ", network.Urls)}; authority SHA-256 {certificates.AuthorityFingerprint}."
                    )
            );
        }
    }
}
