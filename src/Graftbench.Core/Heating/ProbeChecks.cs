using System.Globalization;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>Whether places that a person asks for can be followed.</summary>
public static class ProbeChecks
{
    // A bead has a size: this near it touches.
    private const double ReachMm = 0.5;

    /// <summary>What is wrong with places, all of it.</summary>
    /// <param name="probes">Places asked for.</param>
    /// <param name="model">The model they are read from.</param>
    /// <returns>One sentence for each; empty where all can be followed or there is no model.</returns>
    public static IReadOnlyList<string> Problems(IReadOnlyList<HeatPlace> probes, BoardHeatModel model)
    {
        if (!model.Usable)
        {
            return [];
        }
        HashSet<string> taken = [.. model.Places.Select(place => place.Name)];
        IReadOnlyList<HeatBox> boxes = model.Case.Boxes;
        (double Low, double High) x = (boxes.Min(box => box.X0Mm), boxes.Max(box => box.X1Mm));
        (double Low, double High) y = (boxes.Min(box => box.Y0Mm), boxes.Max(box => box.Y1Mm));
        (double Low, double High) z = (boxes.Min(box => box.Z0Mm), boxes.Max(box => box.Z1Mm));
        List<string> problems = [];
        foreach (HeatPlace probe in probes)
        {
            if (!taken.Add(probe.Name))
            {
                problems.Add($"{probe.Name}: there is a place of this name already; choose another name.");
            }
            int before = problems.Count;
            Off(probe, "x", probe.XMm, x, problems);
            Off(probe, "y", probe.YMm, y, problems);
            Off(probe, "height", probe.ZMm, z, problems);
            if (before == problems.Count && !boxes.Any(box => Touches(box, probe)))
            {
                problems.Add($"{probe.Name}: it hangs in the air; put it on or in the board, the chip or a part.");
            }
        }
        return problems;
    }

    private static bool Touches(HeatBox box, HeatPlace at) =>
        at.XMm >= box.X0Mm - ReachMm
        && at.XMm <= box.X1Mm + ReachMm
        && at.YMm >= box.Y0Mm - ReachMm
        && at.YMm <= box.Y1Mm + ReachMm
        && at.ZMm >= box.Z0Mm - ReachMm
        && at.ZMm <= box.Z1Mm + ReachMm;

    private static void Off(
        HeatPlace probe,
        string what,
        double valueMm,
        (double LowMm, double HighMm) range,
        List<string> problems
    )
    {
        if (!(valueMm >= range.LowMm && valueMm <= range.HighMm))
        {
            problems.Add(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{probe.Name}: {what} {valueMm:0.##} mm lies off what is heated, which reaches from {range.LowMm:0.##} to {range.HighMm:0.##} mm."
                )
            );
        }
    }
}
