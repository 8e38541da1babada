using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>The bare board and its regions of more or less copper as boxes.</summary>
internal static class BoardBoxes
{
    // More copper than this share of the thickness is no printed board.
    private const double MostCopperShare = 0.5;

    public static IReadOnlyList<HeatBox> Of(HeatSite site, ModelNotes notes)
    {
        Board board = site.Board;
        double copperMm = Copper(site, notes, out bool measured);
        BoardMixture mixture = BoardMixture.Of(board.ThicknessMm, copperMm);
        double coverSd = measured
            ? HeatFilms.Of("board.copper-cover").MeasuredLogSd
            : HeatFilms.Of("board.copper-cover").LogSd;
        notes.Add(
            "board.copper",
            $"{ModelNotes.Show(Math.Round(copperMm, 3))} mm of continuous copper{(measured ? "" : ", assumed")}: "
                + $"{ModelNotes.Show(Math.Round(mixture.InPlaneWPerMK, 1))} W/(m K) along the board, {ModelNotes.Show(Math.Round(mixture.ThroughWPerMK, 2))} through it; "
                + $"another form gives {ModelNotes.Show(Math.Round(mixture.RivalInPlaneWPerMK, 1))} and {ModelNotes.Show(Math.Round(mixture.RivalThroughWPerMK, 2))}. Only planes count.",
            "BoardConductivityFactor",
            Math.Sqrt(coverSd * coverSd + mixture.SpreadLogSdRatio * mixture.SpreadLogSdRatio),
            measured,
            measured ? "azar-graebner" : HeatFilms.Of("board.copper-cover").Source
        );
        notes.Use("board.capacity");
        if (board.Outline.Count > 2)
        {
            notes.Add(
                "board.outline",
                "The board is computed as a rectangle; cut-outs of its outline are filled.",
                null,
                0,
                false,
                "graftbench-computed"
            );
        }
        List<HeatBox> boxes = [Box("board", new RectMm(0, board.LengthMm, 0, board.WidthMm), mixture)];
        foreach (CopperRegion region in board.CopperRegions)
        {
            RectMm rect = new(
                Math.Max(0, Math.Round(region.XMm)),
                Math.Min(board.LengthMm, Math.Round(region.XMm + region.LengthMm)),
                Math.Max(0, Math.Round(region.YMm)),
                Math.Min(board.WidthMm, Math.Round(region.YMm + region.WidthMm))
            );
            if (rect.X1Mm - rect.X0Mm < 1 || rect.Y1Mm - rect.Y0Mm < 1)
            {
                continue;
            }
            double share = HeatFilms.Of(region.Amount == CopperAmount.Poor ? "board.poor" : "board.rich").Value;
            double regionMm = region.CopperThicknessMm ?? share * copperMm;
            regionMm = Math.Clamp(double.IsNaN(regionMm) ? copperMm : regionMm, 0, MostCopperShare * board.ThicknessMm);
            string name = string.Create(CultureInfo.InvariantCulture, $"region {boxes.Count}");
            boxes.Add(Box(name, rect, BoardMixture.Of(board.ThicknessMm, regionMm)));
        }
        if (boxes.Count > 1)
        {
            notes.Add(
                "board.regions",
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{boxes.Count - 1} regions hold more or less copper; where no thickness is entered a poor one has {HeatFilms.Of("board.poor").Value} and a rich one {HeatFilms.Of("board.rich").Value} times the rest."
                ),
                null,
                0,
                board.CopperRegions.All(region => region.CopperThicknessMm is not null),
                HeatFilms.Of("board.poor").Source
            );
        }
        return boxes;
    }

    private static double Copper(HeatSite site, ModelNotes notes, out bool measured)
    {
        Board board = site.Board;
        measured = board.CopperThicknessMm is not null;
        double layers = board.CopperLayers ?? HeatFilms.Of("board.layers").Value;
        double copperMm =
            board.CopperThicknessMm
            ?? layers * HeatFilms.Of("board.layer-copper").Value / 1000 * HeatFilms.Of("board.copper-cover").Value;
        double mostMm = MostCopperShare * board.ThicknessMm;
        if (copperMm >= 0 && copperMm <= mostMm)
        {
            return copperMm;
        }
        notes.Find(
            Verdict.FixFirst,
            "heat.board-thinner-than-copper",
            site.Name,
            $"{ModelNotes.Millimetres(copperMm)} of copper in a board of {ModelNotes.Millimetres(board.ThicknessMm)} cannot be; computed with half the thickness as copper.",
            ModelNotes.Millimetres(copperMm),
            ModelNotes.Millimetres(mostMm),
            "graftbench-limit",
            "Check the board's thickness, the copper thickness and the number of layers."
        );
        return mostMm;
    }

    private static HeatBox Box(string name, RectMm rect, BoardMixture mixture) =>
        new(
            name,
            rect.X0Mm,
            rect.X1Mm,
            rect.Y0Mm,
            rect.Y1Mm,
            -mixture.ThicknessMm,
            0,
            mixture.InPlaneWPerMK,
            mixture.ThroughWPerMK,
            mixture.DensityKgPerM3,
            mixture.SpecificHeatJPerKgK,
            BoxRole.Board
        );
}
