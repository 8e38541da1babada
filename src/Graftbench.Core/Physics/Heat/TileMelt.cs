using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Heat;

/// <summary>
/// Melting of one range's tiles in a step of a reduced model: T_q = free_q − Σ G_qz (f_z − f_z,old), f_z = Σ w_q f(T_q); the
/// states follow from the shares. Active-set iteration as in <see cref="FullModel"/>. One object follows one run.
/// </summary>
internal sealed class TileMelt
{
    private const double EdgeDeltaK = 1e-4;
    private const double FastestKPerS = 10;
    private const int PatientRounds = 12;
    private const int MaxRounds = 26;

    private readonly ReducedModel.Tiles tiles;
    private readonly int n;
    private readonly int count;
    private readonly double low;
    private readonly double range;
    private readonly double[] old;
    private readonly byte[] phase;
    private readonly double[] response;
    private readonly double[] gains;
    private readonly double[] free;
    private readonly double[] temperature;
    private readonly double[] system;
    private readonly double[] load;
    private readonly double[] shares;
    private readonly DenseLu lu;
    private double perS = 1;
    private int restingSteps;
    private bool gainsReady;
    private bool unsettled;

    /// <summary>All solid at the start.</summary>
    /// <param name="tiles">Tiles of one melting range.</param>
    /// <param name="states">Number of shapes.</param>
    /// <param name="startC">Start of the reduced model, from which rises count [°C].</param>
    public TileMelt(ReducedModel.Tiles tiles, int states, double startC)
    {
        this.tiles = tiles;
        n = states;
        count = tiles.Count;
        low = tiles.Law.SolidusC - startC;
        range = tiles.Law.LiquidusC - tiles.Law.SolidusC;
        int points = tiles.TileOf.Length;
        old = new double[count];
        phase = new byte[points];
        response = new double[count * n];
        gains = new double[points * count];
        free = new double[points];
        temperature = new double[points];
        system = new double[count * count];
        load = new double[count];
        shares = new double[count];
        lu = new DenseLu(new double[count * count], count);
    }

    /// <summary>Liquid share of each tile, 0 to 1.</summary>
    public ReadOnlySpan<double> LiquidFraction => old;

    /// <summary>Takes over another step matrix.</summary>
    /// <param name="inverse">Inverse of the step's symmetric matrix.</param>
    /// <param name="divisorS">What a joule taken up in a step is divided by to stand beside that matrix [s].</param>
    public void Follow(double[] inverse, double divisorS)
    {
        perS = divisorS;
        gainsReady = false;
        restingSteps = 0;
        for (int z = 0; z < count; z++)
        {
            Dense.Multiply(inverse, tiles.Heat.AsSpan(z * n, n), response.AsSpan(z * n, n));
        }
    }

    /// <summary>Takes other shares for those that the next step starts from, as a later stage of a step needs.</summary>
    /// <param name="fractions">One for each tile; may lie beyond 0 and 1.</param>
    public void StartFrom(ReadOnlySpan<double> fractions)
    {
        fractions.CopyTo(old);
        unsettled = true;
        restingSteps = 0;
    }

    /// <summary>Takes the shares that a state has, where it was not reached by steps.</summary>
    /// <param name="state">Rises through the shapes.</param>
    public void Settle(ReadOnlySpan<double> state)
    {
        Array.Clear(old);
        unsettled = false;
        for (int q = 0; q < free.Length; q++)
        {
            double rise = Dense.Dot(tiles.Points.AsSpan(q * n, n), state);
            phase[q] = PhaseOf(rise);
            old[tiles.TileOf[q]] += tiles.Weights[q] * Math.Clamp((rise - low) / range, 0, 1);
        }
        restingSteps = 0;
    }

    /// <summary>Adds ∂(heat taken up)/∂(state), tiles by tiles a matrix of rank one: rows of heat times means of melting points.</summary>
    /// <param name="state">Rises through the shapes.</param>
    /// <param name="capacity">States × states, row by row; added to.</param>
    /// <returns>Whether any point melts there.</returns>
    public bool AddCapacity(ReadOnlySpan<double> state, double[] capacity)
    {
        bool any = false;
        for (int q = 0; q < free.Length; q++)
        {
            ReadOnlySpan<double> point = tiles.Points.AsSpan(q * n, n);
            double rise = Dense.Dot(point, state);
            if (rise < low || rise > low + range)
            {
                continue;
            }
            any = true;
            ReadOnlySpan<double> heat = tiles.Heat.AsSpan(tiles.TileOf[q] * n, n);
            for (int i = 0; i < n; i++)
            {
                Dense.AddScaled(capacity.AsSpan(i * n, n), tiles.Weights[q] / range * heat[i], point);
            }
        }
        return any;
    }

    /// <summary>Corrects a step's new state by what melts or freezes in it.</summary>
    /// <param name="state">State as if nothing melted; corrected.</param>
    /// <returns>False where the classes could not be made to fit.</returns>
    public bool Apply(double[] state)
    {
        if (restingSteps-- > 0)
        {
            return true;
        }
        Dense.Multiply(tiles.Points, state, free);
        bool active = unsettled;
        unsettled = false;
        double nearestK = double.PositiveInfinity;
        for (int q = 0; q < free.Length; q++)
        {
            active |= PhaseOf(free[q]) != phase[q] || phase[q] == 1;
            nearestK = Math.Min(nearestK, free[q] < low ? low - free[q] : free[q] - low - range);
        }
        if (!active)
        {
            // No joint follows any bench this fast, so none can reach the range before the next look.
            restingSteps = (int)(nearestK / (FastestKPerS * perS)) - 1;
            return true;
        }
        MakeGains();
        for (int q = 0; q < free.Length; q++)
        {
            free[q] += Dense.Dot(gains.AsSpan(q * count, count), old);
        }
        bool fits = false;
        for (int round = 0; round < MaxRounds && !fits; round++)
        {
            SolveShares();
            // Should a class swing to and fro, a small misfit is let pass rather than the run given up.
            fits = Reclassify(EdgeDeltaK * (round < PatientRounds ? 1 : Math.ScaleB(1, round - PatientRounds)));
        }
        for (int z = 0; z < count; z++)
        {
            double taken = (shares[z] - old[z]) / perS;
            if (taken != 0)
            {
                Dense.AddScaled(state, -taken, response.AsSpan(z * n, n));
            }
            old[z] = shares[z];
        }
        return fits;
    }

    // Fall of each point when a tile melts in one step, points × tiles [K].
    private void MakeGains()
    {
        if (gainsReady)
        {
            return;
        }
        gainsReady = true;
        for (int q = 0; q < free.Length; q++)
        {
            for (int z = 0; z < count; z++)
            {
                gains[q * count + z] = Dense.Dot(tiles.Points.AsSpan(q * n, n), response.AsSpan(z * n, n)) / perS;
            }
        }
    }

    private void SolveShares()
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
        lu.Factorise(system);
        lu.Solve(load, shares);
    }

    private bool Reclassify(double edgeDeltaK)
    {
        bool fits = true;
        for (int q = 0; q < free.Length; q++)
        {
            temperature[q] = free[q] - Dense.Dot(gains.AsSpan(q * count, count), shares);
            byte wanted = PhaseOf(temperature[q]);
            if (
                wanted != phase[q]
                && Math.Abs(temperature[q] - low) > edgeDeltaK
                && Math.Abs(temperature[q] - low - range) > edgeDeltaK
            )
            {
                phase[q] = (byte)(wanted > phase[q] ? phase[q] + 1 : phase[q] - 1);
                fits = false;
            }
        }
        return fits;
    }

    private byte PhaseOf(double riseK)
    {
        if (riseK < low)
        {
            return 0;
        }
        return riseK > low + range ? (byte)2 : (byte)1;
    }
}
