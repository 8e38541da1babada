using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Heat;

/// <summary>
/// The full model seen through a few dozen shapes of the temperature field, for one board, package, nozzle and bench: a
/// run of eight minutes takes about a millisecond. Safe to run from several threads at once.
/// </summary>
/// <remarks>
/// T = T₀ + V x with V from <see cref="ReducedBuilder"/>, VᵀCV = I. Films, the board's and the substrate's conductivity
/// and the board's capacity enter linearly, so any <see cref="HeatFactors"/> is a sum of small matrices. Radiation is
/// interpolated from a few nodes [1]. Melting heat acts on tiles of the ball layer; a tile's liquid share is the mean over
/// points in it, found by the active-set iteration of the full model. Time steps as in <see cref="FullModel"/>.
/// [1] S. Chaturantabut, D. C. Sorensen, "Nonlinear model reduction via discrete empirical interpolation", SIAM J. Sci.
/// Comput. 32 (2010) 2737-2764.
/// </remarks>
internal sealed class ReducedModel
{
    /// <summary>A symmetric or rectangular small matrix that a factor scales.</summary>
    internal sealed record Scaled(Func<HeatFactors, double> Factor, double[] Matrix);

    /// <summary>Input of a film group through one sink.</summary>
    internal sealed record Input(FilmGroup Group, IReadOnlyList<SignalShare> Sink, double[] Vector);

    /// <summary>Input of radiating surroundings, per K⁴.</summary>
    internal sealed record RadiantInput(IReadOnlyList<SignalShare> Sink, double[] Vector);

    /// <summary>Melting tiles of one range, and the points in them whose temperatures say how much of a tile is liquid.</summary>
    /// <param name="Law">Melting range.</param>
    /// <param name="Heat">Latent heat of the tiles through the shapes [J], tiles × states.</param>
    /// <param name="Points">Shapes at the points, points × states.</param>
    /// <param name="TileOf">Tile of each point.</param>
    /// <param name="Weights">Share of its tile's latent heat that a point stands for.</param>
    internal sealed record Tiles(Melting Law, double[] Heat, double[] Points, int[] TileOf, double[] Weights)
    {
        /// <summary>Number of tiles.</summary>
        public int Count => TileOf.Length == 0 ? 0 : TileOf[^1] + 1;
    }

    /// <summary>What <see cref="ReducedBuilder"/> makes.</summary>
    internal sealed record Parts(
        int States,
        double StartC,
        double[] Conduction,
        IReadOnlyList<Scaled> Conductances,
        IReadOnlyList<Scaled> Capacities,
        IReadOnlyList<Input> Inputs,
        IReadOnlyList<RadiantInput> RadiantInputs,
        double[] RadiantLinear,
        double[] RadiantLinearStart,
        double[] RadiantPoints,
        double[] RadiantWeights,
        IReadOnlyList<Tiles> Meltings,
        double[] Outputs,
        int OutputCount
    );

    private const double MeanRadiatingK = 400;
    private const double EdgeDeltaK = 1e-4;
    private const int MaxRounds = 60;
    private readonly Parts parts;
    private readonly double stepS;

    internal ReducedModel(Parts parts, double stepS)
    {
        this.parts = parts;
        this.stepS = stepS;
    }

    /// <summary>Number of shapes.</summary>
    public int States => parts.States;

    /// <summary>Number of places that are read.</summary>
    public int OutputCount => parts.OutputCount;

    /// <summary>Time step [s].</summary>
    public double StepS => stepS;

    /// <summary>Runs the model.</summary>
    /// <param name="signals">Signals by the case's names.</param>
    /// <param name="durationS">How long [s].</param>
    /// <param name="factors">What is scaled.</param>
    /// <returns>Temperatures by place, then step, start included [°C]; empty where the melting iteration did not end.</returns>
    public double[][] Run(IReadOnlyList<HeatSignal> signals, double durationS, HeatFactors factors)
    {
        int steps = Math.Max(1, (int)Math.Round(durationS / stepS));
        HeatCase heat = new("", parts.StartC, durationS, [], [], [], signals, [], []);
        DriveValues drive = new(heat, stepS, steps, factors);
        return new Run1(this, drive, factors, steps).March();
    }

    // One run with its own scratch space.
    private sealed class Run1
    {
        private readonly ReducedModel model;
        private readonly Parts parts;
        private readonly DriveValues drive;
        private readonly HeatFactors factors;
        private readonly int steps;
        private readonly int n;
        private readonly double startK;
        private readonly double[] stiffness;
        private readonly double[] capacity;
        private readonly bool capacityIsUnit;
        private readonly double[] startLoad;
        private readonly double[][] liquid;
        private readonly byte[][] phases;
        private readonly double[] pointK;
        private readonly double[] pointValue;
        private bool failed;

        public Run1(ReducedModel model, DriveValues drive, HeatFactors factors, int steps)
        {
            this.model = model;
            this.drive = drive;
            this.factors = factors;
            this.steps = steps;
            parts = model.parts;
            n = parts.States;
            startK = Units.Kelvin(parts.StartC);
            stiffness = (double[])parts.Conduction.Clone();
            foreach (Scaled part in parts.Conductances)
            {
                double factor = part.Factor(factors);
                if (factor != 0)
                {
                    Dense.AddScaled(stiffness, factor, part.Matrix);
                }
            }
            Dense.AddScaled(stiffness, factors.RadiationFactor, parts.RadiantLinear);
            capacity = new double[n * n];
            for (int i = 0; i < n; i++)
            {
                capacity[i * n + i] = 1;
            }
            capacityIsUnit = true;
            foreach (Scaled part in parts.Capacities)
            {
                double factor = part.Factor(factors);
                if (factor != 0)
                {
                    Dense.AddScaled(capacity, factor, part.Matrix);
                    capacityIsUnit = false;
                }
            }
            // Films act on the whole temperature, the shapes only on the rise: the start's share goes to the load.
            startLoad = new double[n];
            for (int i = 0; i < parts.Inputs.Count; i++)
            {
                Dense.AddScaled(
                    startLoad,
                    -FullModel.FilmFactor(factors, parts.Inputs[i].Group) * startK,
                    parts.Inputs[i].Vector
                );
            }
            int points = parts.RadiantPoints.Length / Math.Max(1, n);
            pointK = new double[points];
            pointValue = new double[points];
            liquid = [.. parts.Meltings.Select(tiles => new double[tiles.Count])];
            phases = [.. parts.Meltings.Select(tiles => new byte[tiles.TileOf.Length])];
        }

        public double[][] March()
        {
            double[] before = new double[n];
            double[] now = new double[n];
            double[] ahead = new double[n];
            double[] next = new double[n];
            double[] right = new double[n];
            double[] mass = new double[n];
            double[] old = new double[n];
            double[][] read = [.. Enumerable.Range(0, parts.OutputCount).Select(_ => new double[steps + 1])];
            foreach (double[] values in read)
            {
                values[0] = parts.StartC;
            }
            double[] outputs = new double[parts.OutputCount];
            DenseLu first = new(System(1), n);
            double[] inverse = new DenseLu(System(1.5), n).Inverse();
            double[][] melted = [.. parts.Meltings.Select(tiles => MeltResponse(tiles, inverse))];
            double[][] gains = [.. parts.Meltings.Select((tiles, m) => Gains(tiles, melted[m]))];
            for (int step = 1; step <= steps; step++)
            {
                bool euler = step == 1;
                for (int i = 0; i < n; i++)
                {
                    ahead[i] = euler ? now[i] : 2 * now[i] - before[i];
                    old[i] = euler ? now[i] : 2 * now[i] - 0.5 * before[i];
                }
                if (capacityIsUnit)
                {
                    old.CopyTo(mass, 0);
                }
                else
                {
                    Dense.Multiply(capacity, old, mass);
                }
                for (int i = 0; i < n; i++)
                {
                    right[i] = mass[i] / model.stepS + startLoad[i];
                }
                Load(step, ahead, right);
                if (euler)
                {
                    first.Solve(right, next);
                }
                else
                {
                    Dense.Multiply(inverse, right, next);
                }
                for (int m = 0; m < parts.Meltings.Count && !euler; m++)
                {
                    Melt(m, melted[m], gains[m], next);
                }
                (before, now, next) = (now, next, before);
                Dense.Multiply(parts.Outputs, now, outputs);
                for (int p = 0; p < outputs.Length; p++)
                {
                    read[p][step] = parts.StartC + outputs[p];
                }
            }
            return failed ? [] : read;
        }

        private double[] System(double capacityNumber)
        {
            double[] system = (double[])stiffness.Clone();
            Dense.AddScaled(system, capacityNumber / model.stepS, capacity);
            return system;
        }

        private void Load(int step, double[] ahead, double[] right)
        {
            foreach (Input input in parts.Inputs)
            {
                double sink = Units.Kelvin(drive.SinkC(input.Sink, step));
                Dense.AddScaled(right, FullModel.FilmFactor(factors, input.Group) * sink, input.Vector);
            }
            foreach (RadiantInput input in parts.RadiantInputs)
            {
                double sink = Units.Kelvin(drive.SinkC(input.Sink, step));
                Dense.AddScaled(right, factors.RadiationFactor * sink * sink * sink * sink, input.Vector);
            }
            if (pointK.Length == 0)
            {
                return;
            }
            // −c(T⁴ − 4T_m³T) at the points; the linear part stands in the matrix and, for the start, in its own vector.
            Dense.Multiply(parts.RadiantPoints, ahead, pointK);
            const double Linear = 4 * MeanRadiatingK * MeanRadiatingK * MeanRadiatingK;
            for (int p = 0; p < pointK.Length; p++)
            {
                double k = startK + pointK[p];
                pointValue[p] = k * k * k * k - Linear * k;
            }
            for (int i = 0; i < n; i++)
            {
                right[i] -=
                    factors.RadiationFactor
                    * (
                        Dense.Dot(parts.RadiantWeights.AsSpan(i * pointK.Length, pointK.Length), pointValue)
                        + parts.RadiantLinearStart[i]
                    );
            }
        }

        // States per joule per second of each tile, tiles × states.
        private double[] MeltResponse(Tiles tiles, double[] inverse)
        {
            double[] response = new double[tiles.Count * n];
            for (int z = 0; z < tiles.Count; z++)
            {
                Dense.Multiply(inverse, tiles.Heat.AsSpan(z * n, n), response.AsSpan(z * n, n));
            }
            return response;
        }

        // Fall of each point when a tile melts in one step, points × tiles [K].
        private double[] Gains(Tiles tiles, double[] response)
        {
            int points = tiles.TileOf.Length;
            double[] gains = new double[points * tiles.Count];
            for (int q = 0; q < points; q++)
            {
                for (int z = 0; z < tiles.Count; z++)
                {
                    gains[q * tiles.Count + z] =
                        Dense.Dot(tiles.Points.AsSpan(q * n, n), response.AsSpan(z * n, n)) / model.stepS;
                }
            }
            return gains;
        }

        // T_q = free_q − Σ G_qz (f_z − f_z,old), f_z = Σ w_q f(T_q); the states follow from the shares.
        private void Melt(int m, double[] response, double[] gains, double[] state)
        {
            Tiles tiles = parts.Meltings[m];
            byte[] phase = phases[m];
            double[] old = liquid[m];
            int count = tiles.Count;
            double low = tiles.Law.SolidusC - parts.StartC;
            double range = tiles.Law.LiquidusC - tiles.Law.SolidusC;
            double[] free = new double[phase.Length];
            Dense.Multiply(tiles.Points, state, free);
            bool active = false;
            for (int q = 0; q < free.Length && !active; q++)
            {
                active = PhaseOf(free[q], low, range) != phase[q] || phase[q] == 1;
            }
            if (!active)
            {
                return;
            }
            double[] system = new double[count * count];
            double[] shares = new double[count];
            double[] load = new double[count];
            double[] temperature = new double[free.Length];
            for (int q = 0; q < free.Length; q++)
            {
                free[q] += Dense.Dot(gains.AsSpan(q * count, count), old);
            }
            bool fits = false;
            for (int round = 0; round < MaxRounds && !fits; round++)
            {
                Array.Clear(system);
                Array.Clear(load);
                for (int z = 0; z < count; z++)
                {
                    system[z * count + z] = 1;
                }
                for (int q = 0; q < free.Length; q++)
                {
                    int z = tiles.TileOf[q];
                    if (phase[q] == 1)
                    {
                        double share = tiles.Weights[q] / range;
                        load[z] += share * (free[q] - low);
                        Dense.AddScaled(system.AsSpan(z * count, count), share, gains.AsSpan(q * count, count));
                    }
                    else if (phase[q] == 2)
                    {
                        load[z] += tiles.Weights[q];
                    }
                }
                new DenseLu(system, count).Solve(load, shares);
                fits = true;
                for (int q = 0; q < free.Length; q++)
                {
                    temperature[q] = free[q] - Dense.Dot(gains.AsSpan(q * count, count), shares);
                    byte wanted = PhaseOf(temperature[q], low, range);
                    if (
                        wanted != phase[q]
                        && Math.Abs(temperature[q] - low) > EdgeDeltaK
                        && Math.Abs(temperature[q] - low - range) > EdgeDeltaK
                    )
                    {
                        phase[q] = (byte)(wanted > phase[q] ? phase[q] + 1 : phase[q] - 1);
                        fits = false;
                    }
                }
            }
            failed |= !fits;
            for (int z = 0; z < count; z++)
            {
                double taken = (shares[z] - old[z]) / model.stepS;
                if (taken != 0)
                {
                    Dense.AddScaled(state, -taken, response.AsSpan(z * n, n));
                }
                old[z] = shares[z];
            }
        }

        private static byte PhaseOf(double riseK, double low, double range)
        {
            if (riseK < low)
            {
                return 0;
            }
            return riseK > low + range ? (byte)2 : (byte)1;
        }
    }
}
