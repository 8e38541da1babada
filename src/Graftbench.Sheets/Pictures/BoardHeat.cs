using Graftbench.Core.Jobs;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>Opening of a nozzle over the board.</summary>
/// <param name="XMm">Centre from the board's left edge [mm].</param>
/// <param name="YMm">Centre from the board's lower edge [mm].</param>
/// <param name="LengthMm">Opening in its own x; the diameter of a round one [mm].</param>
/// <param name="WidthMm">Opening in its own y [mm].</param>
/// <param name="Round">Whether it is round.</param>
/// <param name="RotationDeg">Turn, counter-clockwise [°].</param>
public sealed record NozzleOutline(
    double XMm,
    double YMm,
    double LengthMm,
    double WidthMm,
    bool Round = false,
    double RotationDeg = 0
);

/// <summary>What heat meets on a board picture: copper in the board, the heater below, the nozzle above, shields.</summary>
internal static class BoardHeat
{
    // Heater lines stop short of the scale under the board.
    private const double HeaterReachPx = 12;
    private const double ShieldGapPx = 2.5;

    /// <summary>Copper regions, in the order of the document: a later one lies on top, as it counts.</summary>
    public static void DrawCopper(ICanvas canvas, BoardScene scene)
    {
        foreach (CopperRegion region in scene.Copper)
        {
            canvas.Begin("copper", Words(region));
            Box box = scene.ToPage(region.XMm, region.YMm, region.LengthMm, region.WidthMm);
            DrawCopper(canvas, box, region.Amount);
            canvas.End();
        }
    }

    public static void DrawCopper(ICanvas canvas, Box box, CopperAmount amount)
    {
        canvas.Rect(box, 0, new Look(Ink.Warn, Ink.Muted, 1, Dash.Dashed, amount == CopperAmount.Rich ? 0.22 : 0.08));
        canvas.Strokes(Slants(box, amount), new Look(Stroke: Ink.Muted, Width: 0.6));
    }

    /// <summary>Field and zones of the heater below, as far as the picture reaches.</summary>
    public static void DrawHeater(ICanvas canvas, BoardScene scene)
    {
        if (scene.Options.Heater is not { } heater)
        {
            return;
        }
        canvas.Begin("heater", HeaterWords(heater));
        foreach (HeaterZone zone in heater.Zones)
        {
            Box box = scene.ToPage(zone.XMm, zone.YMm, zone.LengthMm, zone.WidthMm);
            canvas.Strokes(Sides(box, scene), new Look(Stroke: Ink.Warn, Width: 0.9, Dash: Dash.Dashed));
        }
        if (Field(scene, heater) is { } field)
        {
            canvas.Strokes(Sides(field, scene), new Look(Stroke: Ink.Warn, Width: 1.8, Dash: Dash.Dashed));
        }
        canvas.End();
    }

    /// <summary>Opening of the nozzle.</summary>
    public static void DrawNozzle(ICanvas canvas, BoardScene scene)
    {
        if (scene.Options.Nozzle is not { } nozzle)
        {
            return;
        }
        Look look = new(Stroke: Ink.Warn, Width: 1.6, Dash: Dash.Dotted);
        Pt centre = scene.ToPage(nozzle.XMm, nozzle.YMm);
        double halfLength = nozzle.LengthMm * scene.PxPerMm / 2;
        canvas.Begin("nozzle", NozzleWords(nozzle));
        if (nozzle.Round)
        {
            canvas.Circle(centre, halfLength, look);
        }
        else
        {
            Body opening = new(centre, halfLength, nozzle.WidthMm * scene.PxPerMm / 2, nozzle.RotationDeg);
            canvas.Line(opening.Corners(), true, look);
        }
        canvas.End();
    }

    /// <summary>The shield around a body: dotted for tape, a line for foil, a thick one for a cover.</summary>
    public static void DrawShield(ICanvas canvas, Body body, HeatShield shield)
    {
        if (shield == HeatShield.None)
        {
            return;
        }
        Body around = body with
        {
            HalfLength = body.HalfLength + ShieldGapPx,
            HalfWidth = body.HalfWidth + ShieldGapPx,
        };
        double width = shield == HeatShield.Cover ? 2.6 : 1;
        Dash dash = shield == HeatShield.Tape ? Dash.Dotted : Dash.Solid;
        canvas.Line(around.Corners(), true, new Look(Stroke: Ink.Text, Width: width, Dash: dash));
    }

    /// <summary>What is drawn, for those who cannot see it.</summary>
    public static IEnumerable<string> Description(BoardScene scene)
    {
        foreach (CopperRegion region in scene.Copper)
        {
            yield return Words(region) + ".";
        }
        if (scene.Options.Heater is { } heater)
        {
            yield return HeaterWords(heater) + ".";
        }
        if (scene.Options.Nozzle is { } nozzle)
        {
            yield return NozzleWords(nozzle) + ".";
        }
    }

    /// <summary>Says where the heater reaches further than the picture.</summary>
    public static IEnumerable<string> Notes(BoardScene scene)
    {
        if (
            scene.Options.Heater is { } heater
            && Field(scene, heater) is { } field
            && !field.Inside(scene.Area.Grown(HeaterReachPx))
        )
        {
            yield return $"The heater below, {Size(heater.LengthMm!.Value, heater.WidthMm!.Value)}, reaches beyond the picture.";
        }
    }

    private static Box? Field(BoardScene scene, BottomHeater heater) =>
        heater is { LengthMm: { } length, WidthMm: { } width }
            ? scene.ToPage(
                (heater.XMm ?? (scene.Board.LengthMm / 2)) - (length / 2),
                (heater.YMm ?? (scene.Board.WidthMm / 2)) - (width / 2),
                length,
                width
            )
            : null;

    private static List<Seg> Sides(Box box, BoardScene scene)
    {
        Box seen = scene.Area.Grown(HeaterReachPx);
        double left = Math.Max(box.X, seen.X);
        double right = Math.Min(box.Right, seen.Right);
        double top = Math.Max(box.Y, seen.Y);
        double bottom = Math.Min(box.Bottom, seen.Bottom);
        List<Seg> sides = [];
        if (left >= right || top >= bottom)
        {
            return sides;
        }
        foreach (double x in (double[])[box.X, box.Right])
        {
            if (x >= seen.X && x <= seen.Right)
            {
                sides.Add(new Seg(x, top, x, bottom));
            }
        }
        foreach (double y in (double[])[box.Y, box.Bottom])
        {
            if (y >= seen.Y && y <= seen.Bottom)
            {
                sides.Add(new Seg(left, y, right, y));
            }
        }
        return sides;
    }

    // Many slants for much copper, few the other way for little: the two differ without colour.
    private static List<Seg> Slants(Box box, CopperAmount amount)
    {
        bool rich = amount == CopperAmount.Rich;
        double step = rich ? 7 : 16;
        List<Seg> slants = [];
        for (double from = step; from < box.Width + box.Height; from += step)
        {
            // From the left or upper edge down to the lower or right one, at 45°.
            double x1 = Math.Max(0, from - box.Height);
            double y1 = Math.Min(from, box.Height);
            double x2 = Math.Min(from, box.Width);
            double y2 = Math.Max(0, from - box.Width);
            slants.Add(
                rich
                    ? new Seg(box.X + x1, box.Y + y1, box.X + x2, box.Y + y2)
                    : new Seg(box.Right - x1, box.Y + y1, box.Right - x2, box.Y + y2)
            );
        }
        return slants;
    }

    private static string Words(CopperRegion region) =>
        $"{(region.Amount == CopperAmount.Rich ? "More" : "Less")} copper than elsewhere, {Size(region.LengthMm, region.WidthMm)}";

    private static string HeaterWords(BottomHeater heater) =>
        "Heater below"
        + (heater is { LengthMm: { } length, WidthMm: { } width } ? $", {Size(length, width)}" : "")
        + (heater.Zones.Count > 0 ? $", zones: {string.Join(", ", heater.Zones.Select(ZoneWords))}" : "");

    private static string ZoneWords(HeaterZone zone) =>
        zone.SharePercent > 0 ? SheetText.Clean(zone.Name) : $"{SheetText.Clean(zone.Name)} (off)";

    private static string NozzleWords(NozzleOutline nozzle) =>
        nozzle.Round
            ? $"Nozzle, {QuantityText.Length(nozzle.LengthMm)} round"
            : $"Nozzle, {Size(nozzle.LengthMm, nozzle.WidthMm)}";

    private static string Size(double lengthMm, double widthMm) =>
        $"{QuantityText.Length(lengthMm)} × {QuantityText.Length(widthMm)}";
}
