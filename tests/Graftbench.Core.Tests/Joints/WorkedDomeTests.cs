using Graftbench.Core.Joints;
using Graftbench.Core.Physics.Capillary;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Joints;

/// <summary>
/// Project fact sheet "seating mechanics", 6.3: smallest mean dome for 99.9 % of joints and for 97.5 % of packages (independent
/// calculation, 40 random packages for each trial, resolution 0.005 to 0.010, standard error of a share of 40 packages 2.5 points,
/// the same overshoot as in 6.1). One lucky or unlucky 40 moves a whole column: by the rule of its own section 4.4, done by hand
/// below, case A's domes for 97.5 % of packages are enough for 98.6 to 99.3 %, and case B's for 93.3 to 99.1 %.
/// </summary>
public class WorkedDomeTests
{
    private const double None = double.PositiveInfinity;
    private const double MostMm = 0.30;

    // Two standard errors of 40 packages at 97.5 %.
    private const double LeastFraction = 0.925;

    public static TheoryData<string, double, double, double, double, double> Domes =>
        new()
        { // case, stop height, warpage, spread %; dome for 99.9 % of joints, for 97.5 % of packages
            { "A", 0.55, 0.05, 25, 0, 0 },
            { "A", 0.55, 0.10, 25, 0.025, 0.06 },
            { "A", 0.55, 0.15, 10, 0.075, 0.095 },
            { "A", 0.55, 0.15, 25, 0.108, 0.25 },
            { "A", 0.55, 0.15, 40, 0.275, None },
            { "A", 0.55, 0.20, 25, 0.213, None },
            { "A", 0.58, 0.05, 25, 0.003, 0.015 },
            { "A", 0.58, 0.10, 10, 0.055, 0.07 },
            { "A", 0.58, 0.10, 25, 0.075, 0.17 },
            { "A", 0.58, 0.10, 40, 0.19, None },
            { "A", 0.58, 0.15, 25, 0.18, None },
            { "A", 0.60, 0.05, 25, 0.03, 0.065 },
            { "A", 0.60, 0.10, 10, 0.075, 0.095 },
            { "A", 0.60, 0.10, 25, 0.123, 0.275 },
            { "A", 0.60, 0.10, 40, 0.30, None },
            { "A", 0.60, 0.15, 25, 0.225, None },
            { "A", 0.63, 0.05, 25, 0.09, 0.24 },
            { "A", 0.63, 0.10, 25, 0.20, None },
            { "B", 0.30, 0.03, 25, 0, 0 },
            { "B", 0.30, 0.06, 25, 0.005, 0.018 },
            { "B", 0.30, 0.10, 10, 0.045, 0.065 },
            { "B", 0.30, 0.10, 25, 0.06, 0.153 },
            { "B", 0.30, 0.10, 40, None, None },
            { "B", 0.33, 0.03, 25, 0.01, 0.02 },
            { "B", 0.33, 0.06, 10, 0.04, 0.05 },
            { "B", 0.33, 0.06, 25, 0.05, 0.10 },
            { "B", 0.33, 0.06, 40, 0.115, None },
            { "B", 0.33, 0.10, 25, 0.115, 0.26 },
            { "B", 0.35, 0.03, 25, 0.04, 0.085 },
            { "B", 0.35, 0.06, 25, 0.09, 0.20 },
            { "B", 0.35, 0.10, 25, 0.153, None },
        };

    [Theory, MemberData(nameof(Domes))]
    public void The_printed_domes_are_enough_and_much_less_is_not(
        string name,
        double stop,
        double warpage,
        double spreadPercent,
        double jointsDome,
        double packagesDome
    )
    {
        JointRequest request = WorkedCaseTests.Case(name, stop, warpage, 0, spreadPercent / 100);
        // Tables that hold the largest dome tried; on the small lands of case B it is more than a half sphere.
        JointTables tables = JointTables.Create(JointChanges.WithDome(request, MostMm, spreadPercent))!;
        JointChance At(double dome) =>
            JointChances.Draw(JointChanges.WithDome(request, dome, spreadPercent), tables, 200, overshootMm: 0.004);
        List<string> wrong = [];
        // Joints: at the printed dome at most 0.25 % open; a fifth and 0.007 less leaves more than 0.1 % open.
        double open = At(Math.Min(jointsDome, MostMm)).OpenShareFraction;
        if (jointsDome < MostMm && open > 2.5e-3)
        {
            wrong.Add($"joints: {100 * open:0.00} % open at {jointsDome}");
        }
        // Not reached there in one row (B, 0.30, 0.10, 40 %); by the rule below 0.15 is enough, ours 0.14: a deviation, not held.
        double less = 0.8 * jointsDome - 0.007;
        if (less is > 0 and < MostMm && At(less).OpenShareFraction is var more && more < 1e-3)
        {
            wrong.Add($"joints: only {100 * more:0.00} % open at {less:0.000}");
        }
        if (packagesDome < MostMm && At(packagesDome).AllJoinedFraction is var all && all < LeastFraction)
        {
            wrong.Add($"packages: {all:0.000} at {packagesDome}");
        }
        // Not reached below a half sphere: with 40 packages it may be just below it, so not at five sixths of it.
        double fewer = packagesDome == None ? request.Sites[0].BoardRadiusMm * 5 / 6 : 0.6 * packagesDome - 0.007;
        if (fewer > 0 && At(fewer).AllJoinedFraction is var some && some >= 0.975)
        {
            wrong.Add($"packages: {some:0.000} at {fewer:0.000}");
        }
        Assert.True(wrong.Count == 0, string.Join("; ", wrong));
    }

    [Theory]
    [InlineData("A", 0.55, 0.15, 10, 0.089)]
    [InlineData("A", 0.55, 0.15, 25, 0.189)]
    [InlineData("A", 0.60, 0.10, 25, 0.224)]
    [InlineData("B", 0.30, 0.10, 25, 0.128)]
    [InlineData("B", 0.33, 0.06, 25, 0.114)]
    [InlineData("B", 0.35, 0.06, 25, 0.202)]
    public void Drawn_packages_agree_with_the_rule_done_by_hand(
        string name,
        double stop,
        double warpage,
        double spreadPercent,
        double dome
    )
    {
        // Rule 4.4: parts fix the plane, so a joint forms when dome + ball reach its own distance; joints are independent.
        JointRequest request = WorkedCaseTests.Case(name, stop, warpage, dome, spreadPercent / 100);
        double byRule = RuleFraction(request);
        Assert.Equal(0.975, byRule, 2.5e-3);
        JointChance drawn = JointChances.Draw(request, JointTables.Create(request)!, 1000);
        Truth.Note("joints.chance", 100 * (drawn.AllJoinedFraction - byRule));
        // The package tilts a little on its way down, which joins some corners that the rule leaves open.
        Assert.InRange(drawn.AllJoinedFraction, byRule - 3 * drawn.AllJoinedErrorFraction, byRule + 0.025);
    }

    private static double RuleFraction(JointRequest request)
    {
        JointSite site = request.Sites[0];
        double far = request.Sites.Max(one => one.XMm * one.XMm + one.YMm * one.YMm);
        double Warp(double x, double y) => request.HotWarpageMm * (x * x + y * y) / far;
        double plane = request.Stops.Max(stop => stop.StopHeightMm - Warp(stop.XMm, stop.YMm));
        double ball = SolderCap.HeightMm(site.BallVolumeMm3, site.PackageRadiusMm);
        double sd = JointChanges.ReachSdMm(request);
        double cv = request.Spread.DomeVolumeSdPercent / 100;
        double all = 1;
        foreach (JointSite one in request.Sites)
        {
            double need = plane + Warp(one.XMm, one.YMm) - ball;
            double open = 0;
            const double Step = 0.03;
            for (double u = -6 + Step / 2; u < 6; u += Step)
            {
                double height = SolderCap.HeightMm(site.DomeVolumeMm3 * Math.Max(0.1, 1 + cv * u), site.BoardRadiusMm);
                double weight = Math.Exp(-u * u / 2) / Math.Sqrt(2 * Math.PI) * Step;
                open += weight * WorkedCaseTests.NormalBelow((need - height) / sd);
            }
            all *= 1 - open;
        }
        return all;
    }
}
