using Graftbench.Core.Insight;
using Graftbench.Core.Jobs;
using Graftbench.Sheets.Drawing;
using static System.FormattableString;

namespace Graftbench.Sheets.Pictures;

/// <summary>Minutes of each step: a box from quarter to quarter, a line from the least to the most, and what is usual.</summary>
public static class StepTimesPicture
{
    private const double RowHeight = 44;
    private const double Side = 10;
    private const double Foot = 56;

    /// <summary>Draws the times as SVG. The soak runs by itself and is left out: its hours would dwarf the rest.</summary>
    /// <param name="times">The times.</param>
    /// <param name="widthPx">Width that the picture is laid out for.</param>
    /// <returns>The picture; empty without times.</returns>
    public static string Svg(IReadOnlyList<StepTime> times, int widthPx = 400) => Picture(times, widthPx)?.Svg() ?? "";

    internal static Picture? Picture(IReadOnlyList<StepTime> times, double width)
    {
        ArgumentNullException.ThrowIfNull(times);
        StepTime[] shown = [.. times.Where(time => time.What != WorkStep.Soak)];
        if (shown.Length == 0)
        {
            return null;
        }
        double end = shown.Max(time => Math.Max(time.Jobs.Most, time.UsualHighMin ?? 0));
        double bottom = shown.Length * RowHeight;
        double X(double minutes) => Side + ((width - (2 * Side)) * (end > 0 ? minutes / end : 0));
        return new Picture(
            width,
            bottom + Foot,
            "Minutes of each step over the jobs",
            string.Join(" ", shown.Select(Words)),
            canvas =>
            {
                IReadOnlyList<double> ticks = Ticks.FromZero(end, 6);
                canvas.Strokes(
                    [.. ticks.Select(tick => new Seg(X(tick), 4, X(tick), bottom + 4))],
                    new Look(Stroke: Ink.Grid, Width: 0.8)
                );
                for (int i = 0; i < shown.Length; i++)
                {
                    Row(canvas, shown[i], i * RowHeight, width, X);
                }
                foreach (double tick in ticks)
                {
                    canvas.Text(
                        new Pt(X(tick), bottom + 18),
                        Invariant($"{tick:0}"),
                        new TextLook(
                            Chart.SmallSize,
                            X(tick) < 20 ? Anchor.Start
                                : X(tick) > width - 20 ? Anchor.End
                                : Anchor.Middle
                        )
                    );
                }
                canvas.Text(
                    new Pt(Side, bottom + 40),
                    "minutes; hollow below: what is usual",
                    new TextLook(Chart.SmallSize, Ink: Ink.Muted)
                );
            }
        );
    }

    private static void Row(ICanvas canvas, StepTime time, double top, double width, Func<double, double> x)
    {
        Quartiles jobs = time.Jobs;
        canvas.Begin("step", Words(time));
        canvas.Text(
            new Pt(Side, top + 14),
            InsightWords.Of(time.What),
            new TextLook(Chart.TextSize, Bold: true, Halo: true)
        );
        canvas.Text(
            new Pt(width - Side, top + 14),
            jobs.Median is { } said
                ? Invariant($"median {said:0.#} min, {jobs.Number} jobs")
                : Invariant($"{jobs.Number} of {Quartiles.Fewest} jobs for a median"),
            new TextLook(Chart.SmallSize, Anchor.End, Halo: true)
        );
        double y = top + 26;
        canvas.Strokes(
            [
                new Seg(x(jobs.Least), y, x(jobs.Most), y),
                new Seg(x(jobs.Least), y - 5, x(jobs.Least), y + 5),
                new Seg(x(jobs.Most), y - 5, x(jobs.Most), y + 5),
            ],
            new Look(Stroke: Ink.Text, Width: 1.6)
        );
        if (jobs is { LowerQuartile: { } lower, Median: { } median, UpperQuartile: { } upper })
        {
            canvas.Rect(
                new Box(x(lower), y - 7, Math.Max(2, x(upper) - x(lower)), 14),
                2,
                new Look(Fill: Ink.Body, Stroke: Ink.Text)
            );
            canvas.Strokes([new Seg(x(median), y - 9, x(median), y + 9)], new Look(Stroke: Ink.Accent, Width: 3.4));
        }
        if (time is { UsualLowMin: { } low, UsualHighMin: { } high })
        {
            canvas.Rect(
                new Box(x(low), y + 9, Math.Max(3, x(high) - x(low)), 5),
                0,
                new Look(Stroke: Ink.Muted, Width: 1)
            );
        }
        canvas.End();
    }

    private static string Words(StepTime time)
    {
        Quartiles jobs = time.Jobs;
        return jobs is { LowerQuartile: { } lower, Median: { } median, UpperQuartile: { } upper }
            ? Invariant(
                $"{InsightWords.Of(time.What)}: median {median:0.#} min, half of {jobs.Number} jobs from {lower:0.#} to {upper:0.#}, all from {jobs.Least:0.#} to {jobs.Most:0.#}."
            )
            : Invariant(
                $"{InsightWords.Of(time.What)}: {jobs.Number} {(jobs.Number == 1 ? "job" : "jobs")}, from {jobs.Least:0.#} to {jobs.Most:0.#} min; no median from fewer than {Quartiles.Fewest}."
            );
    }
}
