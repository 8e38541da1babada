using System.Runtime.CompilerServices;

namespace Graftbench.Core;

/// <summary>Guards of model functions: a caller's bug stops at once and names itself.</summary>
internal static class Require
{
    /// <summary>Throws unless the value is finite and above 0.</summary>
    public static void FinitePositive(double value, [CallerArgumentExpression(nameof(value))] string? name = null)
    {
        if (!(value > 0) || double.IsInfinity(value))
        {
            throw new ArgumentOutOfRangeException(name, value, "Must be a finite number above 0.");
        }
    }

    /// <summary>Throws unless the value is finite and within the range, both ends included.</summary>
    public static void Within(
        double value,
        double min,
        double max,
        [CallerArgumentExpression(nameof(value))] string? name = null
    )
    {
        if (!(value >= min && value <= max))
        {
            throw new ArgumentOutOfRangeException(name, value, $"Must be from {min} to {max}.");
        }
    }
}
