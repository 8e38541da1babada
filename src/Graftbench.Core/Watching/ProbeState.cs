namespace Graftbench.Core.Watching;

/// <summary>What the estimator keeps of one probe: its readings of the present step, and how it has agreed of late.</summary>
internal sealed class ProbeState(WatchProbe probe, int row, double gasShare)
{
    /// <summary>Readings with their model's error: 1 K at one value a second, whatever the logger's rate.</summary>
    public const double NoiseVariance = 1;

    /// <summary>Steps over which the mean of what a probe is off is taken.</summary>
    public const int RecentSteps = 60;

    private const int MostAhead = 8;

    private readonly Queue<(double TimeS, double ReadC)> ahead = new();
    private double sumC;
    private double sumS;
    private double loosened;
    private int count;

    /// <summary>The probe.</summary>
    public WatchProbe Probe => probe;

    /// <summary>Row of its place.</summary>
    public int Row => row;

    /// <summary>Share of the gas in its reading.</summary>
    public double GasShare => gasShare;

    /// <summary>Readings less expectations.</summary>
    public RecentMean Innovations { get; } = new(RecentSteps);

    /// <summary>Its slope of late.</summary>
    public RecentTrend Trend { get; } = new();

    /// <summary>Whether it is left out.</summary>
    public bool LeftOut { get; set; }

    /// <summary>End of the last step with a reading [s]; negative before any.</summary>
    public double LastS { get; set; } = double.NegativeInfinity;

    /// <summary>Mean of that step [°C].</summary>
    public double? LastReadC { get; set; }

    /// <summary>Standard deviation that its offset may have by what is known of place and gas, bias included [K].</summary>
    public double AllowedDeltaK => Math.Sqrt(probe.BiasDeltaK * probe.BiasDeltaK + loosened);

    /// <summary>Takes a reading of the present step, or keeps it for a later one.</summary>
    /// <returns>False where there are too many for later.</returns>
    public bool Take(double timeS, double readC, double stepEndS)
    {
        if (timeS > stepEndS)
        {
            if (ahead.Count == MostAhead)
            {
                return false;
            }
            ahead.Enqueue((timeS, readC));
            return true;
        }
        Sum(timeS, readC);
        return true;
    }

    /// <summary>Ends a step.</summary>
    /// <param name="endS">End of the step [s].</param>
    /// <returns>Mean and mean time of its readings; null where there were none.</returns>
    public (double Mean, double MeanS)? Close(double endS)
    {
        // Readings kept for later may belong to this step by now.
        for (int left = ahead.Count; left > 0; left--)
        {
            (double timeS, double readC) = ahead.Dequeue();
            if (timeS <= endS)
            {
                Sum(timeS, readC);
            }
            else
            {
                ahead.Enqueue((timeS, readC));
            }
        }
        (double, double)? mean = count == 0 ? null : (sumC / count, sumS / count);
        (sumC, sumS, count) = (0, 0, 0);
        return mean;
    }

    /// <summary>Forgets readings that were not used yet.</summary>
    public void DropPending()
    {
        ahead.Clear();
        (sumC, sumS, count) = (0, 0, 0);
    }

    /// <summary>What an offset's variance has to grow by to reach a level; it is never taken back.</summary>
    public double Loosened(double variance)
    {
        double more = Math.Max(0, variance - loosened);
        loosened += more;
        return more;
    }

    private void Sum(double timeS, double readC)
    {
        sumC += readC;
        sumS += timeS;
        count++;
    }
}
