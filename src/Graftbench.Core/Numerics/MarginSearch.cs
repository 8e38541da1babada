namespace Graftbench.Core.Numerics;

/// <summary>A set of margins that share one level: the smallest of them counts, up to a cap.</summary>
/// <param name="Weight">What a unit of the level is worth.</param>
/// <param name="Cap">Above this, more margin is worth nothing.</param>
public sealed record MarginGroup(double Weight, double Cap);

/// <summary>What is searched: margins as functions of bounded variables.</summary>
/// <param name="Low">Lower bounds of the variables.</param>
/// <param name="High">Upper bounds.</param>
/// <param name="Nudge">Step of each variable for slopes.</param>
/// <param name="Groups">Groups of margins.</param>
/// <param name="GroupOf">Group of each margin.</param>
/// <param name="Cost">What a unit of each variable costs; small against the weights.</param>
/// <param name="Evaluate">Computes the margins of several places at once; a margin that is no number means failure.</param>
public sealed record MarginProblem(
    double[] Low,
    double[] High,
    double[] Nudge,
    IReadOnlyList<MarginGroup> Groups,
    IReadOnlyList<int> GroupOf,
    double[] Cost,
    Func<IReadOnlyList<double[]>, IReadOnlyList<double[]>> Evaluate
);

/// <summary>What a search found.</summary>
/// <param name="Place">Best place.</param>
/// <param name="Margins">Margins there.</param>
/// <param name="Worth">Σ weight · smallest margin of the group, capped, less the cost.</param>
/// <param name="Holding">For each margin, how strongly it holds the answer back: the multiplier of its last program.</param>
/// <param name="Evaluations">Places that were evaluated.</param>
/// <param name="Converged">False where evaluations failed or ran out while still gaining.</param>
public sealed record MarginAnswer(
    double[] Place,
    double[] Margins,
    double Worth,
    double[] Holding,
    int Evaluations,
    bool Converged
);

/// <summary>Makes the smallest margins as large as can be: sequential linear programs in a box of trust.</summary>
public static class MarginSearch
{
    private const double SmallestReach = 2e-4;

    // Keeps the program strictly convex; small against any gain that counts.
    private const double Damping = 1e-3;
    private static readonly double[] Shares = [1, 0.4, 0.15];

    /// <summary>Searches from one start.</summary>
    /// <param name="problem">What is searched.</param>
    /// <param name="start">Start, within the bounds.</param>
    /// <param name="maxEvaluations">Evaluations that may be spent.</param>
    /// <param name="reach">First half-width of the box of trust, as share of each variable's range.</param>
    /// <param name="turn">Called before each turn with the share of the evaluations spent.</param>
    /// <param name="cancel">Asked before each turn.</param>
    /// <remarks>
    /// Each turn: slopes by one-sided differences, one program (max Σ wᵍrᵍ with margin + slope·d ≥ rᵍ ≤ cap), and the full,
    /// 0.4 and 0.15 of its step tried together. A step must give a tenth of what the program promised; the box grows or
    /// shrinks by how well it did. Needs no second derivatives: at an optimum of this sort nearly as many margins as
    /// variables are tight. R. Fletcher, E. Sainz de la Maza, "Nonlinear programming and nonsmooth optimization by
    /// successive linear programming", Mathematical Programming 43 (1989) 235-256.
    /// </remarks>
    public static MarginAnswer From(
        MarginProblem problem,
        double[] start,
        int maxEvaluations,
        double reach = 0.25,
        Action<double>? turn = null,
        CancellationToken cancel = default
    )
    {
        int size = start.Length;
        double[] place = Clamped(problem, start);
        double[] margins = problem.Evaluate([place])[0];
        int spent = 1;
        double worth = Worth(problem, place, margins);
        double[] holding = new double[margins.Length];
        bool converged = false;
        while (!double.IsNaN(worth) && spent + size + Shares.Length <= maxEvaluations)
        {
            cancel.ThrowIfCancellationRequested();
            turn?.Invoke((double)spent / maxEvaluations);
            double[][] slopes = Slopes(problem, place, margins);
            spent += size;
            bool moved = false;
            while (!moved && reach >= SmallestReach && spent + Shares.Length <= maxEvaluations)
            {
                (double[] step, double promised, double[] held) = Program(
                    problem,
                    place,
                    margins,
                    slopes,
                    worth,
                    reach
                );
                holding = held;
                if (promised < 2e-4)
                {
                    converged = true;
                    break;
                }
                double[][] tries =
                [
                    .. Shares.Select(share => Clamped(problem, [.. place.Select((at, j) => at + share * step[j])])),
                ];
                IReadOnlyList<double[]> found = problem.Evaluate(tries);
                spent += tries.Length;
                int best = -1;
                double bestWorth = worth;
                for (int k = 0; k < tries.Length; k++)
                {
                    double tried = Worth(problem, tries[k], found[k]);
                    if (tried > bestWorth)
                    {
                        (best, bestWorth) = (k, tried);
                    }
                }
                double gained = bestWorth - worth;
                if (best >= 0 && gained >= 0.1 * promised * Shares[best])
                {
                    (place, margins, worth, moved) = (tries[best], found[best], bestWorth, true);
                    reach =
                        best == 0 && gained > 0.6 * promised ? Math.Min(0.5, reach * 2)
                        : best == 0 ? reach
                        : reach * Math.Sqrt(Shares[best]);
                }
                else
                {
                    reach *= 0.1;
                }
            }
            if (converged || reach < SmallestReach)
            {
                converged = true;
                break;
            }
        }
        return new MarginAnswer(place, margins, worth, holding, spent, converged && !double.IsNaN(worth));
    }

    /// <summary>What a place is worth.</summary>
    public static double Worth(MarginProblem problem, double[] place, double[] margins)
    {
        double worth = 0;
        for (int g = 0; g < problem.Groups.Count; g++)
        {
            double level = problem.Groups[g].Cap;
            for (int i = 0; i < margins.Length; i++)
            {
                if (problem.GroupOf[i] == g)
                {
                    // Minimum that hands on what is no number.
                    level = Math.Min(level, margins[i]);
                }
            }
            worth += problem.Groups[g].Weight * level;
        }
        for (int j = 0; j < place.Length; j++)
        {
            worth -= problem.Cost[j] * place[j];
        }
        return worth;
    }

    private static double[][] Slopes(MarginProblem problem, double[] place, double[] margins)
    {
        int size = place.Length;
        double[][] moved = new double[size][];
        double[] by = new double[size];
        for (int j = 0; j < size; j++)
        {
            by[j] = place[j] + problem.Nudge[j] <= problem.High[j] ? problem.Nudge[j] : -problem.Nudge[j];
            moved[j] = [.. place];
            moved[j][j] += by[j];
        }
        IReadOnlyList<double[]> found = problem.Evaluate(moved);
        double[][] slopes = new double[margins.Length][];
        for (int i = 0; i < margins.Length; i++)
        {
            slopes[i] = new double[size];
            for (int j = 0; j < size; j++)
            {
                double slope = (found[j][i] - margins[i]) / by[j];
                slopes[i][j] = double.IsFinite(slope) ? slope : 0;
            }
        }
        return slopes;
    }

    private static (double[] Step, double Promised, double[] Holding) Program(
        MarginProblem problem,
        double[] place,
        double[] margins,
        double[][] slopes,
        double worth,
        double reach
    )
    {
        int size = place.Length;
        int groups = problem.Groups.Count;
        double[] range = [.. problem.High.Select((high, j) => Math.Max(high - problem.Low[j], 1e-9))];
        double[] diagonal = new double[size + groups];
        double[] linear = new double[size + groups];
        double[] start = new double[size + groups];
        List<double[]> rows = [];
        List<double> bounds = [];
        for (int i = 0; i < margins.Length; i++)
        {
            double[] row = new double[size + groups];
            for (int j = 0; j < size; j++)
            {
                row[j] = slopes[i][j] * range[j];
            }
            row[size + problem.GroupOf[i]] = -1;
            rows.Add(row);
            bounds.Add(-margins[i]);
        }
        for (int j = 0; j < size; j++)
        {
            diagonal[j] = Damping;
            linear[j] = problem.Cost[j] * range[j];
            double[] up = new double[size + groups];
            double[] down = new double[size + groups];
            up[j] = 1;
            down[j] = -1;
            rows.Add(up);
            bounds.Add(Math.Max(-reach, (problem.Low[j] - place[j]) / range[j]));
            rows.Add(down);
            bounds.Add(-Math.Min(reach, (problem.High[j] - place[j]) / range[j]));
        }
        for (int g = 0; g < groups; g++)
        {
            linear[size + g] = -problem.Groups[g].Weight;
            double least = problem.Groups[g].Cap;
            for (int i = 0; i < margins.Length; i++)
            {
                least = problem.GroupOf[i] == g ? Math.Min(least, margins[i]) : least;
            }
            start[size + g] = least - 1;
            double[] cap = new double[size + groups];
            cap[size + g] = -1;
            rows.Add(cap);
            bounds.Add(-problem.Groups[g].Cap);
        }
        ConvexAnswer answer = ConvexProgram.Minimum(diagonal, linear, [.. rows], [.. bounds], start);
        double[] step = new double[size];
        double promised = 0;
        for (int j = 0; j < size; j++)
        {
            step[j] = answer.Place[j] * range[j];
            promised -= problem.Cost[j] * (place[j] + step[j]);
        }
        for (int g = 0; g < groups; g++)
        {
            // What the linear margins say, not the program's own level, which may be a little short of it.
            double level = problem.Groups[g].Cap;
            for (int i = 0; i < margins.Length; i++)
            {
                if (problem.GroupOf[i] != g)
                {
                    continue;
                }
                double margin = margins[i];
                for (int j = 0; j < size; j++)
                {
                    margin += slopes[i][j] * step[j];
                }
                level = Math.Min(level, margin);
            }
            promised += problem.Groups[g].Weight * level;
        }
        return (step, promised - worth, answer.Multipliers[..margins.Length]);
    }

    private static double[] Clamped(MarginProblem problem, double[] place) =>
        [.. place.Select((at, j) => Math.Clamp(at, problem.Low[j], problem.High[j]))];
}
