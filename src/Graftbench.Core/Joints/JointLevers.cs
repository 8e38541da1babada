using System.Globalization;
using Graftbench.Core.Physics.Capillary;
using static System.FormattableString;

namespace Graftbench.Core.Joints;

/// <summary>What could be changed, each alone, with gain in reach, chance and cost.</summary>
internal static class JointLevers
{
    private const double MoreSolderMm = 0.05;
    private const double SmallerPadMm = 0.05;
    private const double LowerPartMm = 0.05;
    private const double FlatterFactor = 0.7;
    private const double AddedWeightG = 5;

    /// <summary>Computes every lever that makes sense for the request, best first.</summary>
    public static IReadOnlyList<JointLever> Find(
        JointRequest request,
        IReadOnlyList<NominalSeat> seats,
        double safeLoadG,
        int trials,
        IProgress<PlanProgress>? progress,
        CancellationToken cancel
    )
    {
        double before = WorstMargin(seats[0]);
        List<JointLever> levers = [];
        (JointLeverKind, string, JointRequest, string)[] changes = [.. Changes(request, seats, safeLoadG)];
        int tried = 0;
        foreach ((JointLeverKind kind, string what, JointRequest changed, string cost) in changes)
        {
            cancel.ThrowIfCancellationRequested();
            progress?.Report(new PlanProgress(what, tried++ / (double)changes.Length));
            if (JointTables.Create(changed) is not { } tables)
            {
                continue;
            }
            NominalSeat seat = JointNominal.Settle(changed, tables);
            if (seat.Molten is not { Converged: true })
            {
                continue;
            }
            JointChance chance = JointChances.Draw(changed, tables, trials, cancel: cancel);
            levers.Add(
                new JointLever(
                    what,
                    // No negative zero: it is read by people.
                    Math.Round(WorstMargin(seat) - before, 6) + 0.0,
                    chance.AllJoinedFraction,
                    chance.AllJoinedErrorFraction,
                    seat.LeastSpacingMm,
                    cost,
                    chance.AllJoinedFraction >= request.Goal.WantedFraction
                        && !(seat.LeastSpacingMm < JointNominal.AskedSpacingMm),
                    kind
                )
            );
        }
        return
        [
            .. levers.OrderByDescending(lever => lever.AllJoinedFraction).ThenByDescending(lever => lever.ReachGainMm),
        ];
    }

    /// <summary>Least reach left over at any joint with the package as it stands [mm]; below 0 where one misses.</summary>
    public static double WorstMargin(NominalSeat seat) =>
        seat
            .Joints.Where(joint => !joint.Class.HasFlag(JointClass.Missing))
            .Select(joint => joint.TouchHeightMm - joint.GapMm)
            .DefaultIfEmpty(0)
            .Min();

    private static IEnumerable<(JointLeverKind Kind, string What, JointRequest Changed, string Cost)> Changes(
        JointRequest request,
        IReadOnlyList<NominalSeat> seats,
        double safeLoadG
    )
    {
        double ball = JointChanges.BallMm(request);
        foreach (
            double larger in BallChoices.Sizes.Where(size => size > ball + 0.004 && size < request.PitchMm).Take(2)
        )
        {
            yield return (
                JointLeverKind.Balls,
                Invariant($"balls of {larger:0.00} instead of {ball:0.00} mm"),
                JointChanges.WithBall(request, larger),
                "other balls and stencil; less room between neighbours"
            );
        }
        double dome = JointChanges.DomeMm(request);
        double spread = request.Spread.DomeVolumeSdPercent;
        yield return (
            JointLeverKind.Solder,
            Invariant(
                $"{dome + MoreSolderMm:0.00} mm of solder on the lands instead of {dome:0.00} mm, as uneven as now"
            ),
            JointChanges.WithDome(request, dome + MoreSolderMm, spread),
            "time at the lands; the chip slides more easily on rounder lands"
        );
        if (dome > 0 && spread > 10)
        {
            yield return (
                JointLeverKind.Solder,
                Invariant($"the same solder, uneven by 10 instead of {spread:0} %"),
                JointChanges.WithDome(request, dome, 10),
                "careful work: a fixed length of wire or a stencil for every land"
            );
        }
        double[] domes = SolderNeeds.SafeDomesMm(request, seats);
        int low = request
            .Sites.Where((site, i) => domes[i] > SolderCap.HeightMm(site.DomeVolumeMm3, site.BoardRadiusMm) + 1e-6)
            .Count();
        double most = request.Sites.Min(site => site.BoardRadiusMm);
        if (low > 0 && domes.Max() <= most)
        {
            yield return (
                JointLeverKind.Solder,
                low == request.Sites.Count
                    ? Invariant(
                        $"all {low} lands re-tinned, up to {domes.Max():0.00} mm where most is needed, even to 10 %"
                    )
                    : Invariant(
                        $"only the {low} lands that need it re-tinned, up to {domes.Max():0.00} mm there, even to 10 %"
                    ),
                JointChanges.WithRetinned(request, domes),
                low == request.Sites.Count ? "time at every land" : "time at those lands only; see the map for which"
            );
        }
        if (request.Sites.Min(site => site.PackageRadiusMm) > SmallerPadMm)
        {
            yield return (
                JointLeverKind.Pads,
                Invariant($"pads on the package {SmallerPadMm:0.00} mm smaller"),
                JointChanges.WithPackagePad(request, -SmallerPadMm),
                "only where the mask around them was lost and is restored"
            );
        }
        if (request.Stops.Count > 0)
        {
            yield return (
                JointLeverKind.Parts,
                Invariant($"parts {LowerPartMm:0.00} mm lower"),
                JointChanges.WithStops(request, -LowerPartMm),
                "lower parts of the same value, or seated flatter on less solder"
            );
        }
        double mostBow = Math.Abs(request.HotWarpageMm) + 2 * request.Spread.WarpageSdMm;
        if (mostBow > 0.005)
        {
            yield return (
                JointLeverKind.Heat,
                Math.Abs(request.HotWarpageMm) > 0.005
                    ? Invariant(
                        $"flatter heat: warpage {FlatterFactor * request.HotWarpageMm:0.00} instead of {request.HotWarpageMm:0.00} mm"
                    )
                    : Invariant(
                        $"flatter heat: bowed by up to {FlatterFactor * mostBow:0.00} instead of {mostBow:0.00} mm, either way"
                    ),
                request with
                {
                    HotWarpageMm = FlatterFactor * request.HotWarpageMm,
                    Spread = request.Spread with { WarpageSdMm = FlatterFactor * request.Spread.WarpageSdMm },
                },
                "longer soak, more heat from below, better support; the figure is a guess to show what it would be worth"
            );
        }
        double load = request.Load.PackageG + request.Load.LidG + request.Load.PressG;
        if (load + AddedWeightG <= safeLoadG)
        {
            yield return (
                JointLeverKind.Weight,
                Invariant($"a weight of {AddedWeightG:0} g on the chip"),
                request with
                {
                    Load = request.Load with { LidG = request.Load.LidG + AddedWeightG },
                },
                "it must stand on the middle and stay until frozen; it presses on the parts, not on the joints, where parts carry"
            );
        }
    }
}
