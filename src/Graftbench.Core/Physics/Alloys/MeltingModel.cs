namespace Graftbench.Core.Physics.Alloys;

/// <summary>Melting and freezing of mixtures of Sn, Pb, Ag, Cu and Bi from published Gibbs energies.</summary>
/// <remarks>
/// Kattner, NIST collection of solder alloys, state of 30 Nov 1999 (<c>data/solder-gibbs.csv</c> names each assessment).
/// Holds for 350 to 700 K, at most 5 % silver and 2 % copper. Known biases: solidus of tin-rich eutectics 0.7 to 2 K low,
/// of Sn-Bi-Pb 2 to 3 K high. Undercooling, gold, nickel and the pads' own copper are left out.
/// </remarks>
public sealed partial class MeltingModel
{
    /// <summary>Lowest temperature that is searched [K].</summary>
    internal const double LowK = 330;

    /// <summary>Highest temperature that is searched [K].</summary>
    internal const double HighK = 1000;

    /// <summary>Lowest temperature that is searched [°C].</summary>
    internal const double LowC = LowK - Units.ZeroCelsiusK;

    /// <summary>Highest temperature that is searched [°C].</summary>
    internal const double HighC = HighK - Units.ZeroCelsiusK;

    private const double ClosenessK = 0.003;
    private const double LiquidTrace = 1e-6;
    private const double PocketStrideK = 4;
    private readonly double[] moles;
    private readonly PhaseSolver solver;
    private MeltPoint? liquidus;
    private MeltPoint? solidus;

    /// <summary>Takes a composition.</summary>
    /// <param name="mix">Composition; it must be inside the model, see <see cref="OutsideModel"/>.</param>
    /// <exception cref="ArgumentException">The composition is outside the model.</exception>
    public MeltingModel(SolderMix mix)
    {
        ArgumentNullException.ThrowIfNull(mix);
        if (OutsideModel(mix) is string why)
        {
            throw new ArgumentException(why, nameof(mix));
        }
        Mix = mix.Whole();
        moles = Mix.MoleFractions();
        solver = new PhaseSolver(moles);
    }

    /// <summary>The composition.</summary>
    public SolderMix Mix { get; }

    /// <summary>Why the model has no answer for a composition; null where it has one.</summary>
    /// <param name="mix">Composition.</param>
    public static string? OutsideModel(SolderMix mix)
    {
        ArgumentNullException.ThrowIfNull(mix);
        double[] shares =
        [
            mix.TinPercent,
            mix.LeadPercent,
            mix.SilverPercent,
            mix.CopperPercent,
            mix.BismuthPercent,
            mix.IndiumPercent,
        ];
        if (shares.Any(share => !(share >= 0 && share <= 1e6)) || !(shares.Sum() > 0))
        {
            return "Every share must be a number from 0 on, and one of them above 0.";
        }
        double sum = shares.Sum();
        if (mix.IndiumPercent > 0)
        {
            return $"Indium ({100 * mix.IndiumPercent / sum:0.##} %) is not in the melting model, which knows tin, lead, silver, copper and bismuth (collection of Kattner, NIST, 1999).";
        }
        if (mix.SilverPercent > 5.0001 * sum / 100)
        {
            return $"Silver is {100 * mix.SilverPercent / sum:0.##} %, over the 5 % up to which the published parameters are used here (collection of Kattner, NIST, 1999).";
        }
        return mix.CopperPercent > 2.0001 * sum / 100
            ? $"Copper is {100 * mix.CopperPercent / sum:0.##} %, over the 2 % up to which the published parameters are used here (collection of Kattner, NIST, 1999)."
            : null;
    }

    /// <summary>Last crystal gone on heating, with the phase that forms first on cooling.</summary>
    /// <returns>With its error (<see cref="MeltErrors"/>): 3 to 6 K, 10 K and more where a compound with a steep surface forms first.</returns>
    public MeltPoint Liquidus() => liquidus ??= FindLiquidus();

    /// <summary>First melt on heating, in equilibrium, with its error; a bias of about -1 K for tin-rich eutectics.</summary>
    public MeltPoint Solidus() => solidus ??= FindSolidus();

    /// <summary>Temperature above which at most 1 % by mass is solid, with its error: 3 K for common solders.</summary>
    public MeltPoint FullMelt()
    {
        if (Liquidus().ValueC is not double top)
        {
            return Liquidus();
        }
        return Falling(
            LowK,
            Units.Kelvin(top) + 0.01,
            balance => 0.99 - balance.LiquidFraction,
            MeltErrors.TopDeltaK(Mix, steep: false)
        );
    }

    /// <summary>Phases at a temperature, in equilibrium.</summary>
    /// <param name="temperatureC">Temperature [°C], 57 to 727.</param>
    public PhaseBalance At(double temperatureC)
    {
        Require.Within(temperatureC, LowK - Units.ZeroCelsiusK - 1, HighK - Units.ZeroCelsiusK);
        return Balance(Units.Kelvin(temperatureC));
    }

    private MeltPoint FindLiquidus()
    {
        // Strides downward until a solid wants to form, then the crossing by secant inside a bracket.
        double above = HighK;
        double belowK = 0;
        int solid = -1;
        double[] place = [];
        double lowForce = 0;
        double highForce = solver.DrivingForceJ(above, out solid, out place);
        if (highForce >= 0)
        {
            return MeltPoint.None($"It is not all liquid at {HighK - Units.ZeroCelsiusK:0} °C, where the search ends.");
        }
        for (double at = 700; ; at -= 20)
        {
            double force = solver.DrivingForceJ(at, out solid, out place);
            if (force >= 0)
            {
                (belowK, lowForce) = (at, force);
                break;
            }
            (above, highForce) = (at, force);
            if (at < LowK)
            {
                return MeltPoint.None($"It is all liquid at {LowK - Units.ZeroCelsiusK:0} °C, where the model ends.");
            }
        }
        for (int step = 0; step < 60 && above - belowK > ClosenessK; step++)
        {
            double at =
                step % 4 == 3 ? (above + belowK) / 2 : belowK + (above - belowK) * lowForce / (lowForce - highForce);
            // A hair beyond the guess, so that both ends close in.
            at += (step % 2 == 0 ? 0.4 : -0.4) * ClosenessK;
            at = Math.Clamp(at, belowK + 0.1 * (above - belowK) * 1e-2, above - 0.1 * (above - belowK) * 1e-2);
            double force = solver.DrivingForceJ(at, out int which, out double[] where);
            if (force >= 0)
            {
                (belowK, lowForce, solid, place) = (at, force, which, where);
            }
            else
            {
                (above, highForce) = (at, force);
            }
        }
        SolderPhase phase = Name(solid, place);
        bool steep = phase is SolderPhase.Ag3Sn or SolderPhase.Cu6Sn5 or SolderPhase.Cu3Sn;
        return new MeltPoint(
            (above + belowK) / 2 - Units.ZeroCelsiusK,
            MeltErrors.TopDeltaK(Mix, steep),
            phase,
            0,
            null
        );
    }

    private MeltPoint FindSolidus()
    {
        if (Liquidus().ValueC is not double top)
        {
            return Liquidus();
        }
        MeltPoint found = FirstMelt(Units.Kelvin(top) + 0.01);
        // Tin takes up more bismuth and lead as it warms: a first trace of melt may be gone again tens of degrees higher.
        if (moles.Count(x => x > 0) > 2 && found.ValueC is double upper)
        {
            for (double at = LowK + PocketStrideK; at < Units.Kelvin(upper); at += PocketStrideK)
            {
                if (Balance(at) is { Converged: true } balance && balance.LiquidFraction > LiquidTrace)
                {
                    return FirstMelt(at);
                }
            }
        }
        return found;
    }

    private MeltPoint FirstMelt(double highK) =>
        Falling(LowK, highK, balance => LiquidTrace - balance.LiquidFraction, MeltErrors.FirstDeltaK(Mix));

    // Crossing of a falling figure; it may jump, so every other step halves.
    private MeltPoint Falling(double lowK, double highK, Func<PhaseBalance, double> figure, double errorDeltaK)
    {
        PhaseBalance high = Balance(highK);
        PhaseBalance low = Balance(lowK);
        if (!high.Converged || !low.Converged)
        {
            return NotFound(high.Converged ? low : high);
        }
        double highFigure = figure(high);
        double lowFigure = figure(low);
        double residualJ = Math.Max(high.ResidualJ, low.ResidualJ);
        if (lowFigure <= 0)
        {
            return MeltPoint.None(
                $"Some of it is still liquid at {lowK - Units.ZeroCelsiusK:0} °C, where the model ends."
            );
        }
        for (int step = 0; step < 60 && highK - lowK > ClosenessK; step++)
        {
            double share = step % 2 == 0 ? 0.5 : Math.Clamp(lowFigure / (lowFigure - highFigure), 0.02, 0.98);
            double at = lowK + share * (highK - lowK);
            PhaseBalance balance = Balance(at);
            if (!balance.Converged)
            {
                return NotFound(balance);
            }
            residualJ = Math.Max(residualJ, balance.ResidualJ);
            double value = figure(balance);
            if (value > 0)
            {
                (lowK, lowFigure) = (at, value);
            }
            else
            {
                (highK, highFigure) = (at, value);
            }
        }
        return new MeltPoint((lowK + highK) / 2 - Units.ZeroCelsiusK, errorDeltaK, null, residualJ, null);
    }

    private static MeltPoint NotFound(PhaseBalance balance) =>
        MeltPoint.None(
            $"The phases at {balance.TemperatureC:0.0} °C were not found (residual {balance.ResidualJ:0.###} J/mol), so there is no figure.",
            balance.ResidualJ
        );

    private PhaseBalance Balance(double temperatureK)
    {
        double temperatureC = temperatureK - Units.ZeroCelsiusK;
        if (!solver.Solve(temperatureK))
        {
            return new PhaseBalance(temperatureC, false, solver.ResidualJ, 0, []);
        }
        double whole = MeanMass(moles);
        List<PhaseShare> shares =
        [
            .. solver
                .Found.Where(each => each.Amount > 0)
                .Select(each => new PhaseShare(
                    Name(each.Phase, each.Place),
                    each.Amount * MeanMass(each.Place) / whole,
                    SolderMix.OfMoles(each.Place)
                ))
                .OrderByDescending(share => share.MassFraction),
        ];
        double liquid = shares.Where(share => share.Phase == SolderPhase.Liquid).Sum(share => share.MassFraction);
        return new PhaseBalance(temperatureC, true, solver.ResidualJ, Math.Clamp(liquid, 0, 1), shares);
    }

    private static double MeanMass(ReadOnlySpan<double> x) => GibbsState.Dot(x, GibbsTable.Shared.MolarMass);

    private static SolderPhase Name(int phase, ReadOnlySpan<double> x) =>
        phase switch
        {
            0 => SolderPhase.Liquid,
            1 => SolderPhase.Tin,
            2 => x[0] > 0.5 ? SolderPhase.Silver
            : x[2] > 0.5 ? SolderPhase.Copper
            : SolderPhase.Lead,
            3 => SolderPhase.Hexagonal,
            4 => SolderPhase.Bismuth,
            5 => SolderPhase.Ag3Sn,
            6 => SolderPhase.Cu3Sn,
            _ => SolderPhase.Cu6Sn5,
        };
}
