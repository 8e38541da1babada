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

    // Settings that pass a hard limit are only worth keeping where none pass less.
    private const double HardWeight = 30;
    private const double GoalWeight = 2;
    private const double FirstReach = 0.06;
    private const double EvolveReach = 0.1;
    private const double SmallestReach = 2e-3;
    private const int StepEvaluations = 1500;
    private const double TightRoom = 0.3;
    private const int RepairRounds = 4;
    private const int FewSettings = 8;
    private static readonly double[] StepShares = [1, 0.5, 0.2];

    // What settings are worth by their figures and side conditions.
    private delegate double Goal(double[] values, ReadOnlySpan<double> row);

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
    /// <param name="budget">Runs that searching may take; climbing on and rounding take as many again at most.</param>
    /// <param name="report">Told the share done.</param>
    /// <param name="known">Settings that are worth starting from too.</param>
    public ScheduleAnswer Solve(int budget, Action<double>? report = null, double[]? known = null)
    {
        runs = 0;
        MarginProblem all = Problem();
        List<double[]> starts = [.. bench.Starts()];
        if (known is not null)
        {
            starts.Insert(0, bench.Within(known));
        }
        List<double[]> ranked =
        [
            .. starts
                .Zip(all.Evaluate(starts), (start, row) => (start, worth: MarginSearch.Worth(all, start, row)))
                .Where(one => !double.IsNaN(one.worth))
                .OrderByDescending(one => one.worth)
                .Select(one => one.start)
                .Take(2),
        ];
        if (ranked.Count == 0)
        {
            return Failed(starts[0]);
        }
        if (known is not null && !ranked.Contains(starts[0]))
        {
            ranked.Add(starts[0]);
        }
        MarginAnswer? best = null;
        for (int k = 0; k < ranked.Count; k++)
        {
            int at = k;
            MarginAnswer found = MarginSearch.From(
                all,
                ranked[k],
                budget / 5,
                0.25,
                part => report?.Invoke((at + part) / (ranked.Count + 1)),
                parallel.CancellationToken
            );
            best = best is null || found.Worth > best.Worth ? found : best;
        }
        if (double.IsNaN(best!.Worth))
        {
            return Failed(best.Place);
        }
        report?.Invoke(ranked.Count / (ranked.Count + 1.0));
        // The bench's own starts and the search from the best two may end at a ridge: climb on from there.
        int turns = Math.Max(2, budget * 4 / 5 / (bench.Settings.Count + StepShares.Length));
        List<HeatLimit> against =
        [
            .. Enumerable
                .Range(0, limits.Count)
                .Where(i => best.Holding[i] > 0.05)
                .OrderByDescending(i => best.Holding[i])
                .Select(i => limits[i]),
        ];
        double[] climbed = Climbed(best.Place, Plain, turns, FirstReach);
        // Where every limit is just kept the climb is slow, and straight programs are good at evening margins out.
        MarginAnswer evened = MarginSearch.From(all, climbed, budget / 3, FirstReach, null, parallel.CancellationToken);
        double[][] both = Run([climbed, evened.Place]);
        bool better = Plain(evened.Place, both[1]) > Plain(climbed, both[0]);
        double[] place = better ? evened.Place : climbed;
        double worth = Plain(place, both[better ? 1 : 0]);
        // Where limits stand against each other the ridge is sharp, and slopes mislead.
        return Rounded(Plain, worth < 0 ? Evolved(place, worth, budget) : place, against);
    }

    private double[] Evolved(double[] from, double worth, int evaluations)
    {
        double[] At(double[] unit) => Moved(from, [.. unit.Select((at, j) => at * EvolveReach * Width(j))], 1);
        double[] best = At(
            LocalEvolution.From(
                from.Length,
                unit =>
                {
                    double[] place = At(unit);
                    return Plain(place, Run([place])[0]);
                },
                evaluations,
                1
            )
        );
        return Plain(best, Run([best])[0]) > worth ? best : from;
    }

    private double Width(int j) => bench.Settings[j].High - bench.Settings[j].Low;

    /// <summary>Searches on from settings, for the chance that samples show.</summary>
    /// <param name="from">Settings at which the samples were drawn.</param>
    /// <param name="goal">What settings are worth.</param>
    /// <param name="turns">How often slopes are taken anew.</param>
    /// <remarks>
    /// Each turn takes the figures as straight functions of the settings within a box of trust, climbs the goal on them, and
    /// tries the step in full and in parts on the model.
    /// </remarks>
    public ScheduleAnswer Refine(double[] from, ChanceGoal goal, int turns)
    {
        runs = 0;
        Goal worth = (values, row) => goal.Worth(row[..limits.Count], row[limits.Count..], bench.HeatingS(values));
        return Rounded(worth, Climbed(from, worth, turns, FirstReach), []);
    }

    private double[] Climbed(double[] from, Goal goal, int turns, double firstReach)
    {
        double[] place = [.. from];
        double[] there = Run([place])[0];
        double worth = goal(place, there);
        double reach = firstReach;
        for (int turn = 0; turn < turns && reach > SmallestReach && !double.IsNaN(worth); turn++)
        {
            parallel.CancellationToken.ThrowIfCancellationRequested();
            double[] step = Step(goal, place, there, reach, (ulong)turn + 1);
            double[][] tries = [.. StepShares.Select(share => Moved(place, step, share))];
            double[][] found = Run(tries);
            int best = -1;
            for (int k = 0; k < tries.Length; k++)
            {
                double tried = goal(tries[k], found[k]);
                if (tried > worth + 1e-4)
                {
                    (best, worth) = (k, tried);
                }
            }
            reach *= best switch
            {
                < 0 => 0.3,
                0 => 1.5,
                1 => 1,
                _ => 0.6,
            };
            if (best >= 0)
            {
                (place, there) = (tries[best], found[best]);
            }
        }
        return place;
    }

    // The smallest margin counts; one that is passed costs much more, a hard one most.
    private double Plain(double[] values, ReadOnlySpan<double> row)
    {
        double least = MarginCap;
        double worth = -CostPerS * bench.HeatingS(values);
        for (int i = 0; i < limits.Count; i++)
        {
            double margin = RunFigures.Margin(limits[i], row[i]) / limits[i].Scale;
            least = Math.Min(least, margin);
            worth += (limits[i].Hard ? HardWeight : GoalWeight) * Math.Min(margin, 0);
        }
        foreach (double side in row[limits.Count..])
        {
            worth += SideWeight * Math.Min(side, 0);
        }
        return worth + Math.Max(least, 0);
    }

    // Best step on straight figures; side conditions are exact.
    private double[] Step(Goal goal, double[] place, double[] there, double reach, ulong seed)
    {
        int size = place.Length;
        double[] by = new double[size];
        double[] width = new double[size];
        double[][] nudged = new double[size][];
        for (int j = 0; j < size; j++)
        {
            Setting one = bench.Settings[j];
            width[j] = reach * Width(j);
            by[j] = place[j] + 1 <= one.High ? 1 : -1;
            nudged[j] = [.. place];
            nudged[j][j] += by[j];
        }
        double[][] found = Run(nudged);
        double[] moved = new double[size];
        double[] row = new double[there.Length];
        double[] unit = LocalEvolution.From(
            size,
            at =>
            {
                there.CopyTo(row, 0);
                for (int j = 0; j < size; j++)
                {
                    moved[j] = Math.Clamp(place[j] + width[j] * at[j], bench.Settings[j].Low, bench.Settings[j].High);
                    double rise = (moved[j] - place[j]) / by[j];
                    for (int i = 0; i < limits.Count && rise != 0; i++)
                    {
                        row[i] += rise * (found[j][i] - there[i]);
                    }
                }
                bench.Sides(moved, row.AsSpan(limits.Count));
                return goal(moved, row);
            },
            StepEvaluations,
            seed
        );
        return [.. unit.Select((at, j) => at * width[j])];
    }

    private double[] Moved(double[] place, double[] step, double share)
    {
        double[] moved = new double[place.Length];
        for (int j = 0; j < moved.Length; j++)
        {
            moved[j] = Math.Clamp(place[j] + share * step[j], bench.Settings[j].Low, bench.Settings[j].High);
        }
        return moved;
    }

    /// <summary>Figures of settings, exact.</summary>
    public double[] Figures(double[] values, HeatTrace trace)
    {
        double[] found = new double[limits.Count];
        figures.Compute(trace, bench.HeatingS(values), smooth: false, found);
        return found;
    }

    // One group for all limits: the smallest margin of all counts.
    private MarginProblem Problem()
    {
        IReadOnlyList<Setting> settings = bench.Settings;
        return new MarginProblem(
            [.. settings.Select(one => one.Low)],
            [.. settings.Select(one => one.High)],
            [.. settings.Select(_ => 1.0)],
            [new MarginGroup(1, MarginCap), new MarginGroup(SideWeight, 0)],
            [.. Enumerable.Repeat(0, limits.Count), .. Enumerable.Repeat(1, bench.SideCount)],
            [.. settings.Select(one => one.Kind == SettingKind.Duration ? CostPerS : 0)],
            Evaluate
        );
    }

    private double[][] Evaluate(IReadOnlyList<double[]> tries)
    {
        double[][] rows = Run(tries);
        foreach (double[] row in rows)
        {
            for (int i = 0; i < limits.Count; i++)
            {
                row[i] = RunFigures.Margin(limits[i], row[i]) / limits[i].Scale;
            }
        }
        return rows;
    }

    // Figures and side conditions of several settings.
    private double[][] Run(IReadOnlyList<double[]> tries)
    {
        double[][] rows = new double[tries.Count][];
        runs += tries.Count;
        Parallel.For(
            0,
            tries.Count,
            parallel,
            k =>
            {
                HeatTrace trace = runner.Run(bench.Schedule(tries[k], CoolingS), Physics.Heat.HeatFactors.Nominal);
                rows[k] = new double[limits.Count + bench.SideCount];
                figures.Compute(trace, bench.HeatingS(tries[k]), smooth: true, rows[k]);
                bench.Sides(tries[k], rows[k].AsSpan(limits.Count));
            }
        );
        return rows;
    }

    private ScheduleAnswer Rounded(Goal goal, double[] from, IReadOnlyList<HeatLimit> against)
    {
        double[] place = bench.Rounded(from);
        double worth = goal(place, Run([place])[0]);
        for (int round = 0; round < RepairRounds && !double.IsNaN(worth); round++)
        {
            List<double[]> tries = Neighbours(place);
            if (tries.Count == 0)
            {
                break;
            }
            double[] found = [.. Run(tries).Select((row, k) => goal(tries[k], row))];
            int best = 0;
            for (int k = 1; k < found.Length; k++)
            {
                best = found[k] > found[best] || double.IsNaN(found[best]) ? k : best;
            }
            if (!(found[best] > worth + 1e-3))
            {
                break;
            }
            (place, worth) = (tries[best], found[best]);
        }
        return Answer(place, against);
    }

    /// <summary>Settings as they are, on the bench's steps.</summary>
    public ScheduleAnswer At(double[] values) => Answer(bench.Rounded(bench.Within(values)), []);

    private ScheduleAnswer Answer(double[] place, IReadOnlyList<HeatLimit> against)
    {
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
            passed.Count == 0 ? [] : [.. passed.Concat(Tight(figuresThere)).Concat(against).Distinct()],
            runs,
            numbers
        );
    }

    // Limits that are just kept: what passed ones stand against.
    private IEnumerable<HeatLimit> Tight(double[] figuresThere) =>
        Enumerable
            .Range(0, limits.Count)
            .Select(i => (Limit: limits[i], Room: RunFigures.Margin(limits[i], figuresThere[i]) / limits[i].Scale))
            .Where(one => one.Room is >= -1e-9 and < TightRoom)
            .OrderBy(one => one.Room)
            .Select(one => one.Limit);

    // One step of the bench up or down in one setting; in two of a kind against each other where steps are coarse.
    private List<double[]> Neighbours(double[] place)
    {
        List<double[]> tries = [];
        for (int j = 0; j < place.Length; j++)
        {
            foreach (int way in (int[])[-1, 1])
            {
                Add([.. place], j, way);
                for (int other = j + 1; other < place.Length && place.Length <= FewSettings; other++)
                {
                    double[] moved = [.. place];
                    moved[other] -= way * bench.Settings[other].Step;
                    Add(moved, j, way);
                }
            }
        }
        return tries;

        void Add(double[] moved, int j, int way)
        {
            moved[j] += way * bench.Settings[j].Step;
            moved = bench.Rounded(moved);
            if (moved[j] != place[j])
            {
                tries.Add(moved);
            }
        }
    }

    private ScheduleAnswer Failed(double[] values) => new(values, [], false, [], runs, false);
}
