namespace Graftbench.Core.Diagnosis;

/// <summary>Chances of causes after tests, and what a further test would tell.</summary>
/// <remarks>
/// One cause at a time, tests independent given the cause: P(c | seen) ∝ P(c) ∏ P(outcome | c). Expected information gain of a
/// test: H(P) − Σ_o P(o)·H(P | o), in bits (Shannon 1948; from memory). A single outcome never weighs one cause against another by
/// more than <see cref="MostRatio"/>, whatever the table says: the table is an estimate.
/// </remarks>
public static class Inference
{
    /// <summary>Most that a single outcome may weigh one cause against another.</summary>
    public const double MostRatio = 50;

    /// <summary>Chances of the causes after what was seen.</summary>
    /// <param name="table">Causes and tests.</param>
    /// <param name="seen">What was seen, each test once.</param>
    /// <returns>A chance for each cause, in the table's order; they sum to 1.</returns>
    /// <exception cref="ArgumentException">A test or outcome is not in the table, or its trials are out of range.</exception>
    public static double[] PosteriorFraction(CauseTable table, IEnumerable<TestSeen> seen)
    {
        ArgumentNullException.ThrowIfNull(table);
        ArgumentNullException.ThrowIfNull(seen);
        double[] logs = [.. table.Causes.Select(cause => Math.Log(cause.PriorFraction))];
        foreach (TestSeen one in seen)
        {
            double[] likelihood = LikelihoodFraction(table, one);
            for (int c = 0; c < logs.Length; c++)
            {
                logs[c] += Math.Log(likelihood[c]);
            }
        }
        double largest = logs.Max();
        double[] shares = [.. logs.Select(log => Math.Exp(log - largest))];
        double sum = shares.Sum();
        return [.. shares.Select(share => share / sum)];
    }

    /// <summary>Chance of what was seen under each cause, held within <see cref="MostRatio"/>.</summary>
    /// <param name="table">Causes and tests.</param>
    /// <param name="seen">What was seen.</param>
    public static double[] LikelihoodFraction(CauseTable table, TestSeen seen)
    {
        ArgumentNullException.ThrowIfNull(table);
        ArgumentNullException.ThrowIfNull(seen);
        int test = table.TestOf(seen.TestId);
        if (test < 0)
        {
            throw new ArgumentException($"There is no test '{seen.TestId}'.", nameof(seen));
        }
        IReadOnlyList<TestOutcome> outcomes = table.Tests[test].Outcomes;
        int outcome = outcomes.Index().FirstOrDefault(one => one.Item.Id == seen.OutcomeId, (-1, null!)).Index;
        if (outcome < 0)
        {
            throw new ArgumentException(
                $"Test '{seen.TestId}' has no outcome '{seen.OutcomeId}': one of {string.Join(", ", outcomes.Select(one => one.Id))}.",
                nameof(seen)
            );
        }
        if (seen.TrialsNumber < 1 || !(seen.PerTrialFraction > 0 && seen.PerTrialFraction <= 1))
        {
            throw new ArgumentException(
                $"Test '{seen.TestId}': trials are 1 or more, the chance of a single trial above 0 and at most 1.",
                nameof(seen)
            );
        }
        // Whoever tries k times sees what is there with chance 1 - (1 - p)^k; what is left goes to the last outcome.
        double shows = 1 - Math.Pow(1 - seen.PerTrialFraction, seen.TrialsNumber);
        bool rest = outcome == outcomes.Count - 1;
        double[] chances =
        [
            .. Enumerable
                .Range(0, table.Causes.Count)
                .Select(c => table.ChanceFraction(c, test, outcome))
                .Select(chance => rest ? 1 - ((1 - chance) * shows) : chance * shows),
        ];
        double least = chances.Max() / MostRatio;
        return [.. chances.Select(chance => Math.Max(chance, least))];
    }

    /// <summary>Uncertainty of a distribution [bit].</summary>
    /// <param name="shareFraction">Chances that sum to 1.</param>
    public static double EntropyBits(IEnumerable<double> shareFraction)
    {
        ArgumentNullException.ThrowIfNull(shareFraction);
        return shareFraction.Sum(share => share > 0 ? -share * Math.Log2(share) : 0);
    }

    /// <summary>What a test is expected to tell [bit], 0 or more.</summary>
    /// <param name="table">Causes and tests.</param>
    /// <param name="posteriorFraction">Chances of the causes now.</param>
    /// <param name="test">Number of the test.</param>
    public static double GainBits(CauseTable table, IReadOnlyList<double> posteriorFraction, int test)
    {
        ArgumentNullException.ThrowIfNull(table);
        ArgumentNullException.ThrowIfNull(posteriorFraction);
        double left = 0;
        for (int o = 0; o < table.Tests[test].Outcomes.Count; o++)
        {
            double[] joint = [.. posteriorFraction.Select((share, c) => share * table.ChanceFraction(c, test, o))];
            double chance = joint.Sum();
            if (chance > 0)
            {
                left += chance * EntropyBits(joint.Select(part => part / chance));
            }
        }
        return Math.Max(0, EntropyBits(posteriorFraction) - left);
    }
}
