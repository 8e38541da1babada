using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Heat;

/// <summary>A doubtful number of the model that the filter learns as far as readings tell it.</summary>
/// <param name="LogSdRatio">Standard deviation of its natural logarithm at the start.</param>
/// <param name="WalkLogSdRatio">What it wanders in a second.</param>
/// <param name="Scaled">Factors with this number multiplied.</param>
internal sealed record LiveFactor(
    double LogSdRatio,
    double WalkLogSdRatio,
    Func<HeatFactors, double, HeatFactors> Scaled
);

/// <summary>Spreads that a <see cref="LiveFilter"/> starts from; one standard deviation each.</summary>
/// <param name="Factors">Numbers that are learned: the film under the nozzle with what spills over, the bottom heater's film, others.</param>
/// <param name="GasNoiseDeltaK">Gas temperature, white at one value a second [K].</param>
/// <param name="PreheaterNoiseDeltaK">Bottom heater's temperature, the same way [K].</param>
internal sealed record LiveSpreads(
    IReadOnlyList<LiveFactor> Factors,
    double GasNoiseDeltaK,
    double PreheaterNoiseDeltaK
)
{
    private static readonly LiveFactor Top = new(
        0.2,
        0.003,
        (f, by) => f with { TopFactor = f.TopFactor * by, SpillFactor = f.SpillFactor * by }
    );

    private static readonly LiveFactor Bottom = new(
        0.12,
        0.003,
        (f, by) => f with { BottomFactor = f.BottomFactor * by }
    );

    /// <summary>The values of the prototype that the method comes from: two factors.</summary>
    public static LiveSpreads Two { get; } = new([Top, Bottom], 12, 6);

    /// <summary>
    /// The same and what else a board probe's reading hangs on, with spreads of what a job leaves open: spill by itself,
    /// loss to the room, conductivity and heat capacity of the board, conductivity of the substrate.
    /// </summary>
    public static LiveSpreads Usual { get; } =
        new(
            [
                Top,
                Bottom,
                new(0.2, 0, (f, by) => f with { SpillFactor = f.SpillFactor * by }),
                new(0.2, 0, (f, by) => f with { AmbientFactor = f.AmbientFactor * by }),
                new(0.15, 0, (f, by) => f with { BoardConductivityFactor = f.BoardConductivityFactor * by }),
                new(0.05, 0, (f, by) => f with { BoardCapacityFactor = f.BoardCapacityFactor * by }),
                new(0.2, 0, (f, by) => f with { SubstrateConductivityFactor = f.SubstrateConductivityFactor * by }),
            ],
            12,
            6
        );
}

/// <summary>
/// Extended Kalman filter on a reduced model: its shapes, the logarithms of doubtful factors, and one offset for each probe.
/// Steps with a fixed length; what a step costs does not grow with time.
/// </summary>
/// <remarks>
/// Prediction by <see cref="LiveStep"/>, its linearisation of first order for the covariance, melting included as a larger
/// heat content of what melts. R. E. Kalman, J. Basic Eng. 82 (1960) 35-45; readings are taken one after the other.
/// </remarks>
internal sealed class LiveFilter
{
    private const double MostLog = 1.6;

    private readonly ReducedModel.Parts parts;
    private readonly LiveStep step;
    private readonly HeatFactors start;
    private readonly LiveSpreads spreads;
    private readonly int n;
    private readonly int factorStates;
    private readonly int all;
    private readonly double[] state;
    private readonly double[] before;
    private readonly double[] gain;
    private readonly double[] logs;
    private readonly double[] offsets;
    private readonly double[] covariance;
    private readonly double[] next;
    private readonly double[] transition;
    private readonly double[][] byFactor;
    private readonly double[] byGas;
    private readonly double[] byPreheater;
    private readonly double[] row;
    private readonly double[] column;
    private readonly double[] rows;

    /// <summary>Everything at the reduced model's start.</summary>
    /// <param name="model">Reduced model.</param>
    /// <param name="stepS">Step [s].</param>
    /// <param name="start">Factors before anything is learned.</param>
    /// <param name="spreads">Spreads.</param>
    /// <param name="offsetsDeltaK">Standard deviation of each probe's offset [K].</param>
    public LiveFilter(
        ReducedModel model,
        double stepS,
        HeatFactors start,
        LiveSpreads spreads,
        IReadOnlyList<double> offsetsDeltaK
    )
    {
        parts = model.Matrices;
        step = new LiveStep(model, stepS);
        this.start = start;
        this.spreads = spreads;
        n = parts.States;
        factorStates = spreads.Factors.Count;
        logs = new double[factorStates];
        all = n + factorStates + offsetsDeltaK.Count;
        state = new double[n];
        before = new double[n];
        gain = new double[n];
        offsets = new double[offsetsDeltaK.Count];
        covariance = new double[all * all];
        next = new double[all * all];
        transition = new double[n * n];
        byFactor = [.. spreads.Factors.Select(_ => new double[n])];
        byGas = new double[n];
        byPreheater = new double[n];
        row = new double[n];
        column = new double[all];
        for (int f = 0; f < factorStates; f++)
        {
            double sd = spreads.Factors[f].LogSdRatio;
            covariance[(n + f) * all + n + f] = sd * sd;
        }
        for (int p = 0; p < offsets.Length; p++)
        {
            covariance[OffsetAt(p) * all + OffsetAt(p)] = offsetsDeltaK[p] * offsetsDeltaK[p];
        }
        // One state after the other becomes one place after the other.
        rows = new double[parts.Outputs.Length];
        for (int i = 0; i < parts.OutputCount; i++)
        {
            for (int k = 0; k < n; k++)
            {
                rows[i * n + k] = parts.Outputs[k * parts.OutputCount + i];
            }
        }
        step.Use(start);
    }

    /// <summary>Step [s].</summary>
    public double StepS => step.StepS;

    /// <summary>Rises through the shapes.</summary>
    public ReadOnlySpan<double> State => state;

    /// <summary>What the last step added to the state.</summary>
    public ReadOnlySpan<double> Gain => gain;

    /// <summary>Standard deviation of the logarithm of a factor, 0 top, 1 bottom.</summary>
    public double FactorLogSdRatio(int which) => Math.Sqrt(Math.Max(0, covariance[(n + which) * all + n + which]));

    /// <summary>Present factors: those at the start times what was learned.</summary>
    public HeatFactors Factors
    {
        get
        {
            HeatFactors now = start;
            for (int f = 0; f < factorStates; f++)
            {
                now = spreads.Factors[f].Scaled(now, Math.Exp(logs[f]));
            }
            return now;
        }
    }

    /// <summary>One step without readings.</summary>
    /// <param name="first">What drives at the end of the first stage.</param>
    /// <param name="end">What drives at the end of the step.</param>
    /// <returns>False where the step could not be solved; then nothing after it is worth anything.</returns>
    public bool Predict(LiveDrive first, LiveDrive end)
    {
        HeatFactors now = Factors;
        step.Use(now);
        step.Settle(state);
        state.CopyTo(before, 0);
        bool fits = step.Step(state, gain, first, end);
        HeatFactors[] moved = [.. spreads.Factors.Select(one => one.Scaled(now, 2))];
        step.Linearise(before, state, end, moved, transition, byFactor, byGas, byPreheater);
        Spread();
        return fits && double.IsFinite(state[0]);
    }

    /// <summary>Lets a probe's offset become less certain.</summary>
    /// <param name="probe">Number of the probe.</param>
    /// <param name="addedVariance">Variance that is added [K²].</param>
    public void Loosen(int probe, double addedVariance) =>
        covariance[OffsetAt(probe) * all + OffsetAt(probe)] += Math.Max(0, addedVariance);

    /// <summary>What a probe is expected to read at the end of the last step.</summary>
    /// <param name="place">Number of its place.</param>
    /// <param name="probe">Number of the probe.</param>
    /// <returns>Reading without noise [°C].</returns>
    public double ExpectedC(int place, int probe) => TemperatureC(place) + offsets[probe];

    /// <summary>Takes one reading at the end of the last step.</summary>
    /// <param name="place">Number of its place.</param>
    /// <param name="probe">Number of the probe.</param>
    /// <param name="innovationDeltaK">Reading less <see cref="ExpectedC"/> [K].</param>
    /// <param name="noiseVariance">Variance of its noise [K²].</param>
    public void Update(int place, int probe, double innovationDeltaK, double noiseVariance)
    {
        double variance = Column(place, probe) + noiseVariance;
        double scale = innovationDeltaK / variance;
        Dense.AddScaled(state, scale, column.AsSpan(0, n));
        for (int f = 0; f < factorStates; f++)
        {
            logs[f] = Math.Clamp(logs[f] + scale * column[n + f], -MostLog, MostLog);
        }
        for (int p = 0; p < offsets.Length; p++)
        {
            offsets[p] += scale * column[OffsetAt(p)];
        }
        for (int i = 0; i < all; i++)
        {
            Dense.AddScaled(covariance.AsSpan(i * all, all), -column[i] / variance, column);
        }
        Symmetrise();
    }

    /// <summary>Variance of what a probe is expected to read, noise not counted [K²].</summary>
    public double ExpectedVariance(int place, int probe) => Column(place, probe);

    /// <summary>A place's temperature [°C].</summary>
    public double TemperatureC(int place) => parts.StartC + Dense.Dot(Row(place), state);

    /// <summary>How fast a place's temperature goes at present [K/s].</summary>
    public double SlopeKPerS(int place) => Dense.Dot(Row(place), gain) / StepS;

    /// <summary>Standard deviation of a place's temperature, the model's structure taken for right [K].</summary>
    public double SpreadDeltaK(int place)
    {
        ReadOnlySpan<double> shapes = Row(place);
        Array.Clear(row);
        for (int i = 0; i < n; i++)
        {
            Dense.AddScaled(row, shapes[i], covariance.AsSpan(i * all, n));
        }
        return Math.Sqrt(Math.Max(0, Dense.Dot(row, shapes)));
    }

    /// <summary>A probe's offset and its standard deviation [K].</summary>
    public (double DeltaK, double SdDeltaK) Offset(int probe) =>
        (offsets[probe], Math.Sqrt(Math.Max(0, covariance[OffsetAt(probe) * all + OffsetAt(probe)])));

    private int OffsetAt(int probe) => n + factorStates + probe;

    private ReadOnlySpan<double> Row(int place) => rows.AsSpan(place * n, n);

    // Covariance of all states with a probe's reading; returns the reading's own variance.
    private double Column(int place, int probe)
    {
        ReadOnlySpan<double> shapes = Row(place);
        covariance.AsSpan(OffsetAt(probe) * all, all).CopyTo(column);
        for (int i = 0; i < n; i++)
        {
            Dense.AddScaled(column, shapes[i], covariance.AsSpan(i * all, all));
        }
        return Math.Max(0, Dense.Dot(shapes, column.AsSpan(0, n)) + column[OffsetAt(probe)]);
    }

    private void Spread()
    {
        // Rows of the shapes: transition · covariance + factors' share; the others stay.
        covariance.CopyTo(next, 0);
        Array.Clear(next, 0, n * all);
        for (int i = 0; i < n; i++)
        {
            Span<double> into = next.AsSpan(i * all, all);
            for (int k = 0; k < n; k++)
            {
                Dense.AddScaled(into, transition[i * n + k], covariance.AsSpan(k * all, all));
            }
            for (int f = 0; f < factorStates; f++)
            {
                Dense.AddScaled(into, byFactor[f][i], covariance.AsSpan((n + f) * all, all));
            }
        }
        // The same for the columns.
        next.CopyTo(covariance, 0);
        for (int r = 0; r < all; r++)
        {
            ReadOnlySpan<double> from = next.AsSpan(r * all, all);
            Span<double> into = covariance.AsSpan(r * all, n);
            for (int i = 0; i < n; i++)
            {
                double sum = Dense.Dot(transition.AsSpan(i * n, n), from[..n]);
                for (int f = 0; f < factorStates; f++)
                {
                    sum += byFactor[f][i] * from[n + f];
                }
                into[i] = sum;
            }
        }
        double gasVariance = spreads.GasNoiseDeltaK * spreads.GasNoiseDeltaK / StepS;
        double preheaterVariance = spreads.PreheaterNoiseDeltaK * spreads.PreheaterNoiseDeltaK / StepS;
        for (int i = 0; i < n; i++)
        {
            Span<double> into = covariance.AsSpan(i * all, n);
            Dense.AddScaled(into, gasVariance * byGas[i], byGas);
            Dense.AddScaled(into, preheaterVariance * byPreheater[i], byPreheater);
        }
        for (int f = 0; f < factorStates; f++)
        {
            covariance[(n + f) * all + n + f] +=
                StepS * spreads.Factors[f].WalkLogSdRatio * spreads.Factors[f].WalkLogSdRatio;
        }
        Symmetrise();
    }

    private void Symmetrise()
    {
        for (int i = 0; i < all; i++)
        {
            for (int j = 0; j < i; j++)
            {
                double mean = 0.5 * (covariance[i * all + j] + covariance[j * all + i]);
                covariance[i * all + j] = mean;
                covariance[j * all + i] = mean;
            }
        }
    }
}
