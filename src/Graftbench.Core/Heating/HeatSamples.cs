using Graftbench.Core.Facts;
using Graftbench.Core.Numerics;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>Runs of one schedule with everything drawn that is not known: what chances and probe places come from.</summary>
internal sealed class HeatSamples
{
    /// <summary>Error of the model's own structure at joints and at the chip's top, one standard deviation [K].</summary>
    public const double StructureDeltaK = 2;

    private const int Extra = 4;
    private const ulong Seed = 20261126;

    private readonly IReadOnlyList<HeatLimit> limits;
    private readonly RunFigures figures;
    private readonly double moltenC;

    private HeatSamples(
        IReadOnlyList<HeatLimit> limits,
        RunFigures figures,
        double moltenC,
        double[] nominal,
        int moltenStep,
        int count,
        IReadOnlyList<string> varied
    )
    {
        this.limits = limits;
        this.figures = figures;
        this.moltenC = moltenC;
        Nominal = nominal;
        MoltenStep = moltenStep;
        Varied = varied;
        Figures = new double[count][];
        PeaksC = new double[count];
        MomentC = new double[count][];
        ColdestAtMomentC = new double[count];
    }

    /// <summary>Figures of the nominal run.</summary>
    public double[] Nominal { get; }

    /// <summary>Figures by sample, then limit.</summary>
    public double[][] Figures { get; }

    /// <summary>Peak of the coldest joint by sample [°C].</summary>
    public double[] PeaksC { get; }

    /// <summary>Step of the nominal run at which the coldest joint is molten, else that of its peak.</summary>
    public int MoltenStep { get; }

    /// <summary>Every place at that step, by sample, then place [°C].</summary>
    public double[][] MomentC { get; }

    /// <summary>Coldest joint at that step, by sample [°C].</summary>
    public double[] ColdestAtMomentC { get; }

    /// <summary>What was drawn, one line each.</summary>
    public IReadOnlyList<string> Varied { get; }

    /// <summary>Whether every sample gave numbers.</summary>
    public bool Complete => Array.TrueForAll(Figures, row => Array.TrueForAll(row, double.IsFinite));

    /// <summary>Draws and runs the samples.</summary>
    public static HeatSamples Of(
        IHeatRunner runner,
        BoardHeatModel model,
        HeatSchedule schedule,
        double heatingS,
        IReadOnlyList<HeatLimit> limits,
        int count,
        ParallelOptions parallel
    )
    {
        List<(string Factor, double LogSd, string What)> drawn = Drawn(model.Assumptions);
        double tilt = NozzleLayout.TiltDeltaK(model);
        RunFigures reader = new(runner.Places, limits, model.MoltenC);
        HeatTrace nominal = runner.Run(schedule, HeatFactors.Nominal);
        double[] figuresThere = new double[limits.Count];
        reader.Compute(nominal, heatingS, smooth: false, figuresThere);
        int step = reader.AllMoltenAt(nominal.TemperaturesC);
        step = step >= 0 ? step : WarmestStep(reader, nominal.TemperaturesC);
        List<string> varied =
        [
            .. drawn.Select(one => $"{one.What} spread {100 * (Math.Exp(one.LogSd) - 1):0} %"),
            $"the model's own structure, at joints and body: {StructureDeltaK:0.#} K",
        ];
        if (tilt > 0)
        {
            varied.Add(
                $"nozzle set by eye, {HeatFilms.Of(NozzleLayout.AlignCode).Value:0.#} mm off: {tilt:0.#} K at the corner joints"
            );
        }
        HeatSamples samples = new(limits, reader, model.MoltenC, figuresThere, step, count, varied);
        double[][] numbers = LatinHypercube.Normal(count, drawn.Count + Extra, Seed);
        Parallel.For(
            0,
            count,
            parallel,
            k => samples.Run(k, runner, model, schedule, heatingS, drawn, numbers[k], tilt)
        );
        return samples;
    }

    /// <summary>Chance of success.</summary>
    public HeatChance Chance(double wantedFraction)
    {
        int molten = PeaksC.Count(peakC => peakC >= moltenC);
        int kept = Enumerable.Range(0, Figures.Length).Count(k => PeaksC[k] >= moltenC && KeepsHard(Figures[k]));
        return new HeatChance(
            Figures.Length,
            (double)molten / Figures.Length,
            Error(molten),
            (double)kept / Figures.Length,
            Error(kept),
            wantedFraction,
            Varied
        );
    }

    /// <summary>Every limit with its figure and the chance to pass it, tightest first.</summary>
    /// <param name="figuresThere">Figures of the plan's own run.</param>
    public IReadOnlyList<HeatFigure> WithChances(double[] figuresThere) =>
        [
            .. limits
                .Select(
                    (limit, i) =>
                    {
                        int passed = Figures.Count(row => RunFigures.Margin(limit, row[i]) < 0);
                        return new HeatFigure(
                            limit,
                            figuresThere[i],
                            RunFigures.Margin(limit, figuresThere[i]),
                            (double)passed / Figures.Length,
                            Error(passed)
                        );
                    }
                )
                .OrderBy(figure => figure.Margin / figure.Limit.Scale),
        ];

    /// <summary>The same samples as the model that counts would give them.</summary>
    /// <param name="shift">How far the model that ran is off it.</param>
    /// <param name="limitsThere">Limits as they are, in the order of those the samples were drawn with.</param>
    /// <param name="moltenThereC">Full melt as it is [°C].</param>
    public HeatSamples Restored(ModelShift shift, IReadOnlyList<HeatLimit> limitsThere, double moltenThereC)
    {
        HeatSamples restored = new(
            limitsThere,
            figures,
            moltenThereC,
            shift.Restored(Nominal, limitsThere),
            MoltenStep,
            Figures.Length,
            Varied
        );
        for (int k = 0; k < Figures.Length; k++)
        {
            restored.Figures[k] = shift.Restored(Figures[k], limitsThere);
            restored.PeaksC[k] = PeaksC[k] + shift.JointDeltaK;
            restored.MomentC[k] = [.. MomentC[k].Select(there => there + shift.JointDeltaK)];
            restored.ColdestAtMomentC[k] = ColdestAtMomentC[k] + shift.JointDeltaK;
        }
        return restored;
    }

    // Half a count to either side, so that "none of a thousand" is not said without error.
    private double Error(int count)
    {
        double share = (count + 0.5) / (Figures.Length + 1);
        return Math.Sqrt(share * (1 - share) / (Figures.Length + 1));
    }

    private bool KeepsHard(double[] row)
    {
        for (int i = 0; i < limits.Count; i++)
        {
            // That every joint melts is asked by itself; how far above is a goal with room in it.
            bool goal = limits[i].Kind == HeatLimitKind.ColdestJointPeak;
            if (limits[i].Hard && !goal && RunFigures.Margin(limits[i], row[i]) < 0)
            {
                return false;
            }
        }
        return true;
    }

    private void Run(
        int k,
        IHeatRunner runner,
        BoardHeatModel model,
        HeatSchedule schedule,
        double heatingS,
        List<(string Factor, double LogSd, string What)> drawn,
        double[] numbers,
        double tiltDeltaK
    )
    {
        HeatFactors factors = HeatFactors.Nominal;
        numbers = model.Calibrated?.Together([.. drawn.Select(one => one.Factor)], numbers) ?? numbers;
        for (int j = 0; j < drawn.Count; j++)
        {
            factors = FactorNames.Scaled(factors, drawn[j].Factor, Math.Exp(drawn[j].LogSd * numbers[j]));
        }
        HeatTrace trace = runner.Run(schedule, factors);
        AddStructure(trace, runner.Places, model, numbers.AsSpan(drawn.Count), tiltDeltaK);
        Figures[k] = new double[limits.Count];
        figures.Compute(trace, heatingS, smooth: false, Figures[k]);
        PeaksC[k] = figures.ColdestC(trace.TemperaturesC);
        MomentC[k] = new double[trace.TemperaturesC.Length];
        double coldestC = double.PositiveInfinity;
        for (int place = 0; place < MomentC[k].Length; place++)
        {
            MomentC[k][place] = trace.TemperaturesC[place][MoltenStep];
        }
        foreach (int joint in figures.Joints)
        {
            coldestC = Math.Min(coldestC, MomentC[k][joint]);
        }
        ColdestAtMomentC[k] = coldestC;
    }

    // An error of a few kelvin at full melt, in proportion to the rise; joints share one, the body's top has its own.
    internal static void AddStructure(
        HeatTrace trace,
        IReadOnlyList<HeatPlace> places,
        BoardHeatModel model,
        ReadOnlySpan<double> numbers,
        double tiltDeltaK
    )
    {
        RectMm chip = model.Chip;
        double halfX = Math.Max((chip.X1Mm - chip.X0Mm) / 2, 1);
        double halfY = Math.Max((chip.Y1Mm - chip.Y0Mm) / 2, 1);
        // Two slopes of this size give the corner the wanted spread.
        double slope = tiltDeltaK / Math.Sqrt(2);
        for (int place = 0; place < places.Count; place++)
        {
            double error = places[place].Kind switch
            {
                HeatPlaceKind.Joint => StructureDeltaK * numbers[0]
                    + slope * numbers[2] * (places[place].XMm - (chip.X0Mm + halfX)) / halfX
                    + slope * numbers[3] * (places[place].YMm - (chip.Y0Mm + halfY)) / halfY,
                HeatPlaceKind.BodyTop => StructureDeltaK * numbers[1],
                _ => 0,
            };
            if (error == 0)
            {
                continue;
            }
            double stretch = 1 + error / (model.MoltenC - model.RoomC);
            double[] row = trace.TemperaturesC[place];
            for (int step = 0; step < row.Length; step++)
            {
                row[step] = model.RoomC + (row[step] - model.RoomC) * stretch;
            }
        }
    }

    /// <summary>Factors that are drawn; assumptions that share one add their variances.</summary>
    public static List<(string Factor, double LogSd, string What)> Drawn(IReadOnlyList<HeatAssumption> assumptions) =>
        [
            .. assumptions
                .Where(one => one is { Factor: not null, LogSdRatio: > 0 })
                .GroupBy(one => one.Factor!, StringComparer.Ordinal)
                .Select(group =>
                    (
                        group.Key,
                        Math.Sqrt(group.Sum(one => one.LogSdRatio * one.LogSdRatio)),
                        group.MaxBy(one => one.LogSdRatio)!.What.TrimEnd('.') + ":"
                    )
                ),
        ];

    private static int WarmestStep(RunFigures reader, double[][] temperaturesC)
    {
        int at = 0;
        double bestC = double.NegativeInfinity;
        for (int step = 0; step < temperaturesC[reader.Joints[0]].Length; step++)
        {
            double coldestC = reader.Joints.Min(joint => temperaturesC[joint][step]);
            if (coldestC > bestC)
            {
                (at, bestC) = (step, coldestC);
            }
        }
        return at;
    }
}
