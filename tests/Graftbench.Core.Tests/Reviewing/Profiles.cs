using Graftbench.Core.Reviewing;

namespace Graftbench.Core.Tests.Reviewing;

/// <summary>Profiles whose figures are known by arithmetic: straight lines between corners.</summary>
internal static class Profiles
{
    public static double At((double S, double C)[] corners, double timeS)
    {
        for (int i = 1; i < corners.Length; i++)
        {
            if (timeS <= corners[i].S)
            {
                double share = (timeS - corners[i - 1].S) / (corners[i].S - corners[i - 1].S);
                return corners[i - 1].C + share * (corners[i].C - corners[i - 1].C);
            }
        }
        return corners[^1].C;
    }

    public static RunLog Log(
        (double S, double C)[] corners,
        double stepS,
        double offsetS = 0,
        double noiseDeltaK = 0
    ) => Log(timeS => At(corners, timeS), corners[^1].S, stepS, offsetS, noiseDeltaK);

    public static RunLog Log(
        Func<double, double> atC,
        double lastS,
        double stepS,
        double offsetS = 0,
        double noiseDeltaK = 0
    )
    {
        Random dice = new(7);
        List<double> times = [];
        List<double> values = [];
        for (int k = 0; k * stepS <= lastS + 1e-9; k++)
        {
            double t = k * stepS;
            times.Add(t + offsetS);
            double u = Math.Sqrt(-2 * Math.Log(1 - dice.NextDouble())) * Math.Cos(2 * Math.PI * dice.NextDouble());
            values.Add(atC(t) + noiseDeltaK * u);
        }
        return new RunLog(times, [new RunChannel("T1", values)]);
    }

    public static RunLog Without(RunLog log, double fromS, double toS)
    {
        int[] kept =
        [
            .. Enumerable.Range(0, log.TimesS.Count).Where(i => log.TimesS[i] < fromS || log.TimesS[i] > toS),
        ];
        return log with
        {
            TimesS = [.. kept.Select(i => log.TimesS[i])],
            Channels =
            [
                .. log.Channels.Select(one => one with { TemperaturesC = [.. kept.Select(i => one.TemperaturesC[i])] }),
            ],
        };
    }
}
