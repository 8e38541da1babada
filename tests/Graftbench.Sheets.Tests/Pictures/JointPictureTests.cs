using Graftbench.Core.Joints;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Sheets.Tests.Pictures;

/// <summary>The pictures of the joints: to scale, well-formed, and told in words too.</summary>
public class JointPictureTests
{
    private static readonly Lazy<JointPlan> Lifted = new(() =>
        JointPlanner.Plan(Request(stopHeightMm: 0.6, warpMm: 0.2))
    );
    private static readonly Lazy<JointPlan> Flat = new(() => JointPlanner.Plan(Request(stopHeightMm: null, warpMm: 0)));

    [Fact]
    public void An_open_joint_is_marked_and_said()
    {
        JointPlan plan = Lifted.Value;
        JointSection cut = JointSections.Cut(plan, JointRows.Neediest(plan))!;
        string svg = JointSectionPicture.Svg(plan, cut);
        System.Xml.Linq.XElement.Parse(svg);
        Assert.Contains("stay open", svg, StringComparison.Ordinal);
        Assert.Contains(">open ", svg, StringComparison.Ordinal);
        string field = JointFieldPicture.Svg(plan, cut.YMm);
        System.Xml.Linq.XElement.Parse(field);
        Assert.Contains("crossed: open at the sizes given", field, StringComparison.Ordinal);
    }

    [Fact]
    public void A_package_that_forms_every_joint_says_so()
    {
        JointPlan plan = Flat.Value;
        string svg = JointSectionPicture.Svg(plan, JointSections.Cut(plan, 0)!);
        Assert.Contains("All 6 joints of the row form.", svg, StringComparison.Ordinal);
        Assert.DoesNotContain(">open", svg, StringComparison.Ordinal);
    }

    [Fact]
    public void The_cut_has_one_scale_in_both_directions()
    {
        // Joints stand 1.27 mm apart; the outline of one is as wide as the plan says.
        JointPlan plan = Flat.Value;
        JointSection cut = JointSections.Cut(plan, 0)!;
        SectionJoint joint = cut.Joints[0];
        double wideMm = joint.Outlines[0].Max(point => point.XMm) - joint.Outlines[0].Min(point => point.XMm);
        Assert.Equal(plan.Joints[joint.Index].WidestMm, wideMm, 0.01);
        double highMm = joint.Outlines[0].Max(point => point.ZMm) - joint.Outlines[0].Min(point => point.ZMm);
        Assert.Equal(plan.Joints[joint.Index].GapMm, highMm, 0.01);
    }

    [Fact]
    public void The_force_curve_names_its_marks()
    {
        string svg = ForceHeightPicture.Svg(Flat.Value);
        System.Xml.Linq.XElement.Parse(svg);
        Assert.Contains("ball and land touch", svg, StringComparison.Ordinal);
        Assert.Contains("spills below", svg, StringComparison.Ordinal);
    }

    private static JointRequest Request(double? stopHeightMm, double warpMm)
    {
        double ballMm3 = Math.PI * 0.76 * 0.76 * 0.76 / 6;
        return new JointRequest(
            "chip U1",
            new JointSolder(0.5, 10, 7400, 1, 8400, "test"),
            [
                .. Enumerable
                    .Range(0, 36)
                    .Select(i => new JointSite(
                        $"b{i}",
                        1.27 * (i % 6 - 2.5),
                        1.27 * (i / 6 - 2.5),
                        ballMm3,
                        0,
                        0.3,
                        0.3
                    )),
            ],
            stopHeightMm is double stop ? [new JointStop("K1", 0, 0, stop, 0)] : [],
            PartsKnown: true,
            new JointLoad(1, 0, 0, 0, 0),
            warpMm,
            0,
            WarpageKnown: true,
            new JointSpread(0.003, 0.004, 0.005, 25),
            1.27,
            null,
            new JointGoal(0.975, 200, WithLevers: false)
        );
    }
}
