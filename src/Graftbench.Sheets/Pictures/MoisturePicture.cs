using Graftbench.Core.Drying;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>Moments and levels that moisture pictures mark; what is null is not marked.</summary>
public sealed record MoistureMarks
{
    /// <summary>Fraction that the dryer's own air keeps in the body for ever.</summary>
    public double? FloorFraction { get; init; }

    /// <summary>Best estimate of the time to the target [h].</summary>
    public double? ReadyH { get; init; }

    /// <summary>Lower end of the 95 % band of that time [h].</summary>
    public double? LowH { get; init; }

    /// <summary>Upper end of the 95 % band of that time [h].</summary>
    public double? HighH { get; init; }

    /// <summary>Hours in the dryer so far [h].</summary>
    public double? NowH { get; init; }

    /// <summary>The marks that an answer carries.</summary>
    /// <param name="answer">The answer by diffusion; null marks nothing.</param>
    /// <param name="nowH">Hours in the dryer so far [h]; null where it is not in the dryer.</param>
    public static MoistureMarks Of(DiffusionAnswer? answer, double? nowH = null) =>
        new()
        {
            FloorFraction = answer?.FloorFraction,
            ReadyH = answer?.Hours,
            LowH = answer?.LowH,
            HighH = answer?.HighH,
            NowH = nowH,
        };
}

/// <summary>Moisture through a body's depth at several times.</summary>
public static class MoisturePicture
{
    private const double Height = 330;

    /// <summary>Draws moisture against depth, one curve for each of a few times, each named where it lies.</summary>
    /// <param name="profile">Moisture through the body.</param>
    /// <param name="targetFraction">What may be left as a mean.</param>
    /// <param name="title">Name of the picture.</param>
    /// <param name="widthPx">Width that the picture is laid out for; it scales, and so does its text.</param>
    public static string Svg(MoistureProfile profile, double targetFraction, string? title = null, int widthPx = 600) =>
        Picture(profile, targetFraction, title, widthPx).Svg();

    internal static Picture Picture(MoistureProfile profile, double targetFraction, string? title, double width)
    {
        ArgumentNullException.ThrowIfNull(profile);
        ProfileReader reader = new(profile);
        IReadOnlyList<int> rows = reader.TellingRows(6);
        string name = title ?? "Moisture through the body";
        string words =
            $"Depth {QuantityText.Length(reader.ThicknessMm)}. "
            + string.Join(
                ' ',
                rows.Select(row =>
                    $"After {QuantityText.Hours(reader.TimeH(row))}: mean {QuantityText.FractionAsPercent(reader.Mean(row))},"
                    + $" wettest place {QuantityText.FractionAsPercent(reader.Wettest(row).Fraction)}."
                )
            );
        return new Picture(width, Height, name, words, canvas => Draw(canvas, width, reader, rows, targetFraction));
    }

    private static void Draw(
        ICanvas canvas,
        double width,
        ProfileReader reader,
        IReadOnlyList<int> rows,
        double targetFraction
    )
    {
        Chart chart = new(new Box(56, 30, width - 56 - 86, Height - 30 - 50), reader.ThicknessMm, 1.05);
        chart.DrawAxes(
            canvas,
            Ticks.FromZero(reader.ThicknessMm, 5),
            mm => QuantityText.Digits(mm, 2),
            reader.OneFaceOpen
                ? "depth from the top face, mm (only the top face lets moisture out)"
                : "depth from the top face, mm (both faces let moisture out)",
            [0, 0.25, 0.5, 0.75, 1],
            f => QuantityText.FractionAsPercent(f),
            "moisture, share of the saturated body"
        );
        double targetY = chart.Y(targetFraction);
        canvas.Strokes(
            [new Seg(chart.Plot.X, targetY, chart.Plot.Right, targetY)],
            new Look(Stroke: Ink.Good, Width: 1.4, Dash: Dash.Dashed)
        );
        canvas.Text(
            new Pt(chart.Plot.Right + 6, targetY - 2),
            "mean may",
            new TextLook(Chart.SmallSize, Ink: Ink.Good, Bold: true)
        );
        canvas.Text(
            new Pt(chart.Plot.Right + 6, targetY + 11),
            "be " + QuantityText.FractionAsPercent(targetFraction),
            new TextLook(Chart.SmallSize, Ink: Ink.Good, Bold: true)
        );
        double lastY = double.NegativeInfinity;
        for (int i = 0; i < rows.Count; i++)
        {
            chart.DrawCurve(
                canvas,
                reader.DepthMm,
                reader.Row(rows[i]),
                new Look(Stroke: i == 0 ? Ink.Text : Ink.Accent, Width: i == 0 ? 2.2 : 1.7)
            );
        }
        foreach (int row in rows)
        {
            (double depthMm, double fraction) = reader.Wettest(row);
            double y = chart.Y(fraction) - 4;
            if (y - lastY < 15)
            {
                continue;
            }
            lastY = y;
            bool atEnd = reader.OneFaceOpen;
            canvas.Text(
                new Pt(atEnd ? chart.Plot.Right - 5 : chart.X(depthMm), y),
                row == 0 ? "at the start" : "after " + QuantityText.Hours(reader.TimeH(row)),
                new TextLook(Chart.TextSize, atEnd ? Anchor.End : Anchor.Middle, Bold: true, Halo: true)
            );
        }
    }
}

/// <summary>Reads a profile without trusting its lengths.</summary>
internal sealed class ProfileReader
{
    private readonly MoistureProfile profile;
    private readonly int times;

    public ProfileReader(MoistureProfile profile)
    {
        this.profile = profile;
        int depths = Math.Max(1, profile.DepthMm.Count);
        times = Math.Min(Math.Min(profile.TimeH.Count, profile.MeanFraction.Count), profile.Fraction.Count / depths);
    }

    public IReadOnlyList<double> DepthMm => profile.DepthMm;

    public bool OneFaceOpen => profile.OneFaceOpen;

    public int Times => times;

    public int Depths => profile.DepthMm.Count;

    public double ThicknessMm => profile.DepthMm.Count == 0 ? 1 : Math.Max(1e-3, profile.DepthMm[^1]);

    public double EndH => times == 0 ? 1 : Math.Max(1e-3, profile.TimeH[times - 1]);

    public double TimeH(int row) => profile.TimeH[row];

    public double Mean(int row) => profile.MeanFraction[row];

    public double At(int row, int depth) => profile.Fraction[(row * Depths) + depth];

    public IReadOnlyList<double> Row(int row) => [.. profile.Fraction.Skip(row * Depths).Take(Depths)];

    public (double DepthMm, double Fraction) Wettest(int row)
    {
        int best = 0;
        for (int i = 1; i < Depths; i++)
        {
            // The deepest of equals: near the middle of a body that is wet throughout.
            if (At(row, i) > At(row, best) + 1e-9)
            {
                best = i;
            }
        }
        bool flat = Depths > 2 && Math.Abs(At(row, best) - At(row, Depths / 2)) < 0.01;
        int shown = flat ? Depths / 2 : best;
        return (profile.DepthMm[shown], At(row, shown));
    }

    /// <summary>A few rows that spread evenly over the fall of the mean: the first, the last and those between.</summary>
    public IReadOnlyList<int> TellingRows(int most)
    {
        if (times == 0 || Depths == 0)
        {
            return [];
        }
        double high = Mean(0);
        double low = Mean(times - 1);
        SortedSet<int> rows = [0, times - 1];
        for (int i = 1; i < most - 1; i++)
        {
            double wanted = high + ((low - high) * i / (most - 1));
            int nearest = 0;
            for (int row = 1; row < times; row++)
            {
                if (Math.Abs(Mean(row) - wanted) < Math.Abs(Mean(nearest) - wanted))
                {
                    nearest = row;
                }
            }
            rows.Add(nearest);
        }
        return [.. rows];
    }
}
