using Graftbench.Core.Facts;
using Graftbench.Core.Findings;

namespace Graftbench.Core.Heating;

/// <summary>What is missing or strange about the limits of neighbours.</summary>
internal static class NeighbourFindings
{
    // Parts farther from the chip than this hardly warm above the board's preheat.
    private const double NearMm = 30;

    public static void Tell(IReadOnlyList<Neighbour> neighbours, HeatSite site, double roomC, ModelNotes notes)
    {
        List<string> unknown =
        [
            .. neighbours
                .Where(one =>
                    one.Part.PeakLimitC is null && NeighbourLimits.Of(one.Part.Kind) is { PeakC: null, Off: false }
                )
                .Where(one => Near(one, site))
                .Select(one => one.Part.Ref),
        ];
        if (unknown.Count > 0)
        {
            notes.Find(
                Verdict.Unknown,
                "heat.part-without-limit",
                site.Name,
                $"Parts near the chip for which no peak was found, so they cannot be checked: {NeighbourBlocks.Some(unknown)}.",
                source: "common-practice",
                todo: "Look the peak up in their data sheets and enter it, shield them or take them off."
            );
        }
        foreach (Neighbour one in neighbours.Where(one => one.Part.PeakLimitC <= roomC))
        {
            notes.Find(
                Verdict.FixFirst,
                "heat.limit-below-room",
                $"{site.Name}, {one.Part.Ref}",
                "The part's peak limit lies at or below the temperature of the room.",
                $"{ModelNotes.Show(one.Part.PeakLimitC!.Value)} °C",
                $"{ModelNotes.Show(roomC)} °C",
                "job-file",
                "Check the part's peak limit and the room's temperature."
            );
        }
    }

    private static bool Near(Neighbour one, HeatSite site) =>
        one.Outline.Grown(NearMm + 20).Contains(site.XMm, site.YMm);
}
