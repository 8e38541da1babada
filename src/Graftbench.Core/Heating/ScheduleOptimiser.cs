using Graftbench.Core.Numerics;

namespace Graftbench.Core.Heating;

/// <summary>Settings that a search found.</summary>
/// <param name="Values">Settings on the bench's steps.</param>
/// <param name="Figures">Figures of the limits there, in their units.</param>
/// <param name="Possible">Whether every hard limit is kept.</param>
/// <param name="Blocking">Limits that hold against each other where not every one is kept, strongest first.</param>
/// <param name="Runs">Runs of the model.</param>
/// <param name="Converged">False where the model gave no numbers or the search ran out of runs while gaining.</param>
internal sealed record ScheduleAnswer(
    double[] Values,
    double[] Figures,
    bool Possible,
    IReadOnlyList<HeatLimit> Blocking,
    int Runs,
    bool Converged
);

/// <summary>Uncertainty of a figure as samples show it.</summary>
/// <param name="Shift">Mean margin of the samples less that of the nominal run.</param>
/// <param name="Sd">Standard deviation of the figure.</param>
internal sealed record FigureScatter(double Shift, double Sd);

/// <summary>Looks for the settings whose tightest limit has the most room, measured in uncertainties.</summary>
internal sealed class ScheduleOptimiser
{
    /// <summary>More room than this many uncertainties is worth nothing.</summary>
    public const double MarginCap = 3;

    /// <summary>Cooling that is followed while searching [s].</summary>
    public const double CoolingS = 90;

    // A hundred seconds cost as much as two hundredths of an uncertainty.
    private const double CostPerS = 2e-4;
    private const double SideWeight = 30;

    private readonly IHeatRunner runner;
    private readonly BenchSettings bench;
    private readonly IReadOnlyList<HeatLimit> limits;
    private readonly RunFigures figures;
    private readonly ParallelOptions parallel;
    private int runs;

    public ScheduleOptimiser(
        IHeatRunner runner,
        BenchSettings bench,
        IReadOnlyList<HeatLimit> limits,
        double moltenC,
        int workers,
        CancellationToken cancel
    )
    {
        this.runner = runner;
        this.bench = bench;
        this.limits = limits;
        figures = new RunFigures(runner.Places, limits, moltenC);
        parallel = new ParallelOptions { MaxDegreeOfParallelism = workers, CancellationToken = cancel };
    }

    /// <summary>Searches from the bench's starts.</summary>
    /// <param name="budget">Runs that may be spent, roughly.</param>
    /// <param name="report">Told the share done.</param>
    public ScheduleAnswer Solve(int budget, Action<double>? report = null)
    {
        runs = 0;
        MarginProblem all = Problem(OneGroup(), null);
        IReadOnlyList<double[]> starts = bench.Starts();
        IReadOnlyList<double[]> margins = all.Evaluate(starts);
        List<double[]> ranked =
        [
            .. starts
                .Select((start, i) => (start, worth: MarginSearch.Worth(all, start, margins[i])))
                .Where(one => !double.IsNaN(one.worth))
                .OrderByDescending(one => one.worth)
                .Select(one => one.start)
                .Take(2),
        ];
        if (ranked.Count == 0)
        {
            return Failed(starts[0]);
        }
        // Two starts share the first half, the better one gets the rest.
        MarginAnswer best = Search(all, ranked[0], budget * 3 / 10, 0.25, part => report?.Invoke(part / 3));
        if (ranked.Count > 1)
        {
            MarginAnswer other = Search(all, ranked[1], budget / 5, 0.25, part => report?.Invoke((1 + part) / 3));
            best = other.Worth > best.Worth ? other : best;
        }
        if (!best.Converged)
        {
            best = Search(all, best.Place, budget * 3 / 10, 0.1, part => report?.Invoke((2 + part) / 3));
        }
        return Finish(best, budget, null);
    }

    /// <summary>Searches on from settings, with margins measured by what samples show.</summary>
    public ScheduleAnswer Refine(double[] from, IReadOnlyList<FigureScatter> scatter, int budget)
    {
        runs = 0;
        MarginProblem problem = Problem(HardAndWished(), scatter);
        MarginAnswer answer = Search(problem, from, budget, 0.05, null);
        return Rounded(problem, answer, []);
    }

    /// <summary>Figures of settings, exact.</summary>
    public double[] Figures(double[] values, HeatTrace trace)
    {
        double[] found = new double[limits.Count];
        figures.Compute(trace, bench.HeatingS(values), smooth: false, found);
        return found;
    }

    private ScheduleAnswer Finish(MarginAnswer best, int budget, IReadOnlyList<FigureScatter>? scatter)
    {
        if (double.IsNaN(best.Worth))
        {
            return Failed(best.Place);
        }
        if (best.Margins.Take(limits.Count).All(margin => margin >= 0))
        {
            return Rounded(Problem(OneGroup(), scatter), best, []);
        }
        // No settings keep everything: each limit then gives way by itself, the wished ones first.
        List<HeatLimit> against =
        [
            .. Enumerable
                .Range(0, limits.Count)
                .Where(i => best.Holding[i] > 0.05)
                .OrderByDescending(i => best.Holding[i])
                .Select(i => limits[i]),
        ];
        MarginProblem elastic = Problem(Elastic(), scatter);
        MarginAnswer near = Search(elastic, best.Place, budget / 3, 0.2, null);
        if (near.Margins.Take(limits.Count).Select((m, i) => !limits[i].Hard || m >= -0.02).All(kept => kept))
        {
            MarginProblem wished = Problem(HardAndWished(), scatter);
            MarginAnswer better = Search(wished, near.Place, budget / 3, 0.1, null);
            return Rounded(wished, better, against);
        }
        return Rounded(elastic, near, against);
    }

    private MarginAnswer Search(
        MarginProblem problem,
        double[] from,
        int budget,
        double reach,
        Action<double>? report
    ) => MarginSearch.From(problem, from, budget, reach, report, parallel.CancellationToken);

    // One group for all limits: the smallest margin of all counts.
    private (List<MarginGroup>, List<int>) OneGroup() =>
        ([new MarginGroup(1, MarginCap), new MarginGroup(SideWeight, 0)], GroupOf(_ => 0, side: 1));

    // Each limit gives way by itself and is worth nothing beyond being kept.
    private (List<MarginGroup>, List<int>) Elastic() =>
        (
            [.. limits.Select(limit => new MarginGroup(limit.Hard ? 10 : 1, 0)), new MarginGroup(SideWeight, 0)],
            GroupOf(i => i, side: limits.Count)
        );

    // Room for the hard limits, while the wished ones give way as little as they must.
    private (List<MarginGroup>, List<int>) HardAndWished() =>
        (
            [
                new MarginGroup(2, MarginCap),
                .. limits.Select(limit => new MarginGroup(limit.Hard ? 0 : 2, limit.Hard ? 0 : 0.1)),
                new MarginGroup(SideWeight, 0),
            ],
            GroupOf(i => limits[i].Hard ? 0 : i + 1, side: limits.Count + 1)
        );

    private List<int> GroupOf(Func<int, int> group, int side) =>
        [.. Enumerable.Range(0, limits.Count).Select(group), .. Enumerable.Repeat(side, bench.SideCount)];

    private MarginProblem Problem(
        (List<MarginGroup> Groups, List<int> GroupOf) groups,
        IReadOnlyList<FigureScatter>? scatter
    )
    {
        IReadOnlyList<Setting> settings = bench.Settings;
        return new MarginProblem(
            [.. settings.Select(one => one.Low)],
            [.. settings.Select(one => one.High)],
            [.. settings.Select(_ => 1.0)],
            groups.Groups,
            groups.GroupOf,
            [.. settings.Select(one => one.Kind == SettingKind.Duration ? CostPerS : 0)],
            tries => Evaluate(tries, scatter)
        );
    }

    private double[][] Evaluate(IReadOnlyList<double[]> tries, IReadOnlyList<FigureScatter>? scatter)
    {
        double[][] margins = new double[tries.Count][];
        runs += tries.Count;
        Parallel.For(
            0,
            tries.Count,
            parallel,
            k =>
            {
                HeatTrace trace = runner.Run(bench.Schedule(tries[k], CoolingS), Physics.Heat.HeatFactors.Nominal);
                margins[k] = new double[limits.Count + bench.SideCount];
                figures.Compute(trace, bench.HeatingS(tries[k]), smooth: true, margins[k]);
                for (int i = 0; i < limits.Count; i++)
                {
                    double margin = RunFigures.Margin(limits[i], margins[k][i]);
                    // Sampled margins must not cost the nominal run its limits.
                    margins[k][i] = scatter is null
                        ? margin / limits[i].Scale
                        : Math.Min(
                            (margin + scatter[i].Shift) / Math.Max(scatter[i].Sd, 0.1 * limits[i].Scale),
                            10 * margin / limits[i].Scale
                        );
                }
                bench.Sides(tries[k], margins[k].AsSpan(limits.Count));
            }
        );
        return margins;
    }

    // Settings on the bench's steps; single steps up and down may win back what rounding took.
    private ScheduleAnswer Rounded(MarginProblem problem, MarginAnswer answer, IReadOnlyList<HeatLimit> against)
    {
        double[] place = bench.Rounded(answer.Place);
        double worth = MarginSearch.Worth(problem, place, problem.Evaluate([place])[0]);
        for (int round = 0; round < 2 && !double.IsNaN(worth); round++)
        {
            List<double[]> tries = [];
            for (int j = 0; j < place.Length; j++)
            {
                foreach (int way in (int[])[-1, 1])
                {
                    double[] moved = [.. place];
                    moved[j] += way * bench.Settings[j].Step;
                    moved = bench.Rounded(moved);
                    if (moved[j] != place[j] && moved[j] >= problem.Low[j] && moved[j] <= problem.High[j])
                    {
                        tries.Add(moved);
                    }
                }
            }
            if (tries.Count == 0)
            {
                break;
            }
            IReadOnlyList<double[]> found = problem.Evaluate(tries);
            int best = Enumerable
                .Range(0, tries.Count)
                .MaxBy(k =>
                    MarginSearch.Worth(problem, tries[k], found[k]) is double w && !double.IsNaN(w)
                        ? w
                        : double.NegativeInfinity
                );
            double tried = MarginSearch.Worth(problem, tries[best], found[best]);
            if (!(tried > worth + 1e-3))
            {
                break;
            }
            (place, worth) = (tries[best], tried);
        }
        HeatTrace trace = runner.Run(bench.Schedule(place, CoolingS), Physics.Heat.HeatFactors.Nominal);
        double[] figuresThere = Figures(place, trace);
        bool numbers = Array.TrueForAll(figuresThere, double.IsFinite);
        bool possible = numbers;
        for (int i = 0; i < limits.Count; i++)
        {
            possible &= !limits[i].Hard || RunFigures.Margin(limits[i], figuresThere[i]) >= -1e-9;
        }
        List<HeatLimit> passed =
        [
            .. Enumerable
                .Range(0, limits.Count)
                .Where(i => RunFigures.Margin(limits[i], figuresThere[i]) < -1e-9)
                .OrderBy(i => RunFigures.Margin(limits[i], figuresThere[i]) / limits[i].Scale)
                .Select(i => limits[i]),
        ];
        return new ScheduleAnswer(
            place,
            figuresThere,
            possible,
            passed.Count == 0 ? [] : [.. passed.Concat(against).Distinct()],
            runs,
            numbers
        );
    }

    private ScheduleAnswer Failed(double[] values) => new(values, [], false, [], runs, false);
}
