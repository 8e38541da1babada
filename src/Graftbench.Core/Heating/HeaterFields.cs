using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>Where the bottom heater warms the board.</summary>
internal static class HeaterFields
{
    /// <summary>Heated rectangles under the board with their share of the main setting; switched-off zones are left out.</summary>
    public static IReadOnlyList<(RectMm Field, double Share)> Of(BottomHeater heater, RectMm board, ModelNotes notes)
    {
        if (heater.Zones.Count == 0)
        {
            RectMm? field = Clip(Field(heater, board, notes), board);
            return field is null ? [] : [(field, 1)];
        }
        List<(RectMm Field, double Share)> zones = [];
        foreach (HeaterZone zone in heater.Zones.Where(zone => zone.SharePercent > 0))
        {
            RectMm at = new(zone.XMm, zone.XMm + zone.LengthMm, zone.YMm, zone.YMm + zone.WidthMm);
            if (Clip(at, board) is not RectMm field)
            {
                continue;
            }
            if (zones.Any(other => NeighbourBlocks.Overlap(other.Field, field)))
            {
                notes.Find(
                    Verdict.FixFirst,
                    "heat.zones-overlap",
                    $"bench, {zone.Name}",
                    "This zone of the bottom heater lies over another one; where they overlap the heat is counted twice.",
                    source: "job-file",
                    todo: "Correct the zones so that none lies over another."
                );
            }
            zones.Add((field, zone.SharePercent / 100));
        }
        notes.Add(
            "heater.field",
            $"{zones.Count} zones of the bottom heater lie under the board.",
            null,
            0,
            true,
            "job-file"
        );
        return zones;
    }

    /// <summary>The board less some rectangles, as rectangles that do not overlap.</summary>
    public static IReadOnlyList<RectMm> Rest(RectMm board, IReadOnlyList<RectMm> taken)
    {
        List<RectMm> rest = [];
        double[] ys = Cuts(board.Y0Mm, board.Y1Mm, taken.SelectMany(one => new[] { one.Y0Mm, one.Y1Mm }));
        double[] xs = Cuts(board.X0Mm, board.X1Mm, taken.SelectMany(one => new[] { one.X0Mm, one.X1Mm }));
        for (int j = 0; j + 1 < ys.Length; j++)
        {
            double? start = null;
            for (int i = 0; i + 1 < xs.Length; i++)
            {
                double x = (xs[i] + xs[i + 1]) / 2;
                double y = (ys[j] + ys[j + 1]) / 2;
                bool free = !taken.Any(one => one.Contains(x, y));
                start = free ? start ?? xs[i] : start;
                bool last = i + 2 == xs.Length;
                if (start is double from && (!free || last))
                {
                    rest.Add(new RectMm(from, free ? xs[i + 1] : xs[i], ys[j], ys[j + 1]));
                    start = null;
                }
            }
        }
        return rest;
    }

    private static double[] Cuts(double from, double to, IEnumerable<double> inner) =>
        [.. inner.Where(cut => cut > from && cut < to).Append(from).Append(to).Distinct().Order()];

    private static RectMm Field(BottomHeater heater, RectMm board, ModelNotes notes)
    {
        if (heater.LengthMm is not double lengthMm)
        {
            notes.Add(
                "heater.field",
                "The bottom heater warms the whole board evenly, assumed.",
                null,
                0,
                false,
                "graftbench-estimate"
            );
            return board;
        }
        double widthMm = heater.WidthMm ?? lengthMm;
        notes.Add(
            "heater.field",
            $"The bottom heater warms {ModelNotes.Show(lengthMm)} x {ModelNotes.Show(widthMm)} mm.",
            null,
            0,
            true,
            "job-file"
        );
        return ChipBlocks.Centred(
            heater.XMm ?? (board.X0Mm + board.X1Mm) / 2,
            heater.YMm ?? (board.Y0Mm + board.Y1Mm) / 2,
            lengthMm,
            widthMm
        );
    }

    private static RectMm? Clip(RectMm rect, RectMm board)
    {
        RectMm clipped = new(
            Math.Max(rect.X0Mm, board.X0Mm),
            Math.Min(rect.X1Mm, board.X1Mm),
            Math.Max(rect.Y0Mm, board.Y0Mm),
            Math.Min(rect.Y1Mm, board.Y1Mm)
        );
        return clipped.X1Mm - clipped.X0Mm > 0.5 && clipped.Y1Mm - clipped.Y0Mm > 0.5 ? clipped : null;
    }
}
