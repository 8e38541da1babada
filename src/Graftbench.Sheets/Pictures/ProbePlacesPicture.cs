using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>Where probes are advised: the chip from the top, and a numbered ring at each place.</summary>
public static class ProbePlacesPicture
{
    private const double Side = 360;
    private const double Ring = 11;
    private const double Text = 14;

    /// <summary>The picture as an SVG element; empty where the plan has no board model or advises nothing near the chip.</summary>
    /// <param name="job">The job.</param>
    /// <param name="heat">The heat plan; the places are those it advises.</param>
    public static string Svg(Job job, HeatPlan heat)
    {
        ArgumentNullException.ThrowIfNull(job);
        ArgumentNullException.ThrowIfNull(heat);
        if (heat.Model is not BoardHeatModel model)
        {
            return "";
        }
        double cx = (model.Chip.X0Mm + model.Chip.X1Mm) / 2;
        double cy = (model.Chip.Y0Mm + model.Chip.Y1Mm) / 2;
        double half = Math.Max(model.Chip.X1Mm - cx, model.Chip.Y1Mm - cy);
        double Off(ProbeAdvice probe) => Math.Max(Math.Abs(probe.XMm - cx), Math.Abs(probe.YMm - cy));
        // A place far off would shrink those beside the chip to one spot.
        ProbeAdvice[] near = [.. heat.Probes.Where(probe => Off(probe) < (3 * half) + 10).OrderBy(probe => probe.Rank)];
        if (near.Length == 0)
        {
            return "";
        }
        double reachMm = Math.Max(half * 1.7, near.Max(Off) * 1.25);
        return new Picture(
            Side,
            Side,
            "Advised places for probes, seen from the top",
            string.Join("; ", near.Select(probe => $"{probe.Rank}: {probe.Where}")),
            canvas =>
            {
                Func<double, double, Pt> at = ProbeSketch.Ground(
                    canvas,
                    job,
                    heat,
                    model,
                    new Box(0, 0, Side, Side),
                    1,
                    reachMm
                );
                List<Pt> taken = [];
                foreach (ProbeAdvice probe in near)
                {
                    Pt spot = at(probe.XMm, probe.YMm);
                    // Above and below the chip's middle are one spot from the top.
                    while (
                        taken.Exists(other =>
                            Math.Abs(other.X - spot.X) < 2 * Ring && Math.Abs(other.Y - spot.Y) < 2 * Ring
                        )
                    )
                    {
                        spot = spot with { X = spot.X + (2.3 * Ring) };
                    }
                    taken.Add(spot);
                    Draw(canvas, probe, spot, Below(model, probe));
                }
                canvas.Text(
                    new Pt(Side - 4, Side - 6),
                    "seen from the top; dashed: on the underside",
                    new TextLook(11, Anchor.End, Ink: Ink.Muted, Halo: true)
                );
            }
        ).Svg();
    }

    private static bool Below(BoardHeatModel model, ProbeAdvice probe) =>
        model.Places.FirstOrDefault(place => place.Name == probe.Place)?.Kind == HeatPlaceKind.Underside;

    private static void Draw(ICanvas canvas, ProbeAdvice probe, Pt at, bool below)
    {
        canvas.Begin("probe-place", SheetText.Clean(probe.Where));
        canvas.Circle(
            at,
            Ring,
            new Look(Ink.Paper, Ink.Alert, probe.Rank <= 2 ? 3 : 1.6, below ? Dash.Dashed : Dash.Solid)
        );
        canvas.Text(
            new Pt(at.X, at.Y + (Text * 0.36)),
            probe.Rank.ToString(System.Globalization.CultureInfo.InvariantCulture),
            new TextLook(Text, Anchor.Middle, Bold: probe.Rank <= 2)
        );
        canvas.End();
    }
}
