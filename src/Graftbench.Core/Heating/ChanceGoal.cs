namespace Graftbench.Core.Heating;

/// <summary>
/// What settings are worth once samples show how far figures stray: the chance that every joint melts and no hard limit is
/// passed, up to what was asked; then the room to the tightest limit. Nominal limits are kept in any case, and a goal that is
/// missed by one uncertainty must win 15 points of chance.
/// </summary>
/// <remarks>
/// Each sample's figures are taken to lie as far from the nominal run's as they did where the samples were drawn, so new
/// settings cost one run and not a thousand. The indicator "kept" is a logistic step, 0.15 uncertainties wide.
/// </remarks>
internal sealed class ChanceGoal
{
    private const double ChanceWorth = 10;
    private const double RoomWorth = 0.5;
    private const double HardLoss = 10;
    private const double GoalLoss = 1.5;
    private const double SideLoss = 30;
    private const double MostRoom = 2;

    // So that rounding and the full model do not pass a limit that the search just kept.
    private const double Guard = 0.1;
    private const double StepWidth = 0.15;
    private const double CostPerS = 2e-4;

    // Beyond what was asked by this much, more chance is worth nothing.
    private const double Beyond = 0.02;

    // A limit that no sample comes near is left out.
    private const double Near = 4;

    private readonly IReadOnlyList<HeatLimit> limits;
    private readonly double moltenC;
    private readonly double wantedFraction;
    private readonly int coldest;
    private readonly int[] hard;
    private readonly double[][] shifts;
    private readonly double[] peakShifts;

    /// <summary>Takes over what samples showed.</summary>
    /// <param name="limits">Limits.</param>
    /// <param name="samples">Samples at settings near by.</param>
    /// <param name="moltenC">Full melt [°C].</param>
    /// <param name="wantedFraction">Chance that was asked for.</param>
    /// <param name="most">Samples to use at most.</param>
    public ChanceGoal(
        IReadOnlyList<HeatLimit> limits,
        HeatSamples samples,
        double moltenC,
        double wantedFraction,
        int most
    )
    {
        this.limits = limits;
        this.moltenC = moltenC;
        this.wantedFraction = wantedFraction;
        int count = Math.Min(most, samples.Figures.Length);
        coldest = -1;
        List<int> watched = [];
        for (int i = 0; i < limits.Count; i++)
        {
            if (limits[i].Kind == HeatLimitKind.ColdestJointPeak)
            {
                coldest = i;
            }
            else if (limits[i].Hard && Least(samples, i, count) < Near)
            {
                watched.Add(i);
            }
        }
        hard = [.. watched];
        shifts = new double[count][];
        peakShifts = new double[count];
        for (int k = 0; k < count; k++)
        {
            shifts[k] = new double[hard.Length];
            for (int h = 0; h < hard.Length; h++)
            {
                int i = hard[h];
                shifts[k][h] = Scaled(i, samples.Figures[k][i]) - Scaled(i, samples.Nominal[i]);
            }
            peakShifts[k] = coldest < 0 ? 0 : samples.PeaksC[k] - samples.Nominal[coldest];
        }
    }

    /// <summary>What settings are worth.</summary>
    /// <param name="figures">Figures of their nominal run.</param>
    /// <param name="sides">Their side conditions.</param>
    /// <param name="heatingS">Time up to switching off [s].</param>
    public double Worth(ReadOnlySpan<double> figures, ReadOnlySpan<double> sides, double heatingS) =>
        Kept(figures, sides, heatingS) + ChanceWorth * Math.Min(Chance(figures), wantedFraction + Beyond);

    /// <summary>What settings are worth where their chance is known from samples of their own.</summary>
    public double Worth(double[] figures, double heatingS, double chanceFraction) =>
        Kept(figures, [], heatingS) + ChanceWorth * Math.Min(chanceFraction, wantedFraction + Beyond);

    private double Kept(ReadOnlySpan<double> figures, ReadOnlySpan<double> sides, double heatingS)
    {
        double least = MostRoom;
        double worth = -CostPerS * heatingS;
        for (int i = 0; i < limits.Count; i++)
        {
            double margin = Scaled(i, figures[i]);
            least = Math.Min(least, margin);
            worth -= (limits[i].Hard ? HardLoss : GoalLoss) * Math.Max(0, Guard - margin);
        }
        foreach (double side in sides)
        {
            worth -= SideLoss * Math.Max(0, -side);
        }
        return worth + RoomWorth * Math.Max(least, 0);
    }

    private double Chance(ReadOnlySpan<double> figures)
    {
        Span<double> margins = stackalloc double[hard.Length];
        for (int h = 0; h < hard.Length; h++)
        {
            margins[h] = Scaled(hard[h], figures[hard[h]]);
        }
        double sum = 0;
        for (int k = 0; k < shifts.Length; k++)
        {
            double least = coldest < 0 ? Near : (figures[coldest] + peakShifts[k] - moltenC) / limits[coldest].Scale;
            double[] shift = shifts[k];
            for (int h = 0; h < margins.Length; h++)
            {
                least = Math.Min(least, margins[h] + shift[h]);
            }
            sum += 1 / (1 + Math.Exp(-least / StepWidth));
        }
        return sum / shifts.Length;
    }

    private double Scaled(int i, double figure) => RunFigures.Margin(limits[i], figure) / limits[i].Scale;

    private double Least(HeatSamples samples, int i, int count)
    {
        double least = double.PositiveInfinity;
        for (int k = 0; k < count; k++)
        {
            least = Math.Min(least, Scaled(i, samples.Figures[k][i]));
        }
        return least;
    }
}
