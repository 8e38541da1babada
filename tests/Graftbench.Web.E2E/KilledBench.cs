using System.Diagnostics;
using System.Globalization;
using System.Linq.Expressions;
using System.Runtime.CompilerServices;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Tests.Shared;
using Graftbench.Web.Heating;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;

namespace Graftbench.Web.E2E;

/// <summary>The bench in a process of its own, to be killed: this very test program, started with a variable set.</summary>
internal static class KilledBench
{
    private const string Variable = "GRAFTBENCH_TEST_BENCH";
    private const char Separator = '\u001f';
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);

    /// <summary>Starts it and waits until it answers.</summary>
    public static async Task<Process> Start(string folder, int port)
    {
        string? program = Environment.ProcessPath;
        ProcessStartInfo start = new(program!) { UseShellExecute = false, RedirectStandardError = true };
        if (Path.GetFileNameWithoutExtension(program) == "dotnet")
        {
            start.ArgumentList.Add(typeof(KilledBench).Assembly.Location);
        }
        start.Environment[Variable] = string.Join(Separator, folder, port.ToString(CultureInfo.InvariantCulture));
        Process process = Process.Start(start)!;
        process.ErrorDataReceived += (_, _) => { };
        process.BeginErrorReadLine();
        using HttpClient http = new();
        Uri health = new($"http://127.0.0.1:{port.ToString(CultureInfo.InvariantCulture)}/health");
        Stopwatch waited = Stopwatch.StartNew();
        while (true)
        {
            try
            {
                Assert.Equal("ok", await http.GetStringAsync(health));
                return process;
            }
            catch (HttpRequestException) when (waited.Elapsed < Patience && !process.HasExited)
            {
                await Task.Delay(50);
            }
        }
    }

    // Runs before the test program's own Main, which the test framework generates.
#pragma warning disable CA2255 // The module initializer is meant for this one use.
    [ModuleInitializer]
    internal static void Run()
#pragma warning restore CA2255
    {
        if (Environment.GetEnvironmentVariable(Variable) is not { Length: > 0 } order)
        {
            return;
        }
        string[] parts = order.Split(Separator);
        Serve(parts[0], int.Parse(parts[1], CultureInfo.InvariantCulture));
        Environment.Exit(0);
    }

    private static string Demo()
    {
        string? at = AppContext.BaseDirectory;
        while (at is not null && !File.Exists(Path.Combine(at, "Graftbench.slnx")))
        {
            at = Path.GetDirectoryName(at);
        }
        return Path.Combine(at!, "demo", "arcade-graphics-chip.json");
    }

    private static void Serve(string folder, int port)
    {
        Job demo = JobReader.Read(File.ReadAllBytes(Demo()), DateTimeOffset.UtcNow).Job!;
        // Code of this assembly would wait for its initializer, which never ends here: the plan is made on this thread, and
        // what hands it out on others is compiled apart.
        HeatPlan plan = WatchPlans.Of(demo, HeatTask.Place, "GFX");
        HeatPlanning planning = Expression
            .Lambda<HeatPlanning>(
                Expression.Constant(plan),
                typeof(HeatPlanning)
                    .GetMethod("Invoke")!
                    .GetParameters()
                    .Select(each => Expression.Parameter(each.ParameterType))
            )
            .Compile();
        WebApplication app = BenchServer.Build(
            new BenchOptions
            {
                DataFolder = folder,
                Port = port,
                Heat = planning,
            }
        );
        Job job = app.Services.GetRequiredService<BenchStore>().FindJob("arcade-graphics-chip")!.Job;
        app.Services.GetRequiredService<HeatDesk>().Request(job, HeatTask.Place, "GFX");
        app.Run();
    }
}
