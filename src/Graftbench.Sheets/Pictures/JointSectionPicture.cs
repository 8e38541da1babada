using Graftbench.Core.Joints;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>A cut through one row of joints, to scale in both directions: package, parts, balls, solder on the lands, board.</summary>
public static class JointSectionPicture
{
    private const double Side = 12;
    private const double Head = 20;
    private const double BoardPx = 16;
    private const double PackagePx = 18;
    private const double Between = 30;
    private const double LandPx = 4;
    private const double MostPxPerMm = 130;
    private const double LeastPxPerMm = 34;
    private const int MostLines = 4;

    // Room beside the outermost joint, as share of the pitch.
    private const double HalfOfPitch = 0.5;

    // A miss that is smaller than this share of a pixel is still drawn as a gap.
    private const double LeastGapPx = 2;

    /// <summary>Draws the cut as SVG; a long row is broken into lines.</summary>
    /// <param name="plan">The answer that the cut belongs to.</param>
    /// <param name="section">The cut.</param>
    /// <param name="widthPx">Width that the picture is laid out for.</param>
    /// <returns>The picture; empty where the row has no joints.</returns>
    public static string Svg(JointPlan plan, JointSection section, int widthPx = 860) =>
        Picture(plan, section, widthPx)?.Svg() ?? "";

    internal static Picture? Picture(JointPlan plan, JointSection section, double width)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(section);
        if (section.Joints.Count == 0)
        {
            return null;
        }
        double halfMm = HalfMm(section);
        double leftMm = section.Joints.Min(joint => joint.XMm) - halfMm;
        double rightMm = section.Joints.Max(joint => joint.XMm) + halfMm;
        double heightMm = HeightMm(section);
        double px = Math.Clamp((width - 2 * Side) * MostLines / (rightMm - leftMm), LeastPxPerMm, MostPxPerMm);
        // Lines break between joints, not through one.
        double stepMm = halfMm / HalfOfPitch;
        double spanMm = Math.Max(1, Math.Floor((width - 2 * Side) / px / stepMm - 2 * (HalfOfPitch - 0.5))) * stepMm;
        int lines = Math.Max(1, (int)Math.Ceiling((rightMm - leftMm) / spanMm - 1e-6));
        double lineHeight = Head + PackagePx + heightMm * px + BoardPx + Between;
        int open = section.Joints.Count(joint => !joint.Joined);
        return new Picture(
            width,
            lines * lineHeight + 34,
            "Cut through a row of joints, to scale",
            Words(plan, section, open),
            canvas =>
            {
                for (int line = 0; line < lines; line++)
                {
                    Frame frame = new(
                        leftMm + line * spanMm,
                        Math.Min(leftMm + (line + 1) * spanMm, rightMm),
                        px,
                        line * lineHeight + Head + PackagePx + heightMm * px
                    );
                    DrawLine(canvas, plan, section, frame);
                }
                DrawKey(canvas, px, lines * lineHeight + 14, open > 0);
            }
        );
    }

    /// <summary>One line of the picture: from where to where on the board, its scale, and where the plane of the lands lies.</summary>
    private sealed record Frame(double FromMm, double ToMm, double Px, double LandsY)
    {
        public double X(double xMm) => Side + (xMm - FromMm) * Px;

        public double Y(double zMm) => LandsY - zMm * Px;

        public Pt At(SectionPoint point) => new(X(point.XMm), Y(point.ZMm));

        public bool Shows(double xMm) => xMm >= FromMm - 1e-9 && xMm < ToMm - 1e-9;
    }

    private static double HalfMm(JointSection section)
    {
        double[] places = [.. section.Joints.Select(joint => joint.XMm).Order()];
        double pitchMm = places
            .Zip(places.Skip(1), (a, b) => b - a)
            .Where(step => step > 1e-6)
            .DefaultIfEmpty(1.2)
            .Min();
        return pitchMm * HalfOfPitch;
    }

    private static double HeightMm(JointSection section) =>
        section
            .Joints.SelectMany(joint => joint.Outlines)
            .SelectMany(outline => outline)
            .Concat(section.PackageLine)
            .Select(point => point.ZMm)
            .Append(0.1)
            .Max();

    private static void DrawLine(ICanvas canvas, JointPlan plan, JointSection section, Frame frame)
    {
        canvas.Begin("line");
        DrawBoard(canvas, section, frame);
        DrawPackage(canvas, section, frame);
        foreach (SectionStop stop in section.Stops.Where(stop => frame.Shows(stop.XMm)))
        {
            DrawStop(canvas, plan, stop, frame);
        }
        foreach (SectionJoint joint in section.Joints.Where(joint => frame.Shows(joint.XMm)))
        {
            DrawJoint(canvas, plan, joint, frame);
        }
        canvas.End();
    }

    private static void DrawBoard(ICanvas canvas, JointSection section, Frame frame)
    {
        double right = frame.X(frame.ToMm);
        canvas.Rect(
            new Box(Side, frame.LandsY, right - Side, BoardPx),
            0,
            new Look(Fill: Ink.Board, Stroke: Ink.Text, Width: 0.8)
        );
        foreach (SectionJoint joint in section.Joints.Where(joint => frame.Shows(joint.XMm)))
        {
            double halfMm = FootMm(joint);
            canvas.Rect(
                new Box(frame.X(joint.XMm - halfMm), frame.LandsY, 2 * halfMm * frame.Px, LandPx),
                0,
                new Look(Fill: Ink.Warn, Stroke: Ink.Text, Width: 0.6)
            );
        }
    }

    // The foot of a joint, or of the solder on a land, is as wide as the land.
    private static double FootMm(SectionJoint joint)
    {
        double halfMm = joint
            .Outlines.SelectMany(outline => outline)
            .Where(point => Math.Abs(point.ZMm) < 0.02)
            .Select(point => Math.Abs(point.XMm - joint.XMm))
            .DefaultIfEmpty(0)
            .Max();
        return halfMm > 0 ? halfMm : 0.15;
    }

    private static void DrawPackage(ICanvas canvas, JointSection section, Frame frame)
    {
        List<Pt> lower = [.. Clipped(section.PackageLine, frame.FromMm, frame.ToMm).Select(frame.At)];
        if (lower.Count < 2)
        {
            return;
        }
        double top = lower.Min(point => point.Y) - PackagePx;
        canvas.Line(
            [.. lower, new Pt(lower[^1].X, top), new Pt(lower[0].X, top)],
            true,
            new Look(Fill: Ink.Body, Stroke: Ink.Text, Width: 0.8)
        );
    }

    private static IEnumerable<SectionPoint> Clipped(IReadOnlyList<SectionPoint> line, double fromMm, double toMm)
    {
        if (line.Count < 2)
        {
            return [];
        }
        List<SectionPoint> inside = [.. line.Where(point => point.XMm > fromMm && point.XMm < toMm)];
        return [new SectionPoint(fromMm, At(line, fromMm)), .. inside, new SectionPoint(toMm, At(line, toMm))];
    }

    private static double At(IReadOnlyList<SectionPoint> line, double xMm)
    {
        int right = 1;
        while (right < line.Count - 1 && line[right].XMm < xMm)
        {
            right++;
        }
        (SectionPoint a, SectionPoint b) = (line[right - 1], line[right]);
        double wide = b.XMm - a.XMm;
        return wide <= 0 ? a.ZMm : a.ZMm + (b.ZMm - a.ZMm) * (xMm - a.XMm) / wide;
    }

    private static void DrawStop(ICanvas canvas, JointPlan plan, SectionStop stop, Frame frame)
    {
        StopState? state = plan.Stops.FirstOrDefault(one => one.Name == stop.Name);
        double halfPx = Math.Max(7, 0.3 * frame.Px);
        double top = frame.Y(stop.TopZMm);
        double height = Math.Max(2, (stop.TopZMm - stop.BottomZMm) * frame.Px);
        canvas.Begin("stop", SheetText.Clean(stop.Name));
        Box body = new(frame.X(stop.XMm) - halfPx, top, 2 * halfPx, height);
        canvas.Rect(body, 1, new Look(Fill: Ink.Paper, Stroke: Ink.Text, Width: 1.2));
        // Hatched, so that a part is told from solder without colour.
        canvas.Strokes(
            [
                .. Enumerable
                    .Range(1, 3)
                    .Select(i => new Seg(
                        body.X + body.Width * i / 4,
                        body.Y + 1,
                        body.X + body.Width * (i - 1) / 4,
                        body.Bottom - 1
                    )),
            ],
            new Look(Stroke: Ink.Muted, Width: 0.9)
        );
        if (state is { ForceMilliN: > 0 })
        {
            canvas.Text(
                new Pt(body.X + halfPx, frame.LandsY + BoardPx + 13),
                "rests",
                new TextLook(11, Anchor.Middle, Bold: true, Ink: Ink.Warn)
            );
        }
        canvas.End();
    }

    private static void DrawJoint(ICanvas canvas, JointPlan plan, SectionJoint joint, Frame frame)
    {
        JointState? state = joint.Index >= 0 && joint.Index < plan.Joints.Count ? plan.Joints[joint.Index] : null;
        JointClass kind = state?.Class ?? (joint.Joined ? JointClass.Joined : JointClass.Open);
        bool missing = kind.HasFlag(JointClass.Missing);
        Ink edge =
            missing || !joint.Joined ? Ink.Alert
            : (kind & (JointClass.Spill | JointClass.BridgeRisk)) != JointClass.None ? Ink.Warn
            : Ink.Text;
        canvas.Begin(joint.Joined ? "joined" : "open", $"{SheetText.Clean(joint.Name)}: {TradeWords.Of(kind)}");
        canvas.Shapes(
            [
                .. joint
                    .Outlines.Where(outline => outline.Count > 2)
                    .Select(outline => outline.Select(frame.At).ToArray()),
            ],
            new Look(Fill: Ink.Band2, Stroke: edge, Width: joint.Joined ? 1 : 1.8)
        );
        double x = frame.X(joint.XMm);
        double below = frame.LandsY + BoardPx + 13;
        if (missing)
        {
            canvas.Text(new Pt(x, below), "no ball", new TextLook(11, Anchor.Middle, Bold: true, Ink: Ink.Alert));
        }
        else if (!joint.Joined)
        {
            DrawMiss(canvas, joint, frame, x);
            string miss = state is { MissMm: > 0 } ? $"open {QuantityText.Digits(state.MissMm, 2)}" : "open";
            canvas.Text(new Pt(x, below), miss, new TextLook(11, Anchor.Middle, Bold: true, Ink: Ink.Alert));
        }
        else if (kind.HasFlag(JointClass.Spill))
        {
            canvas.Text(new Pt(x, below), "spills", new TextLook(11, Anchor.Middle, Bold: true, Ink: Ink.Warn));
        }
        canvas.End();
    }

    // An arrow from the ball down to the solder or the land that it does not reach.
    private static void DrawMiss(ICanvas canvas, SectionJoint joint, Frame frame, double x)
    {
        double ballMm = joint.Outlines.Count > 0 ? joint.Outlines[0].Min(point => point.ZMm) : 0;
        double solderMm = joint.Outlines.Count > 1 ? joint.Outlines[1].Max(point => point.ZMm) : 0;
        double from = frame.Y(ballMm);
        double to = Math.Max(frame.Y(solderMm), from + LeastGapPx);
        canvas.Strokes(
            [new Seg(x, from, x, to), new Seg(x - 5, from, x + 5, from), new Seg(x - 5, to, x + 5, to)],
            new Look(Stroke: Ink.Alert, Width: 1.8)
        );
    }

    private static void DrawKey(ICanvas canvas, double px, double y, bool open)
    {
        double unitMm = px > 60 ? 0.5 : 1;
        canvas.Begin("scale");
        canvas.Strokes(
            [
                new Seg(Side, y, Side + unitMm * px, y),
                new Seg(Side, y - 4, Side, y + 4),
                new Seg(Side + unitMm * px, y - 4, Side + unitMm * px, y + 4),
            ],
            new Look(Stroke: Ink.Text, Width: 1.4)
        );
        string key =
            $"{QuantityText.Digits(unitMm, 1)} mm in both directions. Hatched: parts on the underside."
            + (open ? " Marked with a gap and \"open\": the ball misses its land by so many mm." : "");
        canvas.Text(new Pt(Side + unitMm * px + 10, y + 4), key, new TextLook(12));
        canvas.End();
    }

    private static string Words(JointPlan plan, JointSection section, int open)
    {
        IEnumerable<string> misses = section
            .Joints.Where(joint => !joint.Joined)
            .Take(6)
            .Select(joint =>
                joint.Index >= 0 && joint.Index < plan.Joints.Count
                    ? $"{SheetText.Clean(joint.Name)} misses by {QuantityText.Digits(plan.Joints[joint.Index].MissMm, 2)} mm"
                    : SheetText.Clean(joint.Name)
            );
        string parts =
            section.Stops.Count == 0
                ? "No part on the underside lies near this row."
                : $"Parts near this row: {string.Join(", ", section.Stops.Take(6).Select(stop => SheetText.Clean(stop.Name)))}.";
        string joints =
            open == 0
                ? $"All {section.Joints.Count} joints of the row form."
                : $"{open} of {section.Joints.Count} joints of the row stay open: {string.Join("; ", misses)}.";
        return $"{joints} {parts}";
    }
}
