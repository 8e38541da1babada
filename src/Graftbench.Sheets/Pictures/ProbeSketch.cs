using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>Where the probe goes: the chip with what lies around it, and the probe with its distances to the edges.</summary>
internal static class ProbeSketch
{
    public static void Draw(ICanvas canvas, JobPlan plan, HeatPlan heat, ProbeAdvice probe, Box box, double scale)
    {
        if (heat.Model is not BoardHeatModel model)
        {
            return;
        }
        double cx = (model.Chip.X0Mm + model.Chip.X1Mm) / 2;
        double cy = (model.Chip.Y0Mm + model.Chip.Y1Mm) / 2;
        // The chip, the probe and some of the board around both.
        double reach = Math.Max(
            Math.Max(model.Chip.X1Mm - cx, model.Chip.Y1Mm - cy) * 1.7,
            Math.Max(Math.Abs(probe.XMm - cx), Math.Abs(probe.YMm - cy)) * 1.25
        );
        Func<double, double, Pt> at = Ground(canvas, plan.Job, heat, model, box, scale, reach);
        Pt p = at(probe.XMm, probe.YMm);
        double r = 7 * scale;
        canvas.Line(
            [p, new Pt(p.X < box.X + (box.Width / 2) ? box.X + 3 : box.Right - 3, p.Y + ((box.Bottom - p.Y) * 0.5))],
            false,
            new Look(Stroke: Ink.Alert, Width: 2.2 * scale)
        );
        canvas.Circle(p, r, new Look(Ink.Paper, Ink.Alert, 2.4 * scale));
        canvas.Strokes(
            [new Seg(p.X - r, p.Y, p.X + r, p.Y), new Seg(p.X, p.Y - r, p.X, p.Y + r)],
            new Look(Stroke: Ink.Alert, Width: 1.6 * scale)
        );
        canvas.Text(
            new Pt(box.Right - 4, box.Bottom - (4 * scale)),
            "seen from the top",
            new TextLook(9 * scale, Anchor.End, Ink: Ink.Muted, Halo: true)
        );
    }

    /// <summary>The chip in the middle with the parts around it. Returns where a place of the board [mm] is drawn.</summary>
    public static Func<double, double, Pt> Ground(
        ICanvas canvas,
        Job job,
        HeatPlan heat,
        BoardHeatModel model,
        Box box,
        double scale,
        double reachMm
    )
    {
        double cx = (model.Chip.X0Mm + model.Chip.X1Mm) / 2;
        double cy = (model.Chip.Y0Mm + model.Chip.Y1Mm) / 2;
        double px = Math.Min(box.Width, box.Height) / (2 * Math.Max(1, reachMm));
        Pt At(double xMm, double yMm) =>
            new(box.X + (box.Width / 2) + ((xMm - cx) * px), box.Y + (box.Height / 2) - ((yMm - cy) * px));
        bool Seen(Pt p) => p.X >= box.X && p.X <= box.Right && p.Y >= box.Y && p.Y <= box.Bottom;
        canvas.Rect(box, 0, new Look(Ink.Board, Ink.Text, 1));
        bool onBoard = heat.Task != HeatTask.AttachBalls;
        Board board = heat.Subject == "donor board" && job.Donor is { } donor ? donor : job.Host;
        foreach (Part part in onBoard ? board.Parts.Where(part => part.Side == BoardSide.Top && !part.TakenOff) : [])
        {
            if (
                part is { XMm: double x, YMm: double y, LengthMm: double length, WidthMm: double wide }
                && part.Ref != heat.ChipId
            )
            {
                Body body = new(At(x, y), length * px / 2, wide * px / 2, part.RotationDeg);
                if (body.Corners().All(Seen))
                {
                    canvas.Line(body.Corners(), true, new Look(Ink.Body, Ink.Text, 0.8));
                    canvas.Text(
                        new Pt(body.Centre.X, body.Centre.Y + (3 * scale)),
                        SheetText.Fit(SheetText.Clean(part.Ref), length * px, 9 * scale),
                        new TextLook(9 * scale, Anchor.Middle)
                    );
                }
            }
        }
        Pt corner = At(model.Chip.X0Mm, model.Chip.Y1Mm);
        canvas.Rect(
            new Box(
                corner.X,
                corner.Y,
                (model.Chip.X1Mm - model.Chip.X0Mm) * px,
                (model.Chip.Y1Mm - model.Chip.Y0Mm) * px
            ),
            1,
            new Look(Ink.Paper, Ink.Text, 2)
        );
        canvas.Text(
            // In a corner, where a probe at the middle does not cover it.
            new Pt(corner.X + (4 * scale), corner.Y + (14 * scale)),
            SheetText.Fit(SheetText.Clean(heat.ChipId), (model.Chip.X1Mm - model.Chip.X0Mm) * px, 13 * scale, true),
            new TextLook(13 * scale, Bold: true)
        );
        return At;
    }
}
