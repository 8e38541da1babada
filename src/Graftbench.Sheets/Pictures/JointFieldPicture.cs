using Graftbench.Core.Joints;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>The ball field from above: every ball marked by what becomes of it and by the chance that it stays open.</summary>
public static class JointFieldPicture
{
    private const double Side = 10;
    private const double Key = 116;

    // Shares of drawn packages in which a joint is open; each step has a fill and a mark of its own.
    private static readonly (double From, Ink Fill, string Words)[] Steps =
    [
        (0.1, Ink.Heat8, "open in 10 % of packages or more"),
        (0.01, Ink.Heat6, "1 to 10 %"),
        (1e-9, Ink.Heat4, "less than 1 %"),
        (0, Ink.Band1, "never open in the packages drawn"),
    ];

    /// <summary>Draws the field as SVG.</summary>
    /// <param name="plan">The answer.</param>
    /// <param name="rowYMm">Row that is cut beside it; null for none [mm].</param>
    /// <param name="widthPx">Width that the picture is laid out for.</param>
    /// <returns>The picture; empty without joints.</returns>
    public static string Svg(JointPlan plan, double? rowYMm = null, int widthPx = 460) =>
        Picture(plan, rowYMm, widthPx)?.Svg() ?? "";

    internal static Picture? Picture(JointPlan plan, double? rowYMm, double width)
    {
        ArgumentNullException.ThrowIfNull(plan);
        if (plan.Joints.Count == 0)
        {
            return null;
        }
        double marginMm = Math.Max(plan.Request.PitchMm, 0.2);
        double leftMm = plan.Joints.Min(joint => joint.XMm) - marginMm;
        double rightMm = plan.Joints.Max(joint => joint.XMm) + marginMm;
        double lowerMm = plan.Joints.Min(joint => joint.YMm) - marginMm;
        double upperMm = plan.Joints.Max(joint => joint.YMm) + marginMm;
        double px = (width - 2 * Side) / Math.Max(rightMm - leftMm, upperMm - lowerMm);
        double high = (upperMm - lowerMm) * px;
        Pt At(double xMm, double yMm) =>
            new(
                Side + (width - 2 * Side - (rightMm - leftMm) * px) / 2 + (xMm - leftMm) * px,
                Side + (upperMm - yMm) * px
            );
        double radius = Math.Clamp(0.34 * plan.Request.PitchMm * px, 1.6, 14);
        return new Picture(
            width,
            Side + high + Key,
            "Ball field from above, marked by the chance of an open joint",
            Words(plan),
            canvas =>
            {
                Pt corner = At(leftMm, upperMm);
                canvas.Rect(
                    new Box(corner.X, corner.Y, (rightMm - leftMm) * px, high),
                    4,
                    new Look(Fill: Ink.Body, Stroke: Ink.Text)
                );
                if (rowYMm is double row)
                {
                    canvas.Strokes(
                        [new Seg(At(leftMm, row).X, At(leftMm, row).Y, At(rightMm, row).X, At(leftMm, row).Y)],
                        new Look(Stroke: Ink.Accent, Width: 1.6, Dash: Dash.Dashed)
                    );
                }
                DrawStops(canvas, plan, At, px);
                foreach (JointState joint in plan.Joints)
                {
                    DrawBall(canvas, joint, At(joint.XMm, joint.YMm), radius);
                }
                DrawKey(canvas, plan, Side + high + 18);
            }
        );
    }

    private static void DrawStops(ICanvas canvas, JointPlan plan, Func<double, double, Pt> at, double px)
    {
        double half = Math.Clamp(0.35 * px, 4, 16);
        foreach (StopState stop in plan.Stops)
        {
            Pt middle = at(stop.XMm, stop.YMm);
            canvas.Begin("stop", SheetText.Clean(stop.Name));
            Box body = new(middle.X - half, middle.Y - half * 0.6, 2 * half, half * 1.2);
            canvas.Rect(
                body,
                1,
                new Look(Fill: Ink.Paper, Stroke: stop.ForceMilliN > 0 ? Ink.Warn : Ink.Text, Width: 1.4)
            );
            canvas.Strokes(
                [
                    new Seg(body.X + half * 0.7, body.Y, body.X, body.Bottom),
                    new Seg(body.X + half * 1.4, body.Y, body.X + half * 0.7, body.Bottom),
                    new Seg(body.Right, body.Y, body.X + half * 1.4, body.Bottom),
                ],
                new Look(Stroke: Ink.Muted, Width: 0.8)
            );
            canvas.End();
        }
    }

    private static void DrawBall(ICanvas canvas, JointState joint, Pt at, double radius)
    {
        bool nominalOpen = (joint.Class & (JointClass.Open | JointClass.Missing)) != JointClass.None;
        bool crowded = (joint.Class & (JointClass.Spill | JointClass.BridgeRisk)) != JointClass.None;
        (_, Ink fill, _) = Step(joint.OpenFraction ?? 0);
        canvas.Begin(nominalOpen ? "open" : "joint", $"{SheetText.Clean(joint.Name)}: {Said(joint)}");
        if (joint.OpenFraction is null)
        {
            canvas.Circle(at, radius, new Look(Fill: Ink.Paper, Stroke: Ink.Text, Width: 0.8));
        }
        else
        {
            canvas.Circle(at, radius, new Look(Fill: fill, Stroke: Ink.Text, Width: 0.6));
        }
        if (crowded)
        {
            canvas.Circle(at, radius + 2, new Look(Stroke: Ink.Warn, Width: 1.4, Dash: Dash.Dotted));
        }
        double arm = radius * 0.75;
        if (nominalOpen)
        {
            canvas.Strokes(
                [
                    new Seg(at.X - arm, at.Y - arm, at.X + arm, at.Y + arm),
                    new Seg(at.X - arm, at.Y + arm, at.X + arm, at.Y - arm),
                ],
                new Look(Stroke: Ink.Text, Width: Math.Max(1, radius * 0.22))
            );
        }
        else if (joint.OpenFraction is > 0 and { } share)
        {
            // One bar, or two where it happens often: told without colour.
            canvas.Strokes(
                share >= Steps[1].From
                    ?
                    [
                        new Seg(at.X - arm, at.Y - 2, at.X + arm, at.Y - 2),
                        new Seg(at.X - arm, at.Y + 2, at.X + arm, at.Y + 2),
                    ]
                    : [new Seg(at.X - arm, at.Y, at.X + arm, at.Y)],
                new Look(Stroke: Ink.Text, Width: Math.Max(0.8, radius * 0.16))
            );
        }
        canvas.End();
    }

    private static (double From, Ink Fill, string Words) Step(double share) => Steps.First(step => share >= step.From);

    private static string Said(JointState joint)
    {
        string kind = TradeWords.Of(joint.Class);
        string miss = joint.MissMm > 0 ? $", misses by {QuantityText.Digits(joint.MissMm, 2)} mm" : "";
        string chance = joint.OpenFraction is double share
            ? $", open in {QuantityText.Digits(100 * share, 1)} % of packages"
            : "";
        return kind + miss + chance;
    }

    private static void DrawKey(ICanvas canvas, JointPlan plan, double y)
    {
        canvas.Begin("key");
        bool chances = plan.Chance is not null;
        List<(JointState Sample, string Words)> rows = [];
        JointState any = plan.Joints[0];
        JointState Like(JointClass kind, double? share) => any with { Class = kind, OpenFraction = share };
        rows.Add((Like(JointClass.Open, chances ? 1 : null), "crossed: open at the sizes given"));
        if (chances)
        {
            rows.Add((Like(JointClass.Joined, 0.1), "two bars: " + Steps[0].Words + " (dark), or 1 to 10 %"));
            rows.Add((Like(JointClass.Joined, 0.001), "one bar: " + Steps[2].Words));
            rows.Add((Like(JointClass.Joined, 0), "plain: " + Steps[3].Words));
        }
        else
        {
            rows.Add((Like(JointClass.Joined, null), "plain: forms at the sizes given; chances not computed"));
        }
        rows.Add(
            (
                Like(JointClass.Joined | JointClass.BridgeRisk, chances ? 0 : null),
                "dotted ring: spills or nears a neighbour"
            )
        );
        for (int i = 0; i < rows.Count; i++)
        {
            double top = y + i * 19;
            DrawBall(canvas, rows[i].Sample, new Pt(Side + 10, top), 7);
            canvas.Text(new Pt(Side + 26, top + 4), rows[i].Words, new TextLook(12));
        }
        canvas.End();
    }

    private static string Words(JointPlan plan)
    {
        int open = plan.Joints.Count(joint => joint.Class.HasFlag(JointClass.Open));
        int missing = plan.Joints.Count(joint => joint.Class.HasFlag(JointClass.Missing));
        IEnumerable<string> worst = plan
            .Joints.Where(joint => joint.OpenFraction > 0)
            .OrderByDescending(joint => joint.OpenFraction)
            .Take(6)
            .Select(joint =>
                $"{SheetText.Clean(joint.Name)} {QuantityText.Digits(100 * joint.OpenFraction!.Value, 1)} %"
            );
        string chances =
            plan.Chance is null ? "Chances were not computed."
            : worst.Any() ? $"Most often open: {string.Join(", ", worst)}."
            : $"No joint was open in {plan.Chance.Trials} drawn packages.";
        return $"{plan.Joints.Count} joints, {open} open at the sizes given, {missing} without a ball. {chances}";
    }
}
