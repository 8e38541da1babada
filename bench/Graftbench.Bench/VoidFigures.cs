using System.Diagnostics;
using System.Globalization;
using Graftbench.Shared.Vision;
using Graftbench.Vision.Xray;

namespace Graftbench.Bench;

/// <summary>
/// Void areas read from made X-ray pictures against the geometry, by factor, and the time of a large picture:
/// dotnet run -c Release --project bench/Graftbench.Bench -- voids
/// </summary>
internal static class VoidFigures
{
    private static readonly XrayLook Base = new() { PxPerMm = 70 };

    private static readonly (string Name, XrayLook Look)[] Factors =
    [
        ("base: 42 px, blur 1.0, 20000 photons", Base),
        ("no voids", Base with { VoidShare = 0 }),
        ("heavy voids", Base with { VoidShare = 0.3, MostVoidRatio = 0.6 }),
        ("small voids", Base with { LeastVoidRatio = 0.06, MostVoidRatio = 0.14 }),
        ("5000 photons", Base with { Photons = 5000 }),
        ("1500 photons", Base with { Photons = 1500 }),
        ("blur 2 px", Base with { BlurPx = 2 }),
        ("blur 3 px", Base with { BlurPx = 3 }),
        ("60 px a joint", Base with { PxPerMm = 100, Rows = 8, Columns = 8 }),
        ("30 px a joint", Base with { PxPerMm = 50 }),
        ("21 px a joint", Base with { PxPerMm = 35 }),
        ("turned 17°", Base with { RotationDeg = 17 }),
        ("view 6° off", Base with { ObliqueDeg = 6 }),
        ("view 12° off", Base with { ObliqueDeg = 12 }),
        ("board not level", Base with { KeystoneRatio = 0.08 }),
        ("gradient 40 %", Base with { Gradient = 0.4 }),
        ("traces and vias", Base with { Traces = true, Vias = true }),
        ("parts below", Base with { Parts = true }),
        ("large shadow", Base with { BigShadow = true }),
        ("joints of 5 % scatter", Base with { SizeScatter = 0.05 }),
        ("dense joints", Base with { Hardness = 2 }),
        ("8 bits, inverted, gamma", Base with { Bits = 8, Inverted = true, Gamma = 0.6 }),
        ("missing and joined", Base with { MissingNumber = 5, BridgeNumber = 8, Traces = true, Vias = true }),
        (
            "all together",
            Base with
            {
                Traces = true,
                Vias = true,
                Parts = true,
                BigShadow = true,
                MissingNumber = 3,
                BridgeNumber = 5,
                ObliqueDeg = 5,
                RotationDeg = 8,
                Gradient = 0.2,
                Photons = 6000,
                BlurPx = 1.5,
            }
        ),
    ];

    private static readonly (string Name, OtherLook Look)[] Others =
    [
        ("other: plain", new OtherLook()),
        ("other: halo 0.7", new OtherLook { Halo = 0.7 }),
        (
            "other: inverted, gamma 0.5",
            new OtherLook
            {
                Inverted = true,
                Gamma = 0.5,
                MissingNumber = 3,
                BridgeNumber = 6,
            }
        ),
        (
            "other: stretched, vignette",
            new OtherLook
            {
                Stretched = true,
                Vignette = 0.25,
                MissingNumber = 3,
                BridgeNumber = 6,
            }
        ),
        ("other: line noise", new OtherLook { LineNoise = 0.01, Noise = 0.03 }),
        ("other: dense field", new OtherLook { RadiusRatio = 0.38, Attenuation = 2.5 }),
        ("other: scatter 0.3", new OtherLook { Scatter = 0.3, Seed = 501 }),
        (
            "other: large joints",
            new OtherLook
            {
                PitchPx = 110,
                Rows = 6,
                Columns = 7,
                Seed = 502,
            }
        ),
        (
            "other: gamma 1.6, halo",
            new OtherLook
            {
                Gamma = 1.6,
                Halo = 0.4,
                Seed = 503,
            }
        ),
    ];

    /// <summary>Measures and prints.</summary>
    public static void Print()
    {
        Console.WriteLine(
            "| factor | joints | not judged | median | 95 % | most | within 3 | inside ± | missing | joined | false |"
        );
        Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
        foreach ((string name, XrayLook look) in Factors)
        {
            Row(name, seed => XrayMaker.Make(look with { Seed = seed }), [101, 102]);
        }
        foreach ((string name, OtherLook look) in Others)
        {
            Row(name, seed => OtherXrayMaker.Make(look with { Seed = look.Seed + seed }), [0, 1]);
        }
        Large();
    }

    private static void Row(string name, Func<int, MadeXray> make, int[] seeds)
    {
        XrayScore score = new();
        foreach (int seed in seeds)
        {
            score.Add(make(seed));
        }
        Say(
            $"| {name} | {score.Joints} | {score.NotJudged} | {score.Median:0.0} | {score.P95:0.0} | {score.Largest:0.0} | {100 * score.Within3:0} % | {100.0 * score.Covered / Math.Max(1, score.OffPercent.Count):0} % | {score.MissingFound}/{score.Missing} | {score.JoinedFound}/{score.Joined} | {score.MissingFalse + score.JoinedFalse + score.Odd} |"
        );
    }

    /// <summary>Time and memory of a large picture.</summary>
    public static void Large()
    {
        MadeXray made = XrayMaker.Make(
            new XrayLook
            {
                Rows = 25,
                Columns = 24,
                PitchMm = 0.8,
                BallMm = 0.48,
                PxPerMm = 160,
                BlurPx = 1.5,
            }
        );
        XrayRequest request = XrayScore.Request(made, 0.8);
        for (int i = 0; i < 3; i++)
        {
            TimeSpan before = Environment.CpuUsage.TotalTime;
            Stopwatch clock = Stopwatch.StartNew();
            XrayReading reading = XrayReader.Read(request);
            Say(
                $"{made.WidthPx} x {made.HeightPx}, {reading.Joints.Count} joints: {clock.Elapsed.TotalSeconds:0.00} s, {(Environment.CpuUsage.TotalTime - before).TotalSeconds:0.00} s of processor time on {Environment.ProcessorCount}, {Process.GetCurrentProcess().PeakWorkingSet64 / 1048576} MiB at most"
            );
        }
    }

    private static void Say(FormattableString line) => Console.WriteLine(line.ToString(CultureInfo.InvariantCulture));
}
