namespace Graftbench.Core.Numerics;

/// <summary>Values between equally spaced ones.</summary>
public static class Interpolation
{
    /// <summary>The cubic through the four values round a place (Lagrange), the straight line where there are fewer.</summary>
    /// <param name="values">Values at 0, 1, 2 ...; at least one.</param>
    /// <param name="place">Where to read, held inside the values.</param>
    public static double Cubic(ReadOnlySpan<double> values, double place)
    {
        double held = Math.Clamp(place, 0, values.Length - 1);
        if (values.Length < 4)
        {
            int left = Math.Min((int)held, Math.Max(0, values.Length - 2));
            return values.Length == 1 ? values[0] : values[left] + (held - left) * (values[left + 1] - values[left]);
        }
        int first = Math.Clamp((int)held - 1, 0, values.Length - 4);
        double s = held - first;
        double sum = 0;
        for (int i = 0; i < 4; i++)
        {
            double weight = 1;
            for (int j = 0; j < 4; j++)
            {
                if (j != i)
                {
                    weight *= (s - j) / (i - j);
                }
            }
            sum += weight * values[first + i];
        }
        return sum;
    }
}
