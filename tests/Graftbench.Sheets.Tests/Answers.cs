using Graftbench.Core.Drying;

namespace Graftbench.Sheets.Tests;

/// <summary>Invented answers with the shape of real ones.</summary>
internal static class Answers
{
    public static readonly DateTimeOffset Now = new(2026, 11, 25, 14, 30, 0, TimeSpan.FromHours(1));

    /// <summary>Slab with uniform start over a floor, from the textbook series.</summary>
    public static MoistureProfile Slab(
        double thicknessMm,
        double endH,
        double floor,
        bool oneFace = false,
        int depths = 41,
        int times = 121
    )
    {
        double[] depth = [.. Enumerable.Range(0, depths).Select(i => thicknessMm * i / (depths - 1))];
        double[] time = [.. Enumerable.Range(0, times).Select(i => endH * i * i / ((times - 1.0) * (times - 1)))];
        double path = oneFace ? 2 * thicknessMm : thicknessMm;
        double rate = 0.30 / endH;
        List<double> fraction = [];
        List<double> mean = [];
        foreach (double t in time)
        {
            double sum = 0;
            foreach (double z in depth)
            {
                double f = 0;
                for (int n = 0; n < 60; n++)
                {
                    double m = (2 * n) + 1;
                    f +=
                        4
                        / (m * Math.PI)
                        * Math.Sin(m * Math.PI * z / path)
                        * Math.Exp(-m * m * Math.PI * Math.PI * rate * t);
                }
                bool surface = z == 0 || (!oneFace && z == thicknessMm);
                double value = t == 0 && !surface ? 1 : floor + ((1 - floor) * Math.Clamp(f, 0, 1));
                fraction.Add(value);
                sum += value;
            }
            mean.Add(sum / depths);
        }
        return new MoistureProfile(depth, time, fraction, mean, oneFace);
    }

    public static IReadOnlyList<CalendarEntry> SixHours() =>
        [
            new(Now, Now.AddMinutes(20), CalendarKind.Work, "U1", "take C12 off, put the chip into the dryer"),
            new(Now.AddMinutes(20), Now.AddHours(1), CalendarKind.Wait, "U1", "warm up to 65 °C"),
            new(Now.AddHours(1), Now.AddHours(6), CalendarKind.Wait, "U1", "dry"),
            new(Now.AddHours(6), Now.AddHours(6), CalendarKind.Mark, "U1", "ready"),
        ];

    public static IReadOnlyList<CalendarEntry> FourDays() =>
        [
            new(Now, Now.AddMinutes(45), CalendarKind.Work, "host", "take off BT1, BT2, C40 and L1, weigh, put in"),
            new(Now.AddMinutes(45), Now.AddHours(1.75), CalendarKind.Wait, "host", "warm up to 65 °C"),
            new(Now.AddHours(1.75), Now.AddHours(97), CalendarKind.Wait, "host", "dry at 65 °C"),
            new(Now.AddHours(97), Now.AddHours(97), CalendarKind.Mark, "host", "ready"),
            new(Now.AddHours(97 + 72), Now.AddHours(97 + 72), CalendarKind.Mark, "host", "use by"),
            new(Now.AddHours(1.75), Now.AddHours(55), CalendarKind.Wait, "U1", "dry at 65 °C"),
            new(Now.AddHours(55), Now.AddHours(55), CalendarKind.Mark, "U1", "ready"),
            new(Now.AddHours(97), Now.AddHours(97), CalendarKind.Mark, "", "everything ready: lift"),
        ];

    public static IReadOnlyList<CalendarEntry> EightyDays() =>
        [
            new(Now, Now.AddHours(1), CalendarKind.Work, "host", "put in"),
            new(Now.AddHours(1), Now.AddDays(79), CalendarKind.Wait, "host", "dry at 40 °C"),
            new(Now.AddDays(79), Now.AddDays(79), CalendarKind.Mark, "host", "ready"),
            new(Now.AddDays(82), Now.AddDays(82), CalendarKind.Mark, "host", "use by"),
            new(Now.AddHours(1), Now.AddDays(37), CalendarKind.Wait, "U1", "dry at 40 °C"),
            new(Now.AddDays(37), Now.AddDays(37), CalendarKind.Mark, "U1", "ready"),
            new(Now.AddDays(79), Now.AddDays(79), CalendarKind.Mark, "", "everything ready: lift"),
        ];

    public static IReadOnlyList<CalendarEntry> LongWords(int days) =>
        [
            new(Now, Now.AddHours(1), CalendarKind.Work, "host", "put in"),
            new(Now.AddHours(1), Now.AddDays(days), CalendarKind.Wait, "host", "dry at 40 °C"),
            new(
                Now.AddDays(days),
                Now.AddDays(days),
                CalendarKind.Mark,
                "host",
                "ready: weigh; below 10 % RH within the hour if it is not used at once"
            ),
            new(Now.AddDays(days + 3), Now.AddDays(days + 3), CalendarKind.Mark, "host", "use by"),
        ];

    public static IReadOnlyDictionary<string, string> Titles { get; } =
        new Dictionary<string, string>(StringComparer.Ordinal)
        {
            ["host"] = "Host board",
            ["donor"] = "Donor board",
            ["U1"] = "Chip U1",
        };

    public static WeighingTrend Losing() =>
        new(
            [new(0, 142.318), new(3, 142.271), new(6, 142.244), new(11, 142.221), new(20, 142.209)],
            true,
            142.2052,
            0.0011,
            5.9,
            0.5,
            0.0038,
            0.0012,
            7.9,
            false,
            "Still losing: 3.8 ± 1.2 mg to go, flat for this balance in about 8 h."
        );

    public static FloorLifeClock Clock(FloorLifeState state, double? used, double? left) =>
        new(state, 168, used, left, used > 1 ? 40 : null, null, null, [], "Clock in words.", "test-j-std-033");
}
