namespace Graftbench.Sheets.Pictures;

/// <summary>Round numbers for axes.</summary>
internal static class Ticks
{
    /// <summary>The largest of 1, 2 or 5 times a power of ten that is not above a number.</summary>
    public static double Round125(double number)
    {
        if (!double.IsFinite(number) || number <= 0)
        {
            return 1;
        }
        double power = Math.Pow(10, Math.Floor(Math.Log10(number) + 1e-9));
        double lead = number / power;
        return power
            * (
                lead >= 5 - 1e-9 ? 5
                : lead >= 2 - 1e-9 ? 2
                : 1
            );
    }

    /// <summary>A few round values from 0 to an end, both included where the end is round.</summary>
    public static IReadOnlyList<double> FromZero(double end, int most)
    {
        if (!double.IsFinite(end) || end <= 0)
        {
            return [0];
        }
        double step = Step(end / most, [1, 2, 5, 10]);
        return Values(step, end);
    }

    /// <summary>Round values between two ends, both included where they are round.</summary>
    public static IReadOnlyList<double> Between(double low, double high, int most)
    {
        if (!double.IsFinite(low) || !double.IsFinite(high) || high <= low)
        {
            return [];
        }
        double step = Step((high - low) / most, [1, 2, 5, 10]);
        int first = (int)Math.Ceiling(low / step - 1e-9);
        int last = (int)Math.Floor(high / step + 1e-9);
        return [.. Enumerable.Range(first, Math.Clamp(last - first + 1, 0, 100)).Select(i => i * step)];
    }

    /// <summary>A few hours from 0 to an end, on steps that a clock has.</summary>
    public static IReadOnlyList<double> Hours(double endH, int most)
    {
        double[] clock = [0.25, 0.5, 1, 2, 3, 6, 12, 24, 48, 72, 120, 168, 240, 336, 480, 720, 1440, 2400];
        double step = clock.FirstOrDefault(h => h * most >= endH, Round125(endH / most) * 2);
        return Values(step, endH);
    }

    /// <summary>A tick of an hour axis: whole days where the steps are days, else hours.</summary>
    public static string HourText(double atH, IReadOnlyList<double> ticks)
    {
        double stepH = ticks.Count > 1 ? ticks[1] - ticks[0] : 24;
        return atH == 0 ? "0"
            : stepH % 24 == 0 ? QuantityText.Digits(atH / 24, 0) + " d"
            : QuantityText.Digits(atH, 2) + " h";
    }

    private static double Step(double least, double[] leads)
    {
        double power = Math.Pow(10, Math.Floor(Math.Log10(least) + 1e-9));
        return power * leads.First(lead => lead * power >= least - 1e-12);
    }

    private static List<double> Values(double step, double end)
    {
        List<double> values = [];
        for (int i = 0; i * step <= end * (1 + 1e-9) && i < 100; i++)
        {
            values.Add(i * step);
        }
        return values;
    }
}
