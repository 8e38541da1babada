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

    /// <summary>What <see cref="ReducedBuilder"/> makes; square matrices are symmetric, so rows are columns.</summary>
    /// <param name="States">Number of shapes.</param>
    /// <param name="StartC">Start of every run [°C].</param>
    /// <param name="Conduction">VᵀKV.</param>
    /// <param name="Conductances">Films by group, and what the conductivity factors add.</param>
    /// <param name="Capacities">What the capacity factor adds.</param>
    /// <param name="Inputs">Films' inputs.</param>
    /// <param name="RadiantInputs">Surroundings' inputs.</param>
    /// <param name="RadiantLinear">4T_m³·Vᵀ c V.</param>
    /// <param name="RadiantLinearStart">4T_m³·T₀·Vᵀc.</param>
    /// <param name="RadiantPoints">Shapes at the radiation points, one state after the other.</param>
    /// <param name="RadiantWeights">Weights of the radiation points, one point after the other.</param>
    /// <param name="Meltings">Melting tiles.</param>
    /// <param name="Outputs">Shapes at the places, one state after the other.</param>
    /// <param name="OutputCount">Number of places.</param>
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

    /// <summary>Its matrices, for those who step through it themselves.</summary>
    internal Parts Matrices => parts;

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
        return new OneRun(this, drive, factors, steps).March();
    }

    // One run with its own scratch space. Temperatures are rises over the start throughout.
    private sealed class OneRun
    {
        private readonly ReducedModel model;
        private readonly Parts parts;
        private readonly HeatFactors factors;
        private readonly int steps;
        private readonly int n;
        private readonly double startK;
        private readonly double[] stiffness;
        private readonly double[] capacity;
        private readonly bool capacityIsUnit;
        private readonly List<(double[] Rises, double[] Vector)> drives = [];
        private readonly List<(double[] FourthPowers, double[] Vector)> radiant = [];
        private readonly double[] constantLoad;
        private readonly double[] pointRises;
        private bool failed;

        public OneRun(ReducedModel model, DriveValues drive, HeatFactors factors, int steps)
        {
            this.model = model;
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
            constantLoad = new double[n];
            Dense.AddScaled(constantLoad, -factors.RadiationFactor, parts.RadiantLinearStart);
            GatherDrives(drive);
            pointRises = new double[parts.RadiantWeights.Length / n];
        }

        // One vector for each signal instead of one for each film: a sink is a sum of signals.
        private void GatherDrives(DriveValues drive)
        {
            Dictionary<string, double[]> bySignal = new(StringComparer.Ordinal);
            foreach (Input input in parts.Inputs)
            {
                double factor = FullModel.FilmFactor(factors, input.Group);
                foreach (SignalShare share in input.Sink)
                {
                    if (!bySignal.TryGetValue(share.Signal, out double[]? vector))
                    {
                        vector = new double[n];
                        bySignal[share.Signal] = vector;
                    }
                    Dense.AddScaled(vector, factor * share.ShareFraction, input.Vector);
                }
            }
            foreach ((string signal, double[] vector) in bySignal)
            {
                ReadOnlySpan<double> values = drive.Of(signal);
                double[] rises = new double[steps + 1];
                bool still = true;
                for (int k = 0; k < rises.Length; k++)
                {
                    rises[k] = values[k] - parts.StartC;
                    still &= rises[k] == 0;
                }
                if (!still)
                {
                    drives.Add((rises, vector));
                }
            }
            foreach (RadiantInput input in parts.RadiantInputs)
            {
                double[] powers = drive.SinksC(input.Sink);
                bool still = true;
                for (int k = 0; k < powers.Length; k++)
                {
                    double sink = Units.Kelvin(powers[k]);
                    powers[k] = factors.RadiationFactor * (sink * sink) * (sink * sink);
                    still &= powers[k] == powers[0];
                }
                if (still)
                {
                    Dense.AddScaled(constantLoad, powers[0], input.Vector);
                }
                else
                {
                    radiant.Add((powers, input.Vector));
                }
            }
        }

        public double[][] March()
        {
            double[] before = new double[n];
            double[] now = new double[n];
            double[] ahead = new double[n];
            double[] next = new double[n];
            double[] right = new double[n];
            double[] old = new double[n];
            double[] rises = new double[parts.OutputCount];
            double[][] read = [.. rises.Select(_ => new double[steps + 1])];
            Read(now, rises, read, 0);
            DenseLu first = new(System(1), n);
            double[] inverse = new DenseLu(System(1.5), n).Inverse();
            // Products add up columns; the inverse of a symmetric matrix is its own transpose.
            TileMelt[] melts = [.. parts.Meltings.Select(tiles => new TileMelt(tiles, n, parts.StartC))];
            foreach (TileMelt melt in melts)
            {
                melt.Follow(inverse, model.stepS);
            }
            double rate = 1 / model.stepS;
            for (int step = 1; step <= steps; step++)
            {
                bool euler = step == 1;
                for (int i = 0; i < n; i++)
                {
                    ahead[i] = euler ? now[i] : 2 * now[i] - before[i];
                    old[i] = rate * (euler ? now[i] : 2 * now[i] - 0.5 * before[i]);
                }
                constantLoad.CopyTo(right, 0);
                if (capacityIsUnit)
                {
                    Dense.AddScaled(right, 1, old);
                }
                else
                {
                    Dense.AddColumns(capacity, old, right);
                }
                Load(step, ahead, right);
                if (euler)
                {
                    first.Solve(right, next);
                }
                else
                {
                    Array.Clear(next);
                    Dense.AddColumns(inverse, right, next);
                }
                foreach (TileMelt melt in melts)
                {
                    failed |= !euler && !melt.Apply(next);
                }
                (before, now, next) = (now, next, before);
                Read(now, rises, read, step);
            }
            return failed ? [] : read;
        }

        private void Read(double[] state, double[] rises, double[][] read, int step)
        {
            Array.Clear(rises);
            Dense.AddColumns(parts.Outputs, state, rises);
            for (int p = 0; p < rises.Length; p++)
            {
                read[p][step] = parts.StartC + rises[p];
            }
        }

        private double[] System(double capacityNumber)
        {
            double[] system = (double[])stiffness.Clone();
            Dense.AddScaled(system, capacityNumber / model.stepS, capacity);
            return system;
        }

        private void Load(int step, double[] ahead, double[] right)
        {
            foreach ((double[] rises, double[] vector) in drives)
            {
                Dense.AddScaled(right, rises[step], vector);
            }
            foreach ((double[] powers, double[] vector) in radiant)
            {
                Dense.AddScaled(right, powers[step], vector);
            }
            if (pointRises.Length == 0)
            {
                return;
            }
            // −c(T⁴ − 4T_m³T) at the points; the linear part stands in the matrix and, for the start, in the constant load.
            Array.Clear(pointRises);
            Dense.AddColumns(parts.RadiantPoints, ahead, pointRises);
            const double Linear = 4 * MeanRadiatingK * MeanRadiatingK * MeanRadiatingK;
            for (int p = 0; p < pointRises.Length; p++)
            {
                double k = startK + pointRises[p];
                pointRises[p] = -factors.RadiationFactor * (k * k * (k * k) - Linear * k);
            }
            Dense.AddColumns(parts.RadiantWeights, pointRises, right);
        }
    }
}
