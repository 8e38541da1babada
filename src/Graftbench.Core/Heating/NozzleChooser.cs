using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>A nozzle with what a quick run of a usual schedule shows.</summary>
/// <param name="Nozzle">The nozzle.</param>
/// <param name="Opening">Its opening over the board.</param>
/// <param name="Listed">Whether the bench has it.</param>
/// <param name="OverhangMm">How far it reaches beyond the chip on its shortest side.</param>
/// <param name="SpreadDeltaK">Spread over the joints, brought to the wanted melt.</param>
/// <param name="WorstNeighbour">Margin of the neighbour with the least room, in uncertainties, brought to the wanted melt.</param>
internal sealed record NozzleTrial(
    Nozzle Nozzle,
    RectMm Opening,
    bool Listed,
    double OverhangMm,
    double SpreadDeltaK,
    double WorstNeighbour
);

/// <summary>Chooses the nozzle before the schedule: it decides how evenly the joints are heated, far more than the settings do.</summary>
internal static class NozzleChooser
{
    /// <summary>Overhangs that are proposed where the bench lists no nozzle [mm] (common practice, no source).</summary>
    public static readonly double[] StandardOverhangsMm = [2, 4, 6, 8, 10];

    private const double UsualSpreadDeltaK = 10;

    // A nozzle that does not cover the chip cannot heat its edge, and one far larger heats the board.
    private const double LargestOverhangMm = 25;
    private const int MostRuns = 4;

    /// <summary>How far an opening reaches beyond the chip on the side where it does least; negative where it is too small [mm].</summary>
    public static double OverhangMm(RectMm opening, RectMm chip) =>
        Math.Min(
            Math.Min(chip.X0Mm - opening.X0Mm, opening.X1Mm - chip.X1Mm),
            Math.Min(chip.Y0Mm - opening.Y0Mm, opening.Y1Mm - chip.Y1Mm)
        );

    /// <summary>Ranks nozzles, best first.</summary>
    /// <param name="tools">The bench.</param>
    /// <param name="chip">Outline of the chip on the board.</param>
    /// <param name="limits">Limits, for the wanted spread and the neighbours.</param>
    /// <param name="run">Builds the model and its limits with a nozzle and runs a usual schedule; null where it cannot.</param>
    /// <param name="parallel">How many at once.</param>
    public static IReadOnlyList<NozzleTrial> Rank(
        HeatTools tools,
        RectMm chip,
        IReadOnlyList<HeatLimit> limits,
        Func<Nozzle, (BoardHeatModel Model, HeatTrace Trace, IReadOnlyList<HeatLimit> Limits)?> run,
        ParallelOptions parallel
    )
    {
        bool listed = tools.Gas.Nozzles.Count > 0;
        double lengthMm = chip.X1Mm - chip.X0Mm;
        double widthMm = chip.Y1Mm - chip.Y0Mm;
        List<Nozzle> candidates = listed
            ?
            [
                .. tools
                    .Gas.Nozzles.Where(one => Fits(one, lengthMm, widthMm))
                    .OrderBy(one => Math.Abs(Reach(one, lengthMm, widthMm) - 6))
                    .Take(MostRuns),
            ]
            : [.. StandardOverhangsMm.Select(mm => Standard(mm, lengthMm, widthMm))];
        if (listed && candidates.Count == 0)
        {
            candidates = [LeastBad(tools.Gas.Nozzles, lengthMm, widthMm)];
        }
        NozzleTrial?[] trials = new NozzleTrial?[candidates.Count];
        Parallel.For(
            0,
            candidates.Count,
            parallel,
            i => trials[i] = run(candidates[i]) is { } done ? Trial(candidates[i], listed, done) : null
        );
        double wanted = limits.FirstOrDefault(one => one.Kind == HeatLimitKind.JointSpread)?.Value ?? UsualSpreadDeltaK;
        return
        [
            .. trials
                .OfType<NozzleTrial>()
                .OrderBy(one => one.SpreadDeltaK > wanted || one.WorstNeighbour < 0 ? 1 : 0)
                .ThenBy(one => one.SpreadDeltaK <= wanted ? one.OverhangMm : 1000 + one.SpreadDeltaK),
        ];
    }

    /// <summary>Why a nozzle was chosen.</summary>
    public static string Why(NozzleTrial chosen, IReadOnlyList<NozzleTrial> all, IReadOnlyList<HeatLimit> limits)
    {
        double wanted = limits.FirstOrDefault(one => one.Kind == HeatLimitKind.JointSpread)?.Value ?? UsualSpreadDeltaK;
        string spread =
            $"reaches {chosen.OverhangMm:0.#} mm beyond the chip; {chosen.SpreadDeltaK:0} K across the joints on a usual schedule, {wanted:0} K wanted";
        string start = chosen.Listed
            ? all.Count > 1
                ? $"Best of {all.Count} that were tried: "
                : "The only one that was tried: "
            : "The bench lists no nozzle; the smallest usual overhang that was found good enough: ";
        return chosen.OverhangMm < 0
            ? $"No nozzle of the bench covers the chip; this one falls short least: {spread}."
            : $"{start}{spread}.";
    }

    private static Nozzle Standard(double overhangMm, double lengthMm, double widthMm) =>
        new()
        {
            Name = $"{lengthMm + 2 * overhangMm:0.#} x {widthMm + 2 * overhangMm:0.#} mm",
            LengthMm = lengthMm + 2 * overhangMm,
            WidthMm = widthMm + 2 * overhangMm,
        };

    private static bool Fits(Nozzle nozzle, double lengthMm, double widthMm) =>
        Reach(nozzle, lengthMm, widthMm) is >= 0 and <= LargestOverhangMm;

    // Far too large still melts every joint; where none covers the chip the largest falls short least, and the plan says so.
    private static Nozzle LeastBad(IReadOnlyList<Nozzle> nozzles, double lengthMm, double widthMm) =>
        nozzles
            .Where(one => Reach(one, lengthMm, widthMm) >= 0)
            .OrderBy(one => Reach(one, lengthMm, widthMm))
            .Concat(nozzles.OrderByDescending(one => Reach(one, lengthMm, widthMm)))
            .First();

    /// <summary>How far a nozzle reaches beyond the chip, a round one beyond its corners; negative where it falls short [mm].</summary>
    public static double Reach(Nozzle nozzle, double lengthMm, double widthMm) =>
        nozzle.Round
            ? (nozzle.LengthMm - Math.Sqrt(lengthMm * lengthMm + widthMm * widthMm)) / 2
            : Math.Min(nozzle.LengthMm - lengthMm, (nozzle.WidthMm ?? nozzle.LengthMm) - widthMm) / 2;

    private static NozzleTrial Trial(
        Nozzle nozzle,
        bool listed,
        (BoardHeatModel Model, HeatTrace Trace, IReadOnlyList<HeatLimit> Limits) done
    )
    {
        IReadOnlyList<HeatLimit> limits = done.Limits;
        RunFigures figures = new(done.Model.Places, limits, done.Model.MoltenC);
        double[] there = new double[limits.Count];
        figures.Compute(done.Trace, 0, smooth: false, there);
        double goalC =
            limits.FirstOrDefault(one => one.Kind == HeatLimitKind.ColdestJointPeak)?.Value ?? done.Model.MoltenC + 10;
        double coldestC = figures.ColdestC(done.Trace.TemperaturesC);
        // The model is close to linear: every rise grows with the coldest joint's.
        double stretch = (goalC - done.Model.RoomC) / Math.Max(coldestC - done.Model.RoomC, 1);
        double spread = (figures.HottestC(done.Trace.TemperaturesC) - coldestC) * stretch;
        double worst = double.PositiveInfinity;
        for (int i = 0; i < limits.Count; i++)
        {
            if (limits[i].Kind is HeatLimitKind.NeighbourPeak or HeatLimitKind.NeighbourSolid)
            {
                double peakC = done.Model.RoomC + (there[i] - done.Model.RoomC) * stretch;
                worst = Math.Min(worst, (limits[i].Value - peakC) / limits[i].Scale);
            }
        }
        return new NozzleTrial(
            nozzle,
            done.Model.Nozzle,
            listed,
            OverhangMm(done.Model.Nozzle, done.Model.Chip),
            spread,
            worst
        );
    }
}
