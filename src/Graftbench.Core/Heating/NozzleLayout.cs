using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>Where the nozzle's opening lies, and what stands in its way.</summary>
internal static class NozzleLayout
{
    /// <summary>Code of the assumption that the nozzle is set by eye.</summary>
    public const string AlignCode = "nozzle.align";

    /// <summary>Code of the finding that a round opening leaves the chip's corners out.</summary>
    public const string CornersCode = "heat.nozzle-misses-corners";

    /// <summary>Code of the finding that nothing heats at the bench.</summary>
    public const string NoHeaterCode = "heat.no-heater";

    /// <summary>Opening over the board, centred on the chip; a round one as the square of equal area.</summary>
    public static RectMm Opening(Nozzle? nozzle, RectMm chip, RectMm board, HeatTask task, ModelNotes notes)
    {
        notes.Use(AlignCode);
        if (nozzle is null)
        {
            return chip.Grown(notes.Use("nozzle.overhang"));
        }
        (double lengthMm, double widthMm) = Size(nozzle);
        double x = (chip.X0Mm + chip.X1Mm) / 2;
        double y = (chip.Y0Mm + chip.Y1Mm) / 2;
        RectMm opening = ChipBlocks.Centred(x, y, lengthMm, widthMm);
        string size = $"{ModelNotes.Show(Math.Round(lengthMm, 1))} x {ModelNotes.Show(Math.Round(widthMm, 1))} mm";
        notes.Add(
            "nozzle",
            $"Nozzle {nozzle.Name}: opening {size}{(nozzle.Round ? ", the square of equal area" : "")}, straight over the chip.",
            null,
            0,
            true,
            "job-file"
        );
        if (opening.X0Mm > chip.X0Mm || opening.Y0Mm > chip.Y0Mm)
        {
            notes.Find(
                Verdict.Warning,
                "heat.nozzle-smaller-than-chip",
                $"nozzle {nozzle.Name}",
                "The nozzle does not cover the chip; its outer joints stay cold.",
                size,
                $"{ModelNotes.Show(chip.X1Mm - chip.X0Mm)} x {ModelNotes.Show(chip.Y1Mm - chip.Y0Mm)} mm",
                "job-file",
                "Take a nozzle that reaches beyond the chip on all sides."
            );
        }
        else if (
            nozzle.Round
            && NozzleChooser.Reach(nozzle, chip.X1Mm - chip.X0Mm, chip.Y1Mm - chip.Y0Mm) is < 0 and var reachMm
        )
        {
            // The square of equal area hides this from the model, which therefore takes the corners for warmer than they are.
            string across = $"{ModelNotes.Show(Math.Round(nozzle.LengthMm - 2 * reachMm, 1))} mm";
            notes.Find(
                Verdict.Warning,
                CornersCode,
                $"nozzle {nozzle.Name}",
                "The round nozzle does not reach the chip's corners; its corner joints stay colder than computed.",
                $"{ModelNotes.Show(nozzle.LengthMm)} mm across",
                across,
                "job-file",
                $"Take a round nozzle of at least {across}, or a square one."
            );
        }
        if (task != HeatTask.AttachBalls && (lengthMm > board.X1Mm - board.X0Mm || widthMm > board.Y1Mm - board.Y0Mm))
        {
            notes.Find(
                Verdict.FixFirst,
                "heat.nozzle-larger-than-board",
                $"nozzle {nozzle.Name}",
                "The nozzle is larger than the board.",
                size,
                $"{ModelNotes.Show(board.X1Mm)} x {ModelNotes.Show(board.Y1Mm)} mm",
                "job-file",
                "Check the nozzle's and the board's size, or take a smaller nozzle."
            );
        }
        return opening;
    }

    /// <summary>What a nozzle set by eye costs a corner joint, one standard deviation; 0 where the model does not assume one [K].</summary>
    public static double TiltDeltaK(BoardHeatModel model)
    {
        if (!model.Assumptions.Any(one => one is { Measured: false, Code: AlignCode }))
        {
            return 0;
        }
        const double NarrowMm = 2;
        const double WideMm = 8;
        double overhangMm = Math.Clamp(NozzleChooser.OverhangMm(model.Nozzle, model.Chip), NarrowMm, WideMm);
        double wide = HeatFilms.Of("nozzle.align-wide").Value;
        double share = 1 + (wide - 1) * (overhangMm - NarrowMm) / (WideMm - NarrowMm);
        // A corner follows both directions.
        return Math.Sqrt(2) * HeatFilms.Of(AlignCode).Value * HeatFilms.Of("nozzle.align-cost").Value * share;
    }

    /// <summary>Length and width of an opening [mm].</summary>
    public static (double LengthMm, double WidthMm) Size(Nozzle nozzle)
    {
        double lengthMm = Math.Max(0.5, nozzle.LengthMm);
        if (nozzle.Round)
        {
            double edgeMm = lengthMm * Math.Sqrt(Math.PI) / 2;
            return (edgeMm, edgeMm);
        }
        return (lengthMm, Math.Max(0.5, nozzle.WidthMm ?? lengthMm));
    }

    public static void TellOfParts(
        RectMm opening,
        ChipBlocks chip,
        IReadOnlyList<Neighbour> neighbours,
        HeatSite site,
        ModelNotes notes
    )
    {
        List<Neighbour> below =
        [
            .. neighbours.Where(one => one.OnTop && NeighbourBlocks.Overlap(one.Outline, opening)),
        ];
        if (below.Count == 0)
        {
            return;
        }
        List<string> taller =
        [
            .. below.Where(one => (one.Part.HeightMm ?? 0) > chip.TopZMm).Select(one => one.Part.Ref),
        ];
        notes.Find(
            Verdict.Warning,
            "heat.nozzle-over-parts",
            site.Name,
            $"Parts under the nozzle get its full gas: {NeighbourBlocks.Some([.. below.Select(one => one.Part.Ref)])}."
                + (taller.Count > 0 ? $" Taller than the chip: {NeighbourBlocks.Some(taller)}." : ""),
            source: "job-file",
            todo: "Take a smaller nozzle, shield these parts or take them off."
        );
    }

    public static void TellOfHeaters(HeatTools tools, ModelNotes notes)
    {
        bool belowSaid = tools.Preheater.MaxC is not null || tools.Preheater.Kind == PreheaterKind.None;
        if (tools.Gas.MaxC is not null && belowSaid)
        {
            return;
        }
        bool none = tools.Gas.MaxC is null && tools.Preheater.MaxC is null;
        string missing = tools.Gas.MaxC is null ? "hot gas" : "bottom heater";
        notes.Find(
            none ? Verdict.FixFirst : Verdict.Unknown,
            none ? NoHeaterCode : "heat.heater-without-limit",
            "bench",
            none
                ? "The bench has neither a hot-gas tool nor a bottom heater with a hottest temperature, so no settings can be found."
                : $"The hottest temperature of the {missing} is not entered.",
            source: "job-file",
            todo: none
                ? "Enter the hottest set temperature of the gas and of the bottom heater."
                : $"Enter the hottest set temperature of the {missing}."
        );
    }
}
