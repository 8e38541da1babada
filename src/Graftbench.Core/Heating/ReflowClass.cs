using Graftbench.Core.Facts;

namespace Graftbench.Core.Heating;

/// <summary>Classification temperature of a body, and where it comes from.</summary>
/// <param name="ClassTemperatureC">The temperature [°C]: for the user a maximum at the top centre of the body.</param>
/// <param name="Revision">Revision that sets it; both where they agree: <c>C</c>, <c>D</c>, <c>C and D</c>.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
/// <param name="Why">One sentence.</param>
public sealed record ReflowClassAnswer(
    double ClassTemperatureC,
    string Revision,
    Confidence Confidence,
    string Source,
    string Why
);

/// <summary>Classification temperature by thickness, volume and solder (J-STD-020 tables 4-1 and 4-2).</summary>
public static class ReflowClass
{
    /// <summary>Classification temperature of a body.</summary>
    /// <param name="process">Solder that the body was built for.</param>
    /// <param name="thicknessMm">Body thickness without balls [mm], above 0.</param>
    /// <param name="volumeMm3">Body volume without balls and heat sinks [mm³], above 0.</param>
    /// <param name="revision">Revision of J-STD-020 that the part was classed by: <c>C</c> or <c>D</c>; null where that is not known.</param>
    /// <returns>The lowest temperature of the rows that hold: where revisions disagree, the cautious one.</returns>
    /// <exception cref="ArgumentOutOfRangeException">A size is not a finite number above 0.</exception>
    /// <exception cref="ArgumentException">An unknown revision.</exception>
    public static ReflowClassAnswer Of(
        SolderProcess process,
        double thicknessMm,
        double volumeMm3,
        string? revision = null
    )
    {
        Require.FinitePositive(thicknessMm);
        Require.FinitePositive(volumeMm3);
        List<ReflowClassRow> rows =
        [
            .. ReflowTables.Classes.Where(row =>
                row.Process == process
                && row.Thickness.Holds(thicknessMm)
                && row.Volume.Holds(volumeMm3)
                && (revision is null || row.Revision == revision)
            ),
        ];
        if (rows.Count == 0)
        {
            throw new ArgumentException($"Revision {revision} is not in the table.", nameof(revision));
        }
        double lowestC = rows.Min(row => row.ClassTemperatureC);
        // Seen on a page goes before from memory where both say the same.
        List<ReflowClassRow> deciding =
        [
            .. rows.Where(row => row.ClassTemperatureC == lowestC).OrderBy(row => row.Confidence),
        ];
        bool disagree = rows.Any(row => row.ClassTemperatureC != lowestC);
        string revisions = string.Join(" and ", deciding.Select(row => row.Revision).Order());
        string size = $"{ModelNotes.Show(thicknessMm)} mm, {ModelNotes.Show(Math.Round(volumeMm3))} mm³";
        string solder = process == SolderProcess.TinLead ? "tin-lead" : "lead-free";
        return new ReflowClassAnswer(
            lowestC,
            revisions,
            deciding[0].Confidence,
            deciding[0].Source,
            $"Body of {size}, {solder}, J-STD-020 revision {revisions}: {ModelNotes.Show(lowestC)} °C"
                + (disagree ? "; the revisions disagree and the lower one is used." : ".")
        );
    }
}
