using Graftbench.Core.Heating;
using Graftbench.Store;
using Graftbench.Watch;
using Graftbench.Web.Benches;
using Graftbench.Web.BoardMap;
using Graftbench.Web.Demo;
using Graftbench.Web.Desk;
using Graftbench.Web.Diagnosing;
using Graftbench.Web.Fitting;
using Graftbench.Web.HandingOver;
using Graftbench.Web.Heating;
using Graftbench.Web.Hosting;
using Graftbench.Web.Imaging;
using Graftbench.Web.Import;
using Graftbench.Web.Insight;
using Graftbench.Web.Inspecting;
using Graftbench.Web.JobScreen;
using Graftbench.Web.Keeping;
using Graftbench.Web.Live;
using Graftbench.Web.Network;
using Graftbench.Web.NewJob;
using Graftbench.Web.Proving;
using Graftbench.Web.Reference;
using Graftbench.Web.Reviewing;
using Graftbench.Web.Search;
using Graftbench.Web.Seating;
using Graftbench.Web.Shelf;
using Graftbench.Web.Shell;
using Graftbench.Web.Today;
using Graftbench.Web.Watching;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.ResponseCompression;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;

namespace Graftbench.Web;

/// <summary>How the bench server is started.</summary>
public sealed record BenchOptions
{
    /// <summary>Folder that holds the store.</summary>
    public required string DataFolder { get; init; }

    /// <summary>Where the store lies; null for the file in the data folder.</summary>
    public StorePlace? Store { get; init; }

    /// <summary>Where and how often the server backs the store up by itself; null where it does not.</summary>
    public BackupPlan? Backup { get; init; }

    /// <summary>Port on 127.0.0.1; 0 lets the system choose.</summary>
    public int Port { get; init; }

    /// <summary>Whether the invented demo shop is loaded, once, into an empty store.</summary>
    public bool LoadDemo { get; init; } = true;

    /// <summary>The clock.</summary>
    public TimeProvider Time { get; init; } = TimeProvider.System;

    /// <summary>Computes heat plans; null where none can be computed, which the pages then say.</summary>
    public HeatPlanning? Heat { get; init; } = DeskPlanner.With(new HeatModels());

    /// <summary>How other devices are answered; null for this machine only.</summary>
    public NetworkOptions? Network { get; init; }

    /// <summary>Computes how chips seat; null for a program without.</summary>
    public JointPlanning? Joints { get; init; } = SeatPlanner.Real;
}

/// <summary>Builds the web application; the command line and the browser tests start it.</summary>
public static class BenchServer
{
    /// <summary>Builds the application without starting it. It listens on 127.0.0.1 only, unless the options ask for other devices.</summary>
    /// <remarks>No settings file and no environment variable is read: what the options say is all that counts.</remarks>
    public static WebApplication Build(BenchOptions options)
    {
        ArgumentNullException.ThrowIfNull(options);
        WebApplicationBuilder builder = WebApplication.CreateEmptyBuilder(
            new WebApplicationOptions
            {
                ApplicationName = typeof(BenchServer).Assembly.GetName().Name,
                ContentRootPath = AppContext.BaseDirectory,
                EnvironmentName = "Production",
            }
        );
        builder.WebHost.UseKestrelCore();
        builder.WebHost.ConfigureKestrel(kestrel =>
        {
            kestrel.AddServerHeader = false;
            kestrel.Limits.MaxRequestBodySize = RequestGuard.MaxFormBytes;
        });
        NetworkDoor.Listen(builder.WebHost, options);
        AddServices(builder, options);
        WebApplication app = builder.Build();
        MapPipeline(app);
        // Opened before anything is served: a store that cannot be used ends the start, not every page.
        BenchStore store = app.Services.GetRequiredService<BenchStore>();
        // Heats that a program left when it died: their log becomes evidence, as interrupted.
        app.Services.GetRequiredService<RunHost>().Recover();
        if (options.LoadDemo)
        {
            DemoShop.LoadOnce(store, options.Time);
        }
        app.TellOfNetwork();
        return app;
    }

    private static void AddServices(WebApplicationBuilder builder, BenchOptions options)
    {
        builder.Logging.AddConsole(console => console.LogToStandardErrorThreshold = LogLevel.Trace);
        builder.Logging.SetMinimumLevel(LogLevel.Warning);
        // The key file lies in the owner's own data folder; there is no further secret to lock it with.
        builder.Logging.AddFilter("Microsoft.AspNetCore.DataProtection", LogLevel.Error);
        // A form without its token is answered with a page that says so; that is no news for the console.
        builder.Logging.AddFilter("Microsoft.AspNetCore.Antiforgery", LogLevel.Error);
        builder.Services.AddRoutingCore();
        builder.Services.AddHttpContextAccessor();
        builder.Services.AddRazorComponents();
        builder.Services.AddAntiforgery(antiforgery =>
        {
            antiforgery.Cookie.Name = "gb-form";
            antiforgery.Cookie.SameSite = SameSiteMode.Strict;
            antiforgery.Cookie.HttpOnly = true;
            antiforgery.Cookie.SecurePolicy = CookieSecurePolicy.SameAsRequest;
        });
        string keys = Path.Combine(options.DataFolder, "keys");
        builder
            .Services.AddDataProtection()
            .SetApplicationName("Graftbench")
            .PersistKeysToFileSystem(KeyFile.Folder(keys));
        builder.Services.AddHostFiltering(hosts =>
        {
            // With other devices the guard knows the hosts: they change with the network.
            hosts.AllowedHosts = options.Network is null ? ["127.0.0.1", "localhost"] : ["*"];
            hosts.AllowEmptyHosts = false;
        });
        builder.Services.AddResponseCompression(compression =>
        {
            compression.EnableForHttps = false;
            compression.Providers.Add<BrotliCompressionProvider>();
            compression.Providers.Add<GzipCompressionProvider>();
        });
        builder.Services.Configure<FormOptions>(form =>
        {
            form.ValueCountLimit = RequestGuard.MaxFormFields;
            form.ValueLengthLimit = (int)RequestGuard.MaxFormBytes;
            form.MultipartBodyLengthLimit = RequestGuard.MaxImportBytes;
        });
        builder.Services.AddSingleton(options.Time);
        builder.Services.AddSingleton(_ =>
            BenchStore.Open(options.Store ?? StorePlace.Of(options.DataFolder), options.Time)
        );
        builder.Services.AddSingleton(services => new BackupDesk(
            options.Backup,
            services.GetRequiredService<BenchStore>(),
            options.Time,
            services.GetRequiredService<ILogger<BackupDesk>>()
        ));
        builder.Services.AddHostedService(services => services.GetRequiredService<BackupDesk>());
        builder.Services.AddSingleton<BenchClock>();
        builder.Services.AddSingleton(services =>
        {
            BenchStore store = services.GetRequiredService<BenchStore>();
            return new HeatDesk(options.Heat, job => BenchKnowledge.With(store, job, options.Time.GetUtcNow()));
        });
        builder.Services.AddSingleton<TrialDesk>();
        builder.Services.AddSingleton(_ => new JointDesk(options.Joints));
        builder.Services.AddSingleton<RunDesk>();
        builder.Services.AddSingleton<JointShelf>();
        builder.Services.AddSingleton<ImageCache>();
        builder.Services.AddSingleton<FirmwareDesk>();
        builder.Services.AddSingleton<InspectionDesk>();
        builder.Services.AddSingleton<RecordBook>();
        builder.Services.AddSingleton<RecordWatch>();
        builder.Services.AddSingleton<SuggestedOutcomes>();
        builder.Services.AddSingleton<DiagnosisDesk>();
        builder.Services.AddSingleton<FitDesk>();
        builder.Services.AddSingleton<ReadingDesk>();
        builder.Services.AddSingleton<MeterHost>();
        builder.Services.AddSingleton<HandoverDesk>();
        builder.Services.AddSingleton<BenchPlans>();
        builder.Services.AddSingleton<InsightBook>();
        builder.Services.AddSingleton<InsightDesk>();
        builder.Services.AddSingleton<RunHost>();
        builder.Services.AddSingleton<WatchDesk>();
        builder.Services.AddScoped<Preferences>();
        builder.Services.AddNetwork(options, keys);
    }

    private static void MapPipeline(WebApplication server)
    {
        server.UseHostFiltering();
        server.UseResponseCompression();
        server.UseWebSockets(new WebSocketOptions { KeepAliveInterval = TimeSpan.FromSeconds(15) });
        server.UseHeadAsGet();
        // Before the guards: who may be answered depends on the address, and is decided before a body is read.
        server.UseRouting();
        server.UseMiddleware<AccessGuard>();
        server.UseMiddleware<RequestGuard>();
        server.UseMiddleware<PageGate>();
        RouteGroupBuilder app = server.MapGroup("");
        AccessTable.State(app);
        app.MapDevices();
        app.MapPairing();
        app.MapSignIn();
        app.MapAssets();
        app.MapGet("/health", () => Results.Text("ok"));
        app.MapPreferences();
        app.MapToday();
        app.MapSearch();
        app.MapLive();
        app.MapNewJob();
        app.MapJobScreen();
        app.MapImport();
        app.MapBoardMap();
        app.MapHeat();
        app.MapRuns();
        app.MapWatch();
        app.MapJoints();
        app.MapFirmware();
        app.MapPictures();
        app.MapDiagnosis();
        app.MapFit();
        app.MapReadings();
        app.MapProof();
        app.MapHandover();
        app.MapShelf();
        app.MapBenches();
        app.MapInsight();
        app.MapReference();
        app.MapFallback((HttpContext http) => Pages.NotFound(http.Request.Path.Value ?? ""));
    }
}
