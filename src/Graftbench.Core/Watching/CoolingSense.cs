namespace Graftbench.Core.Watching;

/// <summary>Tells from the hottest joint whether the heat is over and the joints cool.</summary>
internal sealed class CoolingSense
{
    private const double TurnDeltaK = 5;
    private double? extremeC;

    /// <summary>Whether joints were molten and cool now.</summary>
    public bool IsCooling { get; private set; }

    /// <summary>Takes the hottest joint of a moment; a fall or rise counts once it is larger than a wobble.</summary>
    /// <param name="hottestC">Hottest joint [°C].</param>
    /// <param name="moltenC">Full melt [°C].</param>
    public void Take(double hottestC, double moltenC)
    {
        if (extremeC is not double extreme)
        {
            extremeC = hottestC >= moltenC ? hottestC : null;
            return;
        }
        if (IsCooling ? hottestC > extreme + TurnDeltaK : hottestC < extreme - TurnDeltaK)
        {
            IsCooling = !IsCooling;
            extremeC = hottestC;
            return;
        }
        extremeC = IsCooling ? Math.Min(extreme, hottestC) : Math.Max(extreme, hottestC);
    }
}
