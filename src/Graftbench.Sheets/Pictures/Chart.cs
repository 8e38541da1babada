using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>A plot area with two linear axes that start at 0.</summary>
/// <param name="Plot">Area inside the axes.</param>
/// <param name="EndX">Value at the right end.</param>
/// <param name="EndY">Value at the top.</param>
internal sealed record Chart(Box Plot, double EndX, double EndY)
{
    public const double TextSize = 13;
    public const double SmallSize = 12;

    public double X(double value) => Plot.X + (Plot.Width * Math.Clamp(value / EndX, 0, 1));

    public double Y(double value) => Plot.Bottom - (Plot.Height * Math.Clamp(value / EndY, 0, 1));

    /// <summary>Draws grid lines, tick labels and the names of the axes.</summary>
    public void DrawAxes(
        ICanvas canvas,
        IReadOnlyList<double> ticksX,
        Func<double, string> textX,
        string nameX,
        IReadOnlyList<double> ticksY,
        Func<double, string> textY,
        string nameY
    )
    {
        canvas.Begin("axes");
        canvas.Strokes(
            [
                .. ticksX.Select(x => new Seg(X(x), Plot.Y, X(x), Plot.Bottom + 4)),
                .. ticksY.Select(y => new Seg(Plot.X - 4, Y(y), Plot.Right, Y(y))),
            ],
            new Look(Stroke: Ink.Grid, Width: 0.8)
        );
        canvas.Line(
            [new Pt(Plot.X, Plot.Y), new Pt(Plot.X, Plot.Bottom), new Pt(Plot.Right, Plot.Bottom)],
            false,
            new Look(Stroke: Ink.Text)
        );
        foreach (double x in ticksX)
        {
            canvas.Text(
                new Pt(X(x), Plot.Bottom + 18),
                textX(x),
                new TextLook(SmallSize, X(x) > Plot.Right - 12 ? Anchor.End : Anchor.Middle)
            );
        }
        foreach (double y in ticksY)
        {
            canvas.Text(new Pt(Plot.X - 7, Y(y) + 4), textY(y), new TextLook(SmallSize, Anchor.End));
        }
        canvas.Text(
            new Pt(Plot.X + (Plot.Width / 2), Plot.Bottom + 36),
            nameX,
            new TextLook(SmallSize, Anchor.Middle, Ink: Ink.Muted)
        );
        canvas.Text(new Pt(Plot.X - 44, Math.Min(Plot.Y - 9, 16)), nameY, new TextLook(SmallSize, Ink: Ink.Muted));
        canvas.End();
    }

    /// <summary>Draws a curve, thinned to what the width can show.</summary>
    public void DrawCurve(ICanvas canvas, IReadOnlyList<double> x, IReadOnlyList<double> y, Look look)
    {
        int number = Math.Min(x.Count, y.Count);
        List<Pt> points = new(number);
        for (int i = 0; i < number; i++)
        {
            if (double.IsFinite(x[i]) && double.IsFinite(y[i]))
            {
                points.Add(new Pt(X(x[i]), Y(y[i])));
            }
        }
        if (points.Count > 1)
        {
            canvas.Line(Thin(points), false, look);
        }
    }

    /// <summary>Drops points that a straight line between their neighbours already shows to a third of a unit.</summary>
    internal static IReadOnlyList<Pt> Thin(IReadOnlyList<Pt> points)
    {
        const double Tolerance = 0.33;
        if (points.Count < 3)
        {
            return points;
        }
        bool[] keep = new bool[points.Count];
        keep[0] = keep[^1] = true;
        Stack<(int From, int To)> spans = new();
        spans.Push((0, points.Count - 1));
        while (spans.Count > 0)
        {
            (int from, int to) = spans.Pop();
            int farthest = -1;
            double distance = Tolerance;
            for (int i = from + 1; i < to; i++)
            {
                double d = Distance(points[i], points[from], points[to]);
                if (d > distance)
                {
                    (farthest, distance) = (i, d);
                }
            }
            if (farthest >= 0)
            {
                keep[farthest] = true;
                spans.Push((from, farthest));
                spans.Push((farthest, to));
            }
        }
        return [.. points.Where((_, i) => keep[i])];
    }

    private static double Distance(Pt p, Pt a, Pt b)
    {
        double dx = b.X - a.X;
        double dy = b.Y - a.Y;
        double length = Math.Sqrt((dx * dx) + (dy * dy));
        return length < 1e-9
            ? Math.Sqrt(((p.X - a.X) * (p.X - a.X)) + ((p.Y - a.Y) * (p.Y - a.Y)))
            : Math.Abs((dx * (a.Y - p.Y)) - ((a.X - p.X) * dy)) / length;
    }
}
