namespace Graftbench.Core.Watching;

/// <summary>Slope of the last few values, by least squares. Its memory does not grow.</summary>
internal sealed class RecentTrend
{
    private const int Most = 10;
    private const int Least = 4;
    private const double LongestHoleS = 5;

    private readonly Queue<(double TimeS, double Value)> values = new(Most);
    private double lastS = double.NegativeInfinity;

    /// <summary>Takes a value and gives the slope up to it; 0 while there are too few.</summary>
    /// <param name="timeS">Time; one that does not rise is not taken [s].</param>
    /// <param name="value">Value.</param>
    public double SlopePerS(double timeS, double value)
    {
        if (timeS - lastS > LongestHoleS)
        {
            values.Clear();
        }
        if (timeS > lastS)
        {
            lastS = timeS;
            if (values.Count == Most)
            {
                values.Dequeue();
            }
            values.Enqueue((timeS, value));
        }
        return values.Count < Least ? 0 : Slope();
    }

    /// <summary>Forgets all.</summary>
    public void Clear()
    {
        values.Clear();
        lastS = double.NegativeInfinity;
    }

    private double Slope()
    {
        double meanS = values.Average(one => one.TimeS);
        double mean = values.Average(one => one.Value);
        double size = 0;
        double sum = 0;
        foreach ((double timeS, double value) in values)
        {
            size += (timeS - meanS) * (timeS - meanS);
            sum += (timeS - meanS) * (value - mean);
        }
        return size > 0.5 ? sum / size : 0;
    }
}
