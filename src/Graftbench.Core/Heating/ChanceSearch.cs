namespace Graftbench.Core.Heating;

/// <summary>Searches on from good settings for the chance that every joint melts and no hard limit is passed.</summary>
internal sealed class ChanceSearch(
    ScheduleOptimiser search,
    BenchSettings bench,
    IHeatRunner runner,
    BoardHeatModel model,
    IReadOnlyList<HeatLimit> limits,
    double wantedFraction,
    ParallelOptions parallel
)
{
    /// <summary>Samples that show the way; all that were asked for have the last word.</summary>
    public const int FewSamples = 250;

    private const int Rounds = 3;
    private const int Turns = 8;

    /// <summary>Searches until the wanted chance is reached or nothing is gained.</summary>
    /// <param name="answer">Settings to start from.</param>
    /// <param name="samplesWanted">Samples at the end.</param>
    /// <param name="report">Told the share done.</param>
    /// <returns>Settings, never worse than those at the start by the same samples, and samples there.</returns>
    public (ScheduleAnswer Answer, HeatSamples Samples) From(
        ScheduleAnswer answer,
        int samplesWanted,
        Action<double>? report = null
    )
    {
        int few = Math.Min(samplesWanted, FewSamples);
        HeatSamples samples = Drawn(answer.Values, few);
        double kept = Kept(samples);
        for (int round = 0; round < Rounds && samples.Complete && kept < wantedFraction; round++)
        {
            report?.Invoke((round + 0.5) / (Rounds + 1));
            ChanceGoal goal = new(limits, samples, model.MoltenC, wantedFraction, few);
            ScheduleAnswer better = search.Refine(answer.Values, goal, Turns);
            if (!better.Converged)
            {
                break;
            }
            HeatSamples drawn = Drawn(better.Values, few);
            double now = Kept(drawn);
            if (Worth(goal, better, now) <= Worth(goal, answer, kept) + 0.01)
            {
                break;
            }
            (answer, samples, kept) = (better with { Runs = answer.Runs + better.Runs }, drawn, now);
        }
        report?.Invoke(Rounds / (Rounds + 1.0));
        return (answer, few == samplesWanted ? samples : Drawn(answer.Values, samplesWanted));
    }

    /// <summary>Searches from the better of two answers.</summary>
    public (ScheduleAnswer Answer, HeatSamples Samples) FromBetter(
        ScheduleAnswer one,
        ScheduleAnswer other,
        int samplesWanted
    )
    {
        HeatSamples first = Drawn(one.Values, Math.Min(samplesWanted, FewSamples));
        HeatSamples second = Drawn(other.Values, Math.Min(samplesWanted, FewSamples));
        if (!first.Complete || !second.Complete)
        {
            return From(first.Complete ? one : other, samplesWanted);
        }
        ChanceGoal goal = new(limits, first, model.MoltenC, wantedFraction, FewSamples);
        return Worth(goal, other, Kept(second)) > Worth(goal, one, Kept(first))
            ? From(other, samplesWanted)
            : From(one, samplesWanted);
    }

    private double Worth(ChanceGoal goal, ScheduleAnswer answer, double kept) =>
        goal.Worth(answer.Figures, bench.HeatingS(answer.Values), kept);

    /// <summary>Share of samples in which all melts and no hard limit is passed; 0 where some gave no numbers.</summary>
    public static double Kept(HeatSamples samples) => samples.Complete ? samples.Chance(0).AllKeptFraction : 0;

    private HeatSamples Drawn(double[] values, int count) =>
        HeatSamples.Of(
            runner,
            model,
            bench.Schedule(values, ScheduleOptimiser.CoolingS),
            bench.HeatingS(values),
            limits,
            count,
            parallel
        );
}
