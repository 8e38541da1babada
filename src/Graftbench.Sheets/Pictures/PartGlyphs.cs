using Graftbench.Core.Jobs;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>A turned rectangle on the picture; draws in its own frame, u and v from -1 to 1 across the body.</summary>
/// <param name="Centre">Centre on the picture.</param>
/// <param name="HalfLength">Half of the extent in the body's own x.</param>
/// <param name="HalfWidth">Half of the extent in the body's own y.</param>
/// <param name="TurnDeg">Turn, counter-clockwise as seen.</param>
internal readonly record struct Body(Pt Centre, double HalfLength, double HalfWidth, double TurnDeg)
{
    public double Smaller => Math.Min(HalfLength, HalfWidth);

    public Pt At(double u, double v)
    {
        double turn = TurnDeg * Math.PI / 180;
        double x = u * HalfLength;
        double y = v * HalfWidth;
        return new Pt(
            Centre.X + (x * Math.Cos(turn)) - (y * Math.Sin(turn)),
            Centre.Y - ((x * Math.Sin(turn)) + (y * Math.Cos(turn)))
        );
    }

    public IReadOnlyList<Pt> Corners(double grown = 1) =>
        [At(-grown, grown), At(grown, grown), At(grown, -grown), At(-grown, -grown)];

    public Seg Stroke(double u1, double v1, double u2, double v2)
    {
        Pt a = At(u1, v1);
        Pt b = At(u2, v2);
        return new Seg(a.X, a.Y, b.X, b.Y);
    }

    public Box Bounds()
    {
        IReadOnlyList<Pt> corners = Corners();
        double left = corners.Min(p => p.X);
        double top = corners.Min(p => p.Y);
        return new Box(left, top, corners.Max(p => p.X) - left, corners.Max(p => p.Y) - top);
    }
}

/// <summary>Shapes of the kinds of parts. A kind is told by its shape and marks; colour only repeats it.</summary>
internal static class PartGlyphs
{
    /// <summary>Whether a kind is drawn round.</summary>
    public static bool Round(PartKind kind) =>
        kind is PartKind.AluminiumElectrolytic or PartKind.CoinCell or PartKind.Supercapacitor;

    /// <summary>Draws the body of a part.</summary>
    /// <param name="canvas">Where to.</param>
    /// <param name="kind">What it is.</param>
    /// <param name="body">Where it lies.</param>
    /// <param name="look">Fill and outline.</param>
    /// <param name="marks">Whether the kind's marks are drawn too.</param>
    public static void Draw(ICanvas canvas, PartKind kind, Body body, Look look, bool marks)
    {
        if (Round(kind))
        {
            canvas.Circle(body.Centre, body.Smaller, look);
        }
        else
        {
            canvas.Line(body.Corners(), true, look);
        }
        if (marks && body.Smaller >= 2)
        {
            Marks(canvas, kind, body, new Look(Stroke: look.Stroke, Width: Math.Min(1, look.Width)));
        }
    }

    private static void Marks(ICanvas canvas, PartKind kind, Body body, Look thin)
    {
        Ink ink = thin.Stroke ?? Ink.Text;
        switch (kind)
        {
            case PartKind.BallGridPackage:
                canvas.Dots(Grid(body, 4), Math.Min(1.4, body.Smaller * 0.12), ink);
                break;
            case PartKind.MouldedPackage:
                canvas.Strokes(Ticks(body), thin);
                break;
            case PartKind.HermeticPackage:
                canvas.Line(body.Corners(0.72), true, thin);
                break;
            case PartKind.CeramicCapacitor:
                canvas.Strokes([body.Stroke(-0.55, -1, -0.55, 1), body.Stroke(0.55, -1, 0.55, 1)], thin);
                break;
            case PartKind.AluminiumElectrolytic:
                canvas.Shapes([Chord(body, 0.45)], new Look(Fill: ink));
                break;
            case PartKind.PolymerCapacitor:
                canvas.Shapes(
                    [
                        [body.At(0.6, 1), body.At(1, 1), body.At(1, -1), body.At(0.6, -1)],
                    ],
                    new Look(Fill: ink)
                );
                break;
            case PartKind.FilmCapacitorPolypropylene or PartKind.FilmCapacitorPolyester:
                canvas.Strokes(Slants(body), thin);
                break;
            case PartKind.Supercapacitor:
                canvas.Circle(body.Centre, body.Smaller * 0.65, thin);
                break;
            case PartKind.CoinCell:
                double arm = body.Smaller * 0.45;
                canvas.Strokes(
                    [
                        new Seg(body.Centre.X - arm, body.Centre.Y, body.Centre.X + arm, body.Centre.Y),
                        new Seg(body.Centre.X, body.Centre.Y - arm, body.Centre.X, body.Centre.Y + arm),
                    ],
                    thin with
                    {
                        Width = 1.6,
                    }
                );
                break;
            case PartKind.LithiumPack:
                canvas.Strokes(
                    [
                        body.Stroke(0.8, -0.4, 0.8, 0.4),
                        body.Stroke(0.55, 0, 0.85, 0),
                        body.Stroke(-0.85, 0, -0.55, 0),
                        body.Stroke(0.35, -1, 0.35, 1),
                    ],
                    thin
                );
                break;
            case PartKind.Crystal:
                canvas.Line([.. Oval(body)], true, thin);
                break;
            case PartKind.LcFilter:
                canvas.Strokes([body.Stroke(-1, -1, 1, 1), body.Stroke(-1, 1, 1, -1)], thin);
                break;
            case PartKind.RadioModule:
                canvas.Line(
                    [body.At(-0.9, -0.8), body.At(0.4, -0.8), body.At(0.4, 0.8), body.At(-0.9, 0.8)],
                    true,
                    thin
                );
                canvas.Line(
                    [body.At(0.6, -0.7), body.At(0.9, -0.35), body.At(0.6, 0), body.At(0.9, 0.35), body.At(0.6, 0.7)],
                    false,
                    thin
                );
                break;
            case PartKind.ConnectorHeatProof or PartKind.ConnectorOther:
                canvas.Strokes(Slots(body), thin);
                break;
            case PartKind.PlasticPart:
                canvas.Strokes([body.Stroke(-1, -0.4, 1, -0.4), body.Stroke(-1, 0.4, 1, 0.4)], thin);
                break;
            case PartKind.LabelOrTape:
                canvas.Strokes(
                    [body.Stroke(-0.7, 0.3, 0.7, 0.3), body.Stroke(-0.7, -0.3, 0.3, -0.3)],
                    thin with
                    {
                        Dash = Dash.Dotted,
                    }
                );
                break;
        }
    }

    private static List<Pt> Grid(Body body, int number)
    {
        List<Pt> points = [];
        for (int i = 0; i < number; i++)
        {
            for (int j = 0; j < number; j++)
            {
                points.Add(body.At(-0.7 + (1.4 * i / (number - 1)), -0.7 + (1.4 * j / (number - 1))));
            }
        }
        return points;
    }

    private static List<Seg> Ticks(Body body)
    {
        List<Seg> ticks = [];
        bool alongX = body.HalfLength >= body.HalfWidth;
        double across = alongX ? body.HalfWidth : body.HalfLength;
        double reach = 1 + Math.Min(0.5, 2.5 / Math.Max(1, across));
        int number = Math.Clamp((int)((alongX ? body.HalfLength : body.HalfWidth) / 3), 2, 16);
        for (int i = 0; i < number; i++)
        {
            double t = -0.85 + (1.7 * i / (number - 1));
            ticks.Add(alongX ? body.Stroke(t, 1, t, reach) : body.Stroke(1, t, reach, t));
            ticks.Add(alongX ? body.Stroke(t, -1, t, -reach) : body.Stroke(-1, t, -reach, t));
        }
        return ticks;
    }

    private static List<Seg> Slants(Body body)
    {
        List<Seg> slants = [];
        for (double at = -1.6; at < 1.7; at += 0.4)
        {
            double low = Math.Max(-1, at - 0.4);
            double high = Math.Min(1, at + 0.4);
            if (low < high)
            {
                slants.Add(body.Stroke(low, (low - at) / 0.4, high, (high - at) / 0.4));
            }
        }
        return slants;
    }

    private static List<Seg> Slots(Body body)
    {
        List<Seg> slots = [];
        bool alongX = body.HalfLength >= body.HalfWidth;
        int number = Math.Clamp((int)((alongX ? body.HalfLength : body.HalfWidth) / 3), 2, 20);
        for (int i = 0; i < number; i++)
        {
            double t = -0.85 + (1.7 * i / (number - 1));
            slots.Add(alongX ? body.Stroke(t, -0.5, t, 0.5) : body.Stroke(-0.5, t, 0.5, t));
        }
        return slots;
    }

    private static List<Pt> Chord(Body body, double at)
    {
        List<Pt> points = [];
        double half = Math.Acos(at);
        for (int i = 0; i <= 10; i++)
        {
            double angle = -half + (2 * half * i / 10) + (body.TurnDeg * Math.PI / 180);
            points.Add(
                new Pt(
                    body.Centre.X + (body.Smaller * Math.Cos(angle)),
                    body.Centre.Y - (body.Smaller * Math.Sin(angle))
                )
            );
        }
        return points;
    }

    private static IEnumerable<Pt> Oval(Body body) =>
        Enumerable
            .Range(0, 20)
            .Select(i => body.At(0.85 * Math.Cos(i * Math.PI / 10), 0.7 * Math.Sin(i * Math.PI / 10)));
}
