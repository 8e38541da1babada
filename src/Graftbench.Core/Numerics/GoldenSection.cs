namespace Graftbench.Core.Numerics;

/// <summary>Minimum of a function of one variable.</summary>
public static class GoldenSection
{
    private static readonly double Ratio = (Math.Sqrt(5) - 1) / 2;

    /// <summary>Place of the minimum of a function that falls and then rises between two ends.</summary>
    /// <param name="function">The function.</param>
    /// <param name="low">Lower end.</param>
    /// <param name="high">Upper end, above the lower one.</param>
    /// <param name="tolerance">Width of the last bracket, in the variable's own unit.</param>
    /// <returns>Place of the minimum; an end where the function only rises or only falls.</returns>
    public static double Minimum(Func<double, double> function, double low, double high, double tolerance)
    {
        double left = high - Ratio * (high - low);
        double right = low + Ratio * (high - low);
        double atLeft = function(left);
        double atRight = function(right);
        while (high - low > tolerance)
        {
            if (atLeft <= atRight)
            {
                (high, right, atRight) = (right, left, atLeft);
                left = high - Ratio * (high - low);
                atLeft = function(left);
            }
            else
            {
                (low, left, atLeft) = (left, right, atRight);
                right = low + Ratio * (high - low);
                atRight = function(right);
            }
        }
        return (low + high) / 2;
    }
}
