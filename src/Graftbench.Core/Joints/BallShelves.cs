using System.Globalization;
using Graftbench.Core.Facts;
using static System.FormattableString;

namespace Graftbench.Core.Joints;

/// <summary>Balls on the shelf.</summary>
/// <param name="Name">What the bench calls them.</param>
/// <param name="BallMm">Diameter [mm].</param>
/// <param name="Alloy">Their alloy; null where it is not recorded.</param>
public sealed record BallStock(string Name, double BallMm, string? Alloy);

/// <summary>A stencil on the shelf.</summary>
/// <param name="Name">What the bench calls it.</param>
/// <param name="HoleMm">Diameter of its holes [mm].</param>
/// <param name="PitchMm">Pitch of its holes [mm]; null where it is not recorded.</param>
public sealed record StencilStock(string Name, double HoleMm, double? PitchMm);

/// <summary>What the shelf's records say of balls and stencils. How many are left they do not say.</summary>
/// <param name="Balls">Balls.</param>
/// <param name="Stencils">Stencils whose hole is recorded.</param>
/// <param name="Unmeasured">Names of balls and stencils without the size that would tell what they suit.</param>
public sealed record JointStock(
    IReadOnlyList<BallStock> Balls,
    IReadOnlyList<StencilStock> Stencils,
    IReadOnlyList<string> Unmeasured
);

/// <summary>Says of each ball to choose from whether it and a stencil for it lie on the shelf.</summary>
public static class BallShelves
{
    private const double SameBallMm = 0.006;
    private const double SamePitchMm = 0.011;

    /// <summary>Marks the balls of an answer.</summary>
    /// <param name="plan">The answer.</param>
    /// <param name="stock">What lies on the shelf.</param>
    /// <param name="alloy">Alloy that the job wants; null where it does not say.</param>
    public static JointPlan Mark(JointPlan plan, JointStock stock, string? alloy)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(stock);
        return plan with
        {
            Balls =
            [
                .. plan.Balls.Select(ball => ball with { OnShelf = Words(ball, stock, plan.Request.PitchMm, alloy) }),
            ],
        };
    }

    private static string Words(BallChoice ball, JointStock stock, double pitchMm, string? alloy)
    {
        double size = ball.BallDiameterMm;
        string[] balls =
        [
            .. stock
                .Balls.Where(one => Math.Abs(one.BallMm - size) < SameBallMm)
                .OrderByDescending(one => Same(one.Alloy, alloy))
                .Select(one => $"{one.Name} ({Alloy(one.Alloy, alloy)})"),
        ];
        double least = JointFacts.Figure("stencil-hole-least").Value * size;
        double most = JointFacts.Figure("stencil-hole-most").Value * size;
        string[] stencils =
        [
            .. stock
                .Stencils.Where(one =>
                    one.HoleMm >= least
                    && one.HoleMm <= most
                    && (one.PitchMm is not { } pitch || Math.Abs(pitch - pitchMm) < SamePitchMm)
                )
                .Select(one =>
                    Invariant(
                        $"{one.Name} (holes of {one.HoleMm:0.00#} mm{(one.PitchMm is null ? ", pitch not recorded" : "")})"
                    )
                ),
        ];
        string unmeasured =
            stock.Unmeasured.Count > 0 && (balls.Length == 0 || stencils.Length == 0)
                ? $"; no size recorded: {string.Join(", ", stock.Unmeasured.Take(4))}"
                : "";
        return (balls.Length > 0 ? $"balls: {string.Join(", ", balls)}" : "no such balls")
            + (stencils.Length > 0 ? $"; stencil: {string.Join(", ", stencils)}" : "; no stencil for them")
            + unmeasured;
    }

    private static string Alloy(string? recorded, string? wanted) =>
        string.IsNullOrWhiteSpace(recorded) ? "alloy not recorded"
        : string.IsNullOrWhiteSpace(wanted) || Same(recorded, wanted) ? recorded
        : $"{recorded}, not the {wanted} of the job";

    private static bool Same(string? one, string? other) =>
        one is not null
        && other is not null
        && (
            string.Equals(one, other, StringComparison.OrdinalIgnoreCase)
            || (Alloys.Find(one) is { } found && found.Id == Alloys.Find(other)?.Id)
        );
}
