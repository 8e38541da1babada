using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Heat;

/// <summary>Heat that went in, out and is stored at the end of a run; what is left over is the error.</summary>
/// <param name="TakenUpJ">Heat stored in capacity and melt at the end [J].</param>
/// <param name="FlowedInJ">Net heat through all faces, integrated over the run [J].</param>
/// <param name="TurnoverJ">Sum of the sizes of the in- and outflows of each film and patch [J].</param>
public sealed record EnergyBalance(double TakenUpJ, double FlowedInJ, double TurnoverJ)
{
    /// <summary>Heat that is not accounted for, as share of the turnover.</summary>
    public double ImbalanceFraction => TurnoverJ > 0 ? Math.Abs(TakenUpJ - FlowedInJ) / TurnoverJ : 0;
}

/// <summary>One run of the full model.</summary>
internal sealed record FullRun(
    double StepS,
    double[][] ProbesC,
    double[] FinalC,
    EnergyBalance Energy,
    bool Converged,
    long Iterations,
    double LargestResidualDeltaK
);

/// <summary>
/// The full model in time: second-order backward differences of fixed step, radiation as T⁴ extrapolated in time with its
/// linear part kept implicit, melting heat by an active-set iteration, one symmetric solve a step.
/// </summary>
/// <remarks>
/// (1.5 C/Δt + K + F + H) T⁺ = C/Δt (2T − ½T⁻) + F u⁺ + Σ c(Tₑ⁴ − T*⁴) + H T* with T* = 2T − T⁻, c = εσA, H = 4 T_m³ c,
/// T_m = 400 K fixed. The first step is backward Euler. Liquid shares f of the melting nodes add latent·(f(T⁺) − f)/Δt;
/// each node is solid, melting or liquid, and the set is changed until it fits, one class at a time (it ends: the matrix
/// is an M-matrix and f is monotone). Freezing follows the same law; undercooling is not modelled.
/// </remarks>
internal sealed class FullModel
{
    private const double MeanRadiatingK = 400;
    private const double ToleranceDeltaK = 1e-4;
    private const double RoughDeltaK = 3e-3;
    private const double EdgeDeltaK = 3e-3;
    private const int MaxIterations = 400;
    private const int MaxMeltingRounds = 40;

    private readonly HeatNetwork network;
    private readonly HeatCase heat;
    private readonly HeatFactors factors;
    private readonly double stepS;
    private readonly double[] radiating;
    private readonly double[] baseDiagonal;
    private readonly SevenPointMatrix matrix;
    private readonly ConjugateGradients solver;
    private readonly byte[][] phases;
    private readonly double[][] liquid;
    private readonly double[] meltLoad;
    private DiagonalOf diagonalOf = DiagonalOf.Base;
    private long iterations;
    private double largestResidual;

    private FullModel(HeatNetwork network, HeatCase heat, HeatFactors factors, double stepS)
    {
        this.network = network;
        this.heat = heat;
        this.factors = factors;
        this.stepS = stepS;
        radiating = new double[network.Count];
        foreach (HeatNetwork.RadiationTerm term in network.Radiation)
        {
            for (int e = 0; e < term.Nodes.Length; e++)
            {
                radiating[term.Nodes[e]] += 4 * Math.Pow(MeanRadiatingK, 3) * factors.RadiationFactor * term.WPerK4[e];
            }
        }
        baseDiagonal = Diagonal(1.5);
        matrix = network.Conduction.WithDiagonal(baseDiagonal);
        solver = new ConjugateGradients(matrix);
        meltLoad = network.Meltings.Count > 0 ? new double[network.Count] : [];
        phases = [.. network.Meltings.Select(term => new byte[term.Nodes.Length])];
        liquid = [.. network.Meltings.Select(term => new double[term.Nodes.Length])];
    }

    // Whose diagonal the factorised matrix has: melting nodes add to it.
    private enum DiagonalOf
    {
        Base,
        Melting,
        Neither,
    }

    /// <summary>Called at every step's end with its number and the field [K].</summary>
    public delegate void StepDone(int step, ReadOnlySpan<double> fieldK);

    /// <summary>Runs a case.</summary>
    /// <param name="network">The case laid out; conductivities and capacities carry their factors already.</param>
    /// <param name="heat">The case: signals, start, duration.</param>
    /// <param name="factors">Film, radiation, gas and lag factors.</param>
    /// <param name="stepS">Time step [s].</param>
    /// <param name="probes">Points to record at every step.</param>
    /// <param name="stepDone">Called at the start and after each step; null for none.</param>
    /// <param name="doneFraction">Share of the run done.</param>
    /// <param name="cancel">Stops between steps.</param>
    /// <returns>The run; where a solve failed it ends there with <c>Converged</c> false.</returns>
    public static FullRun Run(
        HeatNetwork network,
        HeatCase heat,
        HeatFactors factors,
        double stepS,
        FieldSampler probes,
        StepDone? stepDone,
        IProgress<double>? doneFraction,
        CancellationToken cancel
    ) => new FullModel(network, heat, factors, stepS).March(probes, stepDone, doneFraction, cancel);

    private double Factor(FilmGroup group) => FilmFactor(factors, group);

    /// <summary>The factor of a film group.</summary>
    public static double FilmFactor(HeatFactors factors, FilmGroup group) =>
        group switch
        {
            FilmGroup.Top => factors.TopFactor,
            FilmGroup.Spill => factors.SpillFactor,
            FilmGroup.Bottom => factors.BottomFactor,
            _ => factors.AmbientFactor,
        };

    private double[] Diagonal(double capacityNumber)
    {
        double[] diagonal = new double[network.Count];
        for (int i = 0; i < diagonal.Length; i++)
        {
            diagonal[i] =
                network.Conduction.Diagonal[i] + capacityNumber / stepS * network.CapacityJPerK[i] + radiating[i];
        }
        foreach (HeatNetwork.FilmTerm film in network.Films)
        {
            double factor = Factor(film.Group);
            for (int e = 0; e < film.Nodes.Length; e++)
            {
                diagonal[film.Nodes[e]] += factor * film.WPerK[e];
            }
        }
        return diagonal;
    }

    private FullRun March(
        FieldSampler probes,
        StepDone? stepDone,
        IProgress<double>? doneFraction,
        CancellationToken cancel
    )
    {
        int steps = Math.Max(1, (int)Math.Round(heat.DurationS / stepS));
        DriveValues drive = new(heat, stepS, steps, factors);
        int count = network.Count;
        double[] before = new double[count];
        double[] now = new double[count];
        double[] guess = new double[count];
        double[] right = new double[count];
        Array.Fill(now, Units.Kelvin(heat.StartC));
        now.CopyTo(before, 0);
        for (int m = 0; m < liquid.Length; m++)
        {
            Melting law = network.Meltings[m].Law;
            Array.Fill(liquid[m], Share(law, heat.StartC));
            Array.Fill(phases[m], Phase(law, heat.StartC));
        }
        double[][] liquidAtStart = [.. liquid.Select(values => (double[])values.Clone())];
        double[] start = (double[])now.Clone();
        double[][] read = [.. Enumerable.Range(0, probes.Count).Select(_ => new double[steps + 1])];
        Record(probes, now, read, 0);
        stepDone?.Invoke(0, now);
        double inJ = 0;
        double turnoverJ = 0;
        (double flow, double size) = Flow(drive, now, 0);
        bool converged = true;
        ConjugateGradients first = new(network.Conduction.WithDiagonal(Diagonal(1)));
        for (int step = 1; step <= steps && converged; step++)
        {
            cancel.ThrowIfCancellationRequested();
            bool euler = step == 1;
            RightHandSide(drive, step, euler, before, now, guess, right);
            converged = SolveStep(euler ? first : null, right, now, guess);
            // The oldest field makes room for the newest: before ← now ← guess.
            (before, now, guess) = (now, guess, before);
            Record(probes, now, read, step);
            stepDone?.Invoke(step, now);
            (double flowNext, double sizeNext) = Flow(drive, now, step);
            inJ += stepS * (flow + flowNext) / 2;
            turnoverJ += stepS * (size + sizeNext) / 2;
            (flow, size) = (flowNext, sizeNext);
            doneFraction?.Report((double)step / steps);
        }
        double storedJ = 0;
        for (int i = 0; i < count; i++)
        {
            storedJ += network.CapacityJPerK[i] * (now[i] - start[i]);
        }
        for (int m = 0; m < liquid.Length; m++)
        {
            for (int e = 0; e < liquid[m].Length; e++)
            {
                storedJ += network.Meltings[m].LatentJ[e] * (liquid[m][e] - liquidAtStart[m][e]);
            }
        }
        return new FullRun(
            stepS,
            read,
            now,
            new EnergyBalance(storedJ, inJ, turnoverJ),
            converged,
            iterations,
            largestResidual
        );
    }

    private void RightHandSide(
        DriveValues drive,
        int step,
        bool euler,
        double[] before,
        double[] now,
        double[] guess,
        double[] right
    )
    {
        double[] capacity = network.CapacityJPerK;
        for (int i = 0; i < now.Length; i++)
        {
            double ahead = euler ? now[i] : 2 * now[i] - before[i];
            guess[i] = ahead;
            double old = euler ? now[i] : 2 * now[i] - 0.5 * before[i];
            right[i] = capacity[i] / stepS * old + radiating[i] * ahead;
        }
        foreach (HeatNetwork.FilmTerm film in network.Films)
        {
            double drives = Factor(film.Group) * Units.Kelvin(drive.SinkC(film.Sink, step));
            for (int e = 0; e < film.Nodes.Length; e++)
            {
                right[film.Nodes[e]] += drives * film.WPerK[e];
            }
        }
        foreach (HeatNetwork.RadiationTerm patch in network.Radiation)
        {
            double sink = Fourth(Units.Kelvin(drive.SinkC(patch.Sink, step)));
            for (int e = 0; e < patch.Nodes.Length; e++)
            {
                double c = factors.RadiationFactor * patch.WPerK4[e];
                right[patch.Nodes[e]] += c * (sink - Fourth(guess[patch.Nodes[e]]));
            }
        }
    }

    // On entry the field is the extrapolation, on return the new temperatures.
    private bool SolveStep(ConjugateGradients? first, double[] right, double[] old, double[] field)
    {
        bool melts = false;
        for (int m = 0; m < phases.Length && !melts; m++)
        {
            melts = NearMelting(m, old, field);
        }
        if (!melts)
        {
            if (first is null && diagonalOf != DiagonalOf.Base)
            {
                Refactorise(baseDiagonal, DiagonalOf.Base);
            }
            return Solved((first ?? solver).Solve(right, field, ToleranceDeltaK, MaxIterations));
        }
        double[] plain = first is null ? baseDiagonal : Diagonal(1);
        bool fits = false;
        bool fine = false;
        for (int round = 0; round < MaxMeltingRounds && !fits; round++)
        {
            right.CopyTo(meltLoad, 0);
            for (int m = 0; m < phases.Length; m++)
            {
                AddMeltLoad(m, meltLoad);
            }
            // While the classes still change a rough solution shows as well which of them do not fit.
            if (diagonalOf != DiagonalOf.Melting || first is not null)
            {
                Refactorise(plain, DiagonalOf.Melting);
            }
            if (!Solved(solver.Solve(meltLoad, field, fine ? ToleranceDeltaK : RoughDeltaK, MaxIterations)))
            {
                return false;
            }
            bool same = true;
            for (int m = 0; m < phases.Length; m++)
            {
                same &= Reclassify(m, field);
            }
            if (!same)
            {
                diagonalOf = DiagonalOf.Neither;
            }
            fits = same && fine;
            fine = same;
        }
        for (int m = 0; m < phases.Length; m++)
        {
            int[] nodes = network.Meltings[m].Nodes;
            for (int e = 0; e < nodes.Length; e++)
            {
                liquid[m][e] = Share(network.Meltings[m].Law, field[nodes[e]] - Units.ZeroCelsiusK);
            }
        }
        if (first is not null)
        {
            diagonalOf = DiagonalOf.Neither;
        }
        return fits;
    }

    private void Refactorise(double[] plain, DiagonalOf kind)
    {
        plain.CopyTo(matrix.Diagonal, 0);
        if (kind == DiagonalOf.Melting)
        {
            for (int m = 0; m < phases.Length; m++)
            {
                AddMeltDiagonal(m);
            }
        }
        solver.Factorise();
        diagonalOf = kind;
    }

    private bool Solved(SolveReport report)
    {
        iterations += report.Iterations;
        largestResidual = Math.Max(largestResidual, report.ResidualNumber);
        return report.Converged;
    }

    // A degree of room, so that a step cannot pass the range unseen.
    private bool NearMelting(int m, double[] old, double[] ahead)
    {
        HeatNetwork.MeltingTerm term = network.Meltings[m];
        double low = Units.Kelvin(term.Law.SolidusC) - 1;
        double high = Units.Kelvin(term.Law.LiquidusC) + 1;
        for (int e = 0; e < term.Nodes.Length; e++)
        {
            int node = term.Nodes[e];
            double coldest = Math.Min(old[node], ahead[node]);
            double hottest = Math.Max(old[node], ahead[node]);
            if (coldest < high && hottest > low)
            {
                return true;
            }
        }
        return false;
    }

    private void AddMeltDiagonal(int m)
    {
        HeatNetwork.MeltingTerm term = network.Meltings[m];
        double range = term.Law.LiquidusC - term.Law.SolidusC;
        for (int e = 0; e < term.Nodes.Length; e++)
        {
            if (phases[m][e] == 1)
            {
                matrix.Diagonal[term.Nodes[e]] += term.LatentJ[e] / stepS / range;
            }
        }
    }

    private void AddMeltLoad(int m, double[] load)
    {
        HeatNetwork.MeltingTerm term = network.Meltings[m];
        double solidus = Units.Kelvin(term.Law.SolidusC);
        double range = term.Law.LiquidusC - term.Law.SolidusC;
        for (int e = 0; e < term.Nodes.Length; e++)
        {
            double rate = term.LatentJ[e] / stepS;
            double taken = phases[m][e] switch
            {
                1 => -solidus / range,
                2 => 1,
                _ => 0,
            };
            load[term.Nodes[e]] += rate * (liquid[m][e] - taken);
        }
    }

    private bool Reclassify(int m, double[] field)
    {
        HeatNetwork.MeltingTerm term = network.Meltings[m];
        bool fits = true;
        for (int e = 0; e < term.Nodes.Length; e++)
        {
            double temperatureC = field[term.Nodes[e]] - Units.ZeroCelsiusK;
            byte wanted = Phase(term.Law, temperatureC);
            byte held = phases[m][e];
            // Within the solver's tolerance of an end of the range both classes say the same.
            bool clear =
                Math.Abs(temperatureC - term.Law.SolidusC) > EdgeDeltaK
                && Math.Abs(temperatureC - term.Law.LiquidusC) > EdgeDeltaK;
            if (wanted != held && (clear || Math.Abs(wanted - held) > 1))
            {
                // One class at a time: solid to liquid in one go would swing back.
                phases[m][e] = wanted > held ? (byte)(held + 1) : (byte)(held - 1);
                fits = false;
            }
        }
        return fits;
    }

    private (double InW, double SizeW) Flow(DriveValues drive, double[] field, int step)
    {
        double inW = 0;
        double sizeW = 0;
        foreach (HeatNetwork.FilmTerm film in network.Films)
        {
            double sink = Units.Kelvin(drive.SinkC(film.Sink, step));
            double sum = 0;
            for (int e = 0; e < film.Nodes.Length; e++)
            {
                sum += film.WPerK[e] * (sink - field[film.Nodes[e]]);
            }
            sum *= Factor(film.Group);
            inW += sum;
            sizeW += Math.Abs(sum);
        }
        foreach (HeatNetwork.RadiationTerm patch in network.Radiation)
        {
            double sink = Fourth(Units.Kelvin(drive.SinkC(patch.Sink, step)));
            double sum = 0;
            for (int e = 0; e < patch.Nodes.Length; e++)
            {
                sum += patch.WPerK4[e] * (sink - Fourth(field[patch.Nodes[e]]));
            }
            sum *= factors.RadiationFactor;
            inW += sum;
            sizeW += Math.Abs(sum);
        }
        return (inW, sizeW);
    }

    private static void Record(FieldSampler probes, double[] field, double[][] read, int step)
    {
        for (int p = 0; p < read.Length; p++)
        {
            read[p][step] = probes.Read(field, p) - Units.ZeroCelsiusK;
        }
    }

    private static double Fourth(double k) => k * k * (k * k);

    private static double Share(Melting law, double temperatureC) =>
        Math.Clamp((temperatureC - law.SolidusC) / (law.LiquidusC - law.SolidusC), 0, 1);

    private static byte Phase(Melting law, double temperatureC)
    {
        if (temperatureC < law.SolidusC)
        {
            return 0;
        }
        return temperatureC > law.LiquidusC ? (byte)2 : (byte)1;
    }
}
