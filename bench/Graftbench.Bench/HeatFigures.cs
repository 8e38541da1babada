using System.Diagnostics;
using System.Runtime.CompilerServices;
using Graftbench.Core;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Bench;

/// <summary>
/// Times and errors of the heat model in one table: whole runs take seconds, so that a median of three says enough.
/// <c>dotnet run -c Release --project bench/Graftbench.Bench -- heat</c>
/// </summary>
internal static class HeatFigures
{
    private const int Repeats = 3;

    /// <summary>Prints the table.</summary>
    public static void Print()
    {
        HeatCase centred = Case("centred-package");
        HeatCase neighbours = Case("package-among-neighbours");
        Say($"| full model | nodes | steps | s | allocated MB | iterations |");
        Say($"| --- | --- | --- | --- | --- | --- |");
        Full("centred package, usual grid", centred, HeatMesh.Usual);
        Full("package among neighbours, usual grid", neighbours, HeatMesh.Usual);
        Full("the same, grid of plans", neighbours, HeatMesh.Plan);
        Full("the same, coarser by 1.7", neighbours, HeatMesh.Plan.Scaled(1.7));
        Full("the same, finer by 1.5", neighbours, HeatMesh.Usual.Scaled(1 / 1.5));
        Full("usual grid, twice as long", neighbours with { DurationS = 900 }, HeatMesh.Usual);
        Full("usual grid, step 2 s", neighbours, HeatMesh.Usual with { StepS = 2 });
        Full("usual grid, melting balls", Melting(Planned(neighbours), true), HeatMesh.Usual);
        Say($"peak of the process {Process.GetCurrentProcess().PeakWorkingSet64 / 1e6:0} MB");
        Reduced(neighbours);
        Plan(Path.Combine(Folder(), "../../demo/arcade-graphics-chip.json"));
        Against(centred);
    }

    /// <summary>Only the comparison with finite elements, which takes minutes.</summary>
    public static void Elements() => Against(Case("centred-package"));

    // Each step as the person sees it, on the demo job: search, samples, full run and remedies.
    private static void Plan(string jobPath)
    {
        Job job =
            JobReader.Read(File.ReadAllBytes(jobPath), DateTimeOffset.UtcNow).Job
            ?? throw new InvalidOperationException($"{jobPath} does not read as a job.");
        StepClock clock = new();
        Stopwatch whole = Stopwatch.StartNew();
        HeatPlan plan = HeatPlanner.Plan(
            new HeatRequest(job, HeatTask.Place, "GFX") { Workers = Environment.ProcessorCount },
            new HeatModels(),
            clock
        );
        clock.Report(new PlanProgress("end", 1));
        Say($"plan of the demo job, {plan.State}: {whole.Elapsed.TotalSeconds:0.0} s");
        foreach ((string step, double seconds) in clock.Steps)
        {
            Say($"    {step}: {seconds:0.00} s");
        }
    }

    // Reports come from several threads at once.
    private sealed class StepClock : IProgress<PlanProgress>
    {
        private readonly Stopwatch clock = Stopwatch.StartNew();
        private readonly Lock gate = new();
        private string now = "start";

        public List<(string Step, double Seconds)> Steps { get; } = [];

        public void Report(PlanProgress value)
        {
            lock (gate)
            {
                if (value.Step == now)
                {
                    return;
                }
                Steps.Add((now, clock.Elapsed.TotalSeconds));
                now = value.Step;
                clock.Restart();
            }
        }
    }

    private static void Full(string what, HeatCase heat, HeatMesh mesh)
    {
        HeatForecast? forecast = null;
        double megabytes = 0;
        double seconds = Median(() =>
        {
            long before = GC.GetTotalAllocatedBytes(precise: true);
            forecast = HeatForecaster.Forecast(heat, mesh, withErrors: false, null, CancellationToken.None);
            megabytes = (GC.GetTotalAllocatedBytes(precise: true) - before) / 1e6;
        });
        Say(
            $"| {what} | {forecast!.Nodes:N0} | {heat.DurationS / forecast.StepS:0} | {seconds:0.00} | {megabytes:0} | {forecast.Iterations:N0} |"
        );
    }

    private static void Reduced(HeatCase heat)
    {
        foreach (bool melts in new[] { false, true })
        {
            HeatCase planned = Melting(Planned(heat), melts);
            ReducedModel? model = null;
            double build = Median(() =>
                model = ReducedBuilder.Build(
                    planned,
                    HeatMesh.Plan,
                    new ReducedLevels(300, 220),
                    [.. planned.Probes.Select(p => (p.XMm, p.YMm, p.ZMm))],
                    1,
                    null,
                    CancellationToken.None
                )
            );
            const int Many = 100;
            double[][] curves = [];
            double run = Median(() =>
            {
                for (int r = 0; r < Many; r++)
                {
                    curves = model!.Run(planned.Signals, planned.DurationS, HeatFactors.Nominal);
                }
            });
            Say(
                $"reduced model, melting {melts}: built in {build:0.0} s, {model!.States} states, a run of {planned.DurationS:0} s takes {1000 * run / Many:0.00} ms, {curves[0].Max():0.0} °C"
            );
        }
    }

    private static void Against(HeatCase heat)
    {
        if (!CalculixDeck.Installed)
        {
            Say($"ccx is not installed (Debian package calculix-ccx): no comparison.");
            return;
        }
        HeatCase timed = heat with
        {
            TimesS = [.. Enumerable.Range(1, (int)(heat.DurationS / 30)).Select(n => 30.0 * n)],
        };
        HeatNetwork network = HeatNetwork.Of(timed, HeatMesh.Usual, HeatFactors.Nominal);
        HeatForecast? own = null;
        double ownS = Median(() =>
            own = HeatForecaster.Forecast(timed, HeatMesh.Usual, withErrors: false, null, CancellationToken.None)
        );
        double[][] five = CalculixDeck.Run(timed, network, 5, out double fiveS);
        double[][] half = CalculixDeck.Run(timed, network, 2.5, out double halfS);
        // Backward Euler is of first order: the limit is twice the finer run less the coarser one.
        double[][] limit = [.. five.Zip(half, (a, b) => a.Zip(b, (x, y) => 2 * y - x).ToArray())];
        Say(
            $"{heat.Name}: {network.Count:N0} nodes, largest difference at the probes to 8-node bricks on the same grid"
        );
        Say($"| finite elements | s | times our {ownS:0.00} s | K |");
        Say($"| --- | --- | --- | --- |");
        Say($"| step 5 s | {fiveS:0.0} | {fiveS / ownS:0} | {Apart(own!, five):0.00} |");
        Say($"| step 2.5 s | {halfS:0.0} | {halfS / ownS:0} | {Apart(own!, half):0.00} |");
        Say(
            $"| both, extrapolated to no step | {fiveS + halfS:0.0} | {(fiveS + halfS) / ownS:0} | {Apart(own!, limit):0.00} |"
        );
        for (int p = 0; p < timed.Probes.Count; p++)
        {
            double largest = own!.Probes[p].TemperaturesC.Zip(limit[p], (a, b) => Math.Abs(a - b)).Max();
            Say($"  {timed.Probes[p].Name}: {largest:0.00} K");
        }
    }

    private static double Apart(HeatForecast own, double[][] other) =>
        own.Probes.Zip(other, (a, b) => a.TemperaturesC.Zip(b, (x, y) => Math.Abs(x - y)).Max()).Max();

    private static HeatCase Case(string name) =>
        HeatCaseReader.Read(File.ReadAllBytes(Path.Combine(Folder(), "../../tests/corpus/heat", name + ".json"))).Case
        ?? throw new InvalidDataException(name);

    // The planner's names of signals, groups of films and roles of boxes.
    private static HeatCase Planned(HeatCase heat) =>
        heat with
        {
            Boxes =
            [
                .. heat.Boxes.Select(box =>
                    box with
                    {
                        Role = box.Name switch
                        {
                            "board" or "poor" or "rich" => BoxRole.Board,
                            "substrate" => BoxRole.Substrate,
                            "balls" => BoxRole.Balls,
                            _ => BoxRole.Other,
                        },
                    }
                ),
            ],
            Films =
            [
                .. heat.Films.Select(film =>
                    film with
                    {
                        Sink = [.. film.Sink.Select(Renamed)],
                        Group =
                            film.Sink.Count > 1 ? FilmGroup.Spill
                            : film.Sink[0].Signal == "top" ? FilmGroup.Top
                            : film.Sink[0].Signal == "bot" ? FilmGroup.Bottom
                            : FilmGroup.Ambient,
                    }
                ),
            ],
            Radiation = [.. heat.Radiation.Select(patch => patch with { Sink = [.. patch.Sink.Select(Renamed)] })],
            Signals = [.. heat.Signals.Select(signal => signal with { Name = Name(signal.Name) })],
        };

    // A gas that takes every joint through the melt; 59 J/g as for tin.
    private static HeatCase Melting(HeatCase heat, bool melts) =>
        heat with
        {
            Boxes =
            [
                .. heat.Boxes.Select(box =>
                    melts && box.Role == BoxRole.Balls ? box with { Melting = new Melting(59_000, 217, 220) } : box
                ),
            ],
            Signals =
            [
                .. heat.Signals.Select(signal =>
                    signal.Name == HeatSignals.Gas
                        ? signal with
                        {
                            Points =
                            [
                                .. signal.Points.Select(p =>
                                    p with
                                    {
                                        TemperatureC = 25 + 1.25 * (p.TemperatureC - 25),
                                    }
                                ),
                            ],
                        }
                        : signal
                ),
            ],
        };

    private static SignalShare Renamed(SignalShare share) => share with { Signal = Name(share.Signal) };

    private static string Name(string signal) =>
        signal switch
        {
            "top" => HeatSignals.Gas,
            "bot" => HeatSignals.Preheater,
            _ => HeatSignals.Room,
        };

    private static double Median(Action work)
    {
        double[] seconds =
        [
            .. Enumerable
                .Range(0, Repeats)
                .Select(_ =>
                {
                    Stopwatch clock = Stopwatch.StartNew();
                    work();
                    return clock.Elapsed.TotalSeconds;
                }),
        ];
        return seconds.Order().ElementAt(Repeats / 2);
    }

    private static string Folder([CallerFilePath] string file = "") => Path.GetDirectoryName(file)!;

    private static void Say(FormattableString line) => Console.WriteLine(FormattableString.Invariant(line));
}
