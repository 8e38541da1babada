using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>What a setting sets.</summary>
internal enum SettingKind
{
    /// <summary>How long a stage lasts [s].</summary>
    Duration,

    /// <summary>Set point of the gas [°C].</summary>
    Gas,

    /// <summary>Set point of the bottom heater [°C].</summary>
    Preheater,
}

/// <summary>One number that the planner may choose.</summary>
/// <param name="Kind">What it sets.</param>
/// <param name="Stage">First stage that it is for, from 0.</param>
/// <param name="Low">Lower bound, in the unit of its kind.</param>
/// <param name="High">Upper bound.</param>
/// <param name="Step">Smallest step that the bench can set.</param>
internal sealed record Setting(SettingKind Kind, int Stage, double Low, double High, double Step);

/// <summary>
/// What can be set at a bench and how it becomes a schedule: straight lines between set points, held stages, or two knobs
/// that are each turned at most twice. After the last stage gas and preheater are set to room temperature; the gas goes
/// on blowing while it falls with the tool's lag.
/// </summary>
internal sealed class BenchSettings
{
    private const int MostStages = 5;
    private const double HandS = 20;

    // Slopes that heaters of this sort follow where the bench does not say (common practice, no source).
    private const double UsualGasKPerS = 2.5;
    private const double UsualPreheaterKPerS = 1.5;
    private const double UsualGasMaxC = 400;
    private const double UsualPreheaterMaxC = 250;
    private const double UsualMinC = 50;

    // A first guess for a melt at 220 °C: ends of five straight lines.
    private static readonly double[] GuessS = [60, 80, 90, 60, 50];
    private static readonly double[] GuessGasC = [60, 150, 220, 290, 295];
    private static readonly double[] GuessPreheaterC = [120, 170, 200, 220, 220];

    private readonly HeatControl control;
    private readonly HeatTask task;
    private readonly double roomC;
    private readonly double moltenC;
    private readonly double? gasKPerS;
    private readonly double? preheaterKPerS;
    private readonly int stages;
    private readonly int[] gasAt;
    private readonly int[]? preheaterAt;

    private BenchSettings(HeatTools tools, HeatTask task, double roomC, double moltenC, double? preheaterMaxC)
    {
        control = tools.Control;
        this.task = task;
        this.roomC = roomC;
        this.moltenC = moltenC;
        bool ramps = control == HeatControl.Ramps;
        stages = control == HeatControl.Knobs ? 3 : Math.Clamp(tools.MaxStages ?? MostStages, 1, MostStages);
        gasKPerS = tools.Gas.MaxRampKPerS is { } gas
            ? (ramps ? Math.Min(gas, UsualGasKPerS) : gas)
            : (ramps ? UsualGasKPerS : null);
        preheaterKPerS = tools.Preheater.MaxRampKPerS is { } slope
            ? (ramps ? Math.Min(slope, UsualPreheaterKPerS) : slope)
            : (ramps ? UsualPreheaterKPerS : null);
        bool knobs = control == HeatControl.Knobs;
        double stepK = tools.SetStepDeltaK ?? (knobs ? 5 : 1);
        double stepS = knobs ? 5 : 1;
        double longestS = stages >= 4 ? 300 : 600;
        List<Setting> settings = [];
        for (int i = 0; i < stages; i++)
        {
            settings.Add(new Setting(SettingKind.Duration, i, knobs ? HandS : 15, longestS, stepS));
        }
        gasAt = AddLevels(
            settings,
            SettingKind.Gas,
            Math.Max(tools.Gas.MinC ?? UsualMinC, roomC),
            tools.Gas.MaxC ?? UsualGasMaxC,
            stepK
        );
        // Without a bottom heater there is nothing below to set.
        preheaterAt =
            tools.Preheater.Kind == PreheaterKind.None
                ? null
                : AddLevels(
                    settings,
                    SettingKind.Preheater,
                    Math.Max(tools.Preheater.MinC ?? UsualMinC, roomC),
                    preheaterMaxC ?? tools.Preheater.MaxC ?? UsualPreheaterMaxC,
                    stepK
                );
        Settings = settings;
        Assumptions = [.. Assumed(tools)];
    }

    /// <summary>The numbers to choose: durations, then gas, then preheater.</summary>
    public IReadOnlyList<Setting> Settings { get; }

    /// <summary>What was assumed of the bench, one sentence each.</summary>
    public IReadOnlyList<string> Assumptions { get; }

    /// <summary>Number of side conditions that settings keep besides their bounds.</summary>
    public int SideCount => stages * 3;

    /// <summary>Settings of a job's bench for one heat.</summary>
    /// <param name="job">The job.</param>
    /// <param name="task">What the heat is for.</param>
    /// <param name="model">The model it is planned on.</param>
    /// <param name="preheaterMaxC">Hottest preheater setting in place of the bench's own [°C].</param>
    public static BenchSettings Of(Job job, HeatTask task, BoardHeatModel model, double? preheaterMaxC = null) =>
        Of(job.Bench.Heat, task, model.RoomC, model.MoltenC, preheaterMaxC);

    /// <summary>What can be set at a bench.</summary>
    /// <param name="tools">The bench's heaters.</param>
    /// <param name="task">What the heat is for.</param>
    /// <param name="roomC">Temperature at the start [°C].</param>
    /// <param name="moltenC">Full melt of the joints, for the first guess [°C].</param>
    /// <param name="preheaterMaxC">Replaces the hottest preheater setting; null for the bench's own [°C].</param>
    public static BenchSettings Of(
        HeatTools tools,
        HeatTask task,
        double roomC,
        double moltenC,
        double? preheaterMaxC = null
    ) => new(tools, task, roomC, moltenC, preheaterMaxC);

    /// <summary>Time up to switching off [s].</summary>
    public double HeatingS(double[] values) => values.AsSpan(0, stages).ToArray().Sum();

    /// <summary>Starts for a search, the likeliest first.</summary>
    public IReadOnlyList<double[]> Starts() =>
        [
            Guess(1, 1, 1),
            Guess(1, 1.12, 1),
            Guess(1, 0.92, 1),
            Guess(1.2, 0.93, 1.12),
            Guess(1.2, 1.05, 0.85),
            Guess(0.85, 1.3, 1.05),
            Guess(1.3, 0.8, 1.25),
        ];

    /// <summary>Settings of another bench, brought within the bounds of this one.</summary>
    public double[] Within(double[] values) =>
        [.. Settings.Select((one, j) => Math.Clamp(j < values.Length ? values[j] : one.Low, one.Low, one.High))];

    /// <summary>The nearest settings that the bench can take.</summary>
    public double[] Rounded(double[] values)
    {
        double[] rounded = new double[values.Length];
        for (int i = 0; i < values.Length; i++)
        {
            rounded[i] = OnStep(Settings[i], values[i]);
        }
        return rounded;
    }

    /// <summary>Side conditions, 0 or above where kept: slopes, no falling gas before the hold, stages long enough.</summary>
    public void Sides(double[] values, Span<double> margins)
    {
        double gasC = roomC;
        double preheaterC = roomC;
        for (int i = 0; i < stages; i++)
        {
            double durationS = values[i];
            double nextGasC = values[gasAt[i]];
            double nextPreheaterC = preheaterAt is null ? roomC : values[preheaterAt[i]];
            // In tenths of the slope; a jump that the device ramps must be over before its stage is.
            margins[3 * i] = gasKPerS is { } gas ? 10 * (gas - (nextGasC - gasC) / durationS) / gas : 10;
            margins[3 * i + 1] = preheaterKPerS is { } slope
                ? 10 * (slope - (nextPreheaterC - preheaterC) / durationS) / slope
                : 10;
            margins[3 * i + 2] = i == 0 || i == stages - 1 ? 10 : (nextGasC - gasC) / 5;
            gasC = nextGasC;
            preheaterC = nextPreheaterC;
        }
    }

    /// <summary>Set points over time.</summary>
    /// <param name="values">Settings.</param>
    /// <param name="coolingS">How long to follow the cooling after switching off [s].</param>
    public HeatSchedule Schedule(double[] values, double coolingS) =>
        new(
            Points(values, gasAt, gasKPerS),
            preheaterAt is null ? [new(0, roomC)] : Points(values, preheaterAt, preheaterKPerS),
            HeatingS(values) + coolingS
        );

    /// <summary>Stages as the bench takes them, the cooling last.</summary>
    /// <param name="values">Settings.</param>
    /// <param name="coolingS">How long the cooling is followed [s].</param>
    /// <param name="moments">What happens when, which names the stages.</param>
    public IReadOnlyList<HeatStage> Stages(double[] values, double coolingS, IReadOnlyList<HeatMoment> moments)
    {
        List<HeatStage> all = [];
        double timeS = 0;
        string[] titles = StageTitles.Of(task, values[..stages], moments);
        for (int i = 0; i < stages; i++)
        {
            all.Add(
                new HeatStage(
                    i + 1,
                    titles[i],
                    timeS,
                    values[i],
                    values[gasAt[i]],
                    preheaterAt is null ? null : values[preheaterAt[i]],
                    control != HeatControl.Ramps,
                    null
                )
            );
            timeS += values[i];
        }
        string cool =
            task == HeatTask.Lift && moments.Any(moment => moment.Name == HeatMoments.AllMolten)
                ? "Chip off; cool the board"
                : "Cool, nothing moves";
        all.Add(new HeatStage(stages + 1, cool, timeS, coolingS, null, null, true, null));
        return all;
    }

    private int[] AddLevels(List<Setting> settings, SettingKind kind, double lowC, double highC, double stepK)
    {
        // The gas is turned up first, the preheater a hand's time later.
        int[] ownStage = control switch
        {
            HeatControl.Knobs when kind == SettingKind.Gas => [0, 1, 1],
            HeatControl.Knobs => [0, 0, 2],
            _ => [.. Enumerable.Range(0, stages)],
        };
        int[] at = new int[stages];
        for (int i = 0; i < stages; i++)
        {
            if (ownStage[i] == i)
            {
                settings.Add(new Setting(kind, i, Math.Min(lowC, highC), highC, stepK));
            }
            at[i] = ownStage[i] == i ? settings.Count - 1 : at[ownStage[i]];
        }
        return at;
    }

    private static double OnStep(Setting setting, double value)
    {
        double lowest = Math.Ceiling(setting.Low / setting.Step - 1e-9) * setting.Step;
        double highest = Math.Floor(setting.High / setting.Step + 1e-9) * setting.Step;
        double nearest = Math.Round(value / setting.Step) * setting.Step;
        return highest < lowest ? setting.High : Math.Clamp(nearest, lowest, highest);
    }

    private double[] Guess(double time, double gas, double preheater)
    {
        double[] values = new double[Settings.Count];
        double melt = (moltenC - roomC) / (220 - roomC);
        double wholeS = GuessS.Sum();
        for (int i = 0; i < values.Length; i++)
        {
            Setting setting = Settings[i];
            double endS = wholeS * (setting.Stage + 1) / stages;
            double value = setting.Kind switch
            {
                SettingKind.Duration => stages == MostStages ? GuessS[setting.Stage] * time : wholeS / stages * time,
                SettingKind.Gas => roomC + (At(GuessGasC, endS) - roomC) * melt * gas,
                _ => roomC + (At(GuessPreheaterC, endS) - roomC) * melt * preheater,
            };
            values[i] = Math.Clamp(value, setting.Low, setting.High);
        }
        return values;
    }

    private static double At(double[] endsC, double timeS)
    {
        double fromS = 0;
        double fromC = endsC[0];
        for (int i = 0; i < endsC.Length; i++)
        {
            if (timeS <= fromS + GuessS[i] + 1e-9)
            {
                return fromC + (endsC[i] - fromC) * (timeS - fromS) / GuessS[i];
            }
            fromS += GuessS[i];
            fromC = endsC[i];
        }
        return endsC[^1];
    }

    private List<SignalPoint> Points(double[] values, int[] at, double? slopeKPerS)
    {
        List<SignalPoint> points = [new(0, roomC)];
        double timeS = 0;
        double levelC = roomC;
        for (int i = 0; i < stages; i++)
        {
            double endS = timeS + values[i];
            double targetC = values[at[i]];
            if (control == HeatControl.Ramps)
            {
                points.Add(new SignalPoint(endS, targetC));
                levelC = targetC;
            }
            else
            {
                double riseS = slopeKPerS is { } slope && targetC > levelC ? (targetC - levelC) / slope : 0;
                double reachedC = riseS > values[i] ? levelC + (targetC - levelC) * values[i] / riseS : targetC;
                points.Add(new SignalPoint(timeS, levelC));
                points.Add(new SignalPoint(Math.Min(timeS + riseS, endS), reachedC));
                points.Add(new SignalPoint(endS, reachedC));
                levelC = reachedC;
            }
            timeS = endS;
        }
        points.Add(new SignalPoint(timeS, roomC));
        return points;
    }

    private static IEnumerable<string> Assumed(HeatTools tools)
    {
        if (tools.Gas.MaxC is null)
        {
            yield return $"The gas can be set up to {UsualGasMaxC:0} °C.";
        }
        bool below = tools.Preheater.Kind != PreheaterKind.None;
        if (below && tools.Preheater.MaxC is null)
        {
            yield return $"The bottom heater can be set up to {UsualPreheaterMaxC:0} °C.";
        }
        if (tools.Gas.MaxRampKPerS is null)
        {
            yield return tools.Control == HeatControl.Ramps
                ? $"The gas follows a rise of {UsualGasKPerS:0.#} K/s."
                : "The gas is slowed by its lag alone, not by a slope of its own.";
        }
        if (below && tools.Preheater.MaxRampKPerS is null)
        {
            yield return tools.Control == HeatControl.Ramps
                ? $"The bottom heater follows a rise of {UsualPreheaterKPerS:0.#} K/s."
                : "The bottom heater is slowed by its lag alone, not by a slope of its own.";
        }
    }
}
