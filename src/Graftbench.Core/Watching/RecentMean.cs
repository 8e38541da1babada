namespace Graftbench.Core.Watching;

/// <summary>Mean of the values of the last so many steps, some of which may be missing. Its memory does not grow.</summary>
internal sealed class RecentMean(int steps)
{
    private readonly double[] values = NaNs(steps);
    private int at;

    /// <summary>Values that are there.</summary>
    public int Count { get; private set; }

    /// <summary>Mean; null while fewer than half are there.</summary>
    public double? Mean => Count * 2 >= values.Length ? Sum() / Count : null;

    /// <summary>Takes a step's value; NaN for none.</summary>
    public void Add(double value)
    {
        Count += (double.IsNaN(value) ? 0 : 1) - (double.IsNaN(values[at]) ? 0 : 1);
        values[at] = value;
        at = (at + 1) % values.Length;
    }

    /// <summary>Forgets all.</summary>
    public void Clear()
    {
        Array.Fill(values, double.NaN);
        Count = 0;
    }

    // Summed anew each time: a running sum would gather rounding over hours.
    private double Sum()
    {
        double sum = 0;
        foreach (double value in values)
        {
            sum += double.IsNaN(value) ? 0 : value;
        }
        return sum;
    }

    private static double[] NaNs(int count)
    {
        double[] all = new double[count];
        Array.Fill(all, double.NaN);
        return all;
    }
}
