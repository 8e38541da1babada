using CsCheck;
using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Tests.Physics.Capillary;

/// <summary>Laws that hold whatever the figures: work, scale, mirror, closed forms.</summary>
public class BridgeLawTests
{
    // Joints from small to puddle-like, squashed to stretched; gap as a share of the gap without load.
    private static readonly Gen<(BridgeCase Bridge, double Gap)> Joints = Gen.Select(
        Gen.Double[0.1, 0.4],
        Gen.Double[0.8, 1.25],
        Gen.Double[1.2, 9],
        Gen.Double[0.35, 0.6],
        Gen.Double[0, 9000],
        Gen.Double[0.8, 1.5],
        (lower, ratio, volume, tension, density, share) =>
        {
            double upper = lower * ratio;
            BridgeCase bridge = new(lower, upper, volume * lower * lower * lower, tension, density);
            return (bridge, share * SolderCap.TruncatedSphereHeightMm(bridge.VolumeMm3, lower, upper));
        }
    );

    [Fact]
    public void Force_is_the_loss_of_energy_by_gap() =>
        Joints.Sample(
            joint =>
            {
                // Energy of the computed outline: surface by Simpson over the meridian, weight times height of its centre.
                double h = joint.Gap;
                double step = 0.004 * h;
                double slope =
                    (Energy(joint.Bridge, h - 2 * step) - 8 * Energy(joint.Bridge, h - step))
                    + (8 * Energy(joint.Bridge, h + step) - Energy(joint.Bridge, h + 2 * step));
                double force = At(joint.Bridge, h).ForceMilliN;
                return Math.Abs(force + slope / (12 * step)) < 2e-4 * joint.Bridge.TensionNPerM * joint.Bridge.ScaleMm;
            },
            iter: 60,
            threads: 1
        );

    [Fact]
    public void Slope_is_the_change_of_force_by_gap() =>
        Joints.Sample(
            joint =>
            {
                double step = 1e-4 * joint.Gap;
                double difference =
                    (At(joint.Bridge, joint.Gap + step).ForceMilliN - At(joint.Bridge, joint.Gap - step).ForceMilliN)
                    / (2 * step);
                double slope = At(joint.Bridge, joint.Gap).SlopeMilliNPerMm;
                return Math.Abs(slope - difference) < 1e-4 * (Math.Abs(slope) + joint.Bridge.TensionNPerM);
            },
            iter: 100,
            threads: 1
        );

    [Fact]
    public void Force_scales_with_tension_and_length_at_one_Bond_number() =>
        Gen.Select(Joints, Gen.Double[0.5, 3], Gen.Double[0.5, 2])
            .Sample(
                (joint, length, tension) =>
                {
                    BridgeCase b = joint.Bridge;
                    BridgeCase scaled = new(
                        b.LowerRadiusMm * length,
                        b.UpperRadiusMm * length,
                        b.VolumeMm3 * length * length * length,
                        b.TensionNPerM * tension,
                        b.DensityKgPerM3 * tension / (length * length)
                    );
                    double expected = At(b, joint.Gap).ForceMilliN * length * tension;
                    double found = At(scaled, joint.Gap * length).ForceMilliN;
                    return Math.Abs(found - expected) < 1e-7 * scaled.TensionNPerM * scaled.ScaleMm;
                },
                iter: 100,
                threads: 1
            );

    [Fact]
    public void Upside_down_the_force_on_the_upper_pad_is_the_same_without_weight() =>
        Joints.Sample(
            joint =>
            {
                BridgeCase straight = joint.Bridge with { DensityKgPerM3 = 0 };
                BridgeCase turned = straight with
                {
                    LowerRadiusMm = straight.UpperRadiusMm,
                    UpperRadiusMm = straight.LowerRadiusMm,
                };
                double difference = At(straight, joint.Gap).ForceMilliN - At(turned, joint.Gap).ForceMilliN;
                return Math.Abs(difference) < 1e-6 * straight.TensionNPerM * straight.ScaleMm;
            },
            iter: 100,
            threads: 1
        );

    [Fact]
    public void Weight_closes_the_balance_of_both_rims() =>
        Joints.Sample(
            joint =>
                Math.Abs(At(joint.Bridge, joint.Gap).BalanceMilliN)
                < 2e-6 * joint.Bridge.TensionNPerM * joint.Bridge.ScaleMm,
            iter: 100,
            threads: 1
        );

    [Theory]
    [InlineData(0.3, 0.3, 0.4)]
    [InlineData(0.3, 0.2, 0.3)]
    public void Without_weight_the_gap_without_load_is_that_of_the_cut_sphere(double lower, double upper, double gap)
    {
        // V = π h (3 Rl² + 3 Ru² + h²) / 6 is exact for a sphere.
        double volume = Math.PI * gap * (3 * lower * lower + 3 * upper * upper + gap * gap) / 6;
        BridgeShape shape = LiquidBridge.AtLoad(new(lower, upper, volume, 0.5, 0), 0).Shape!;
        Assert.Equal(gap, shape.GapMm, 1e-7);
        Assert.Equal(gap, SolderCap.TruncatedSphereHeightMm(volume, lower, upper), 1e-12);
    }

    [Fact]
    public void A_cylinder_has_the_force_of_a_cylinder()
    {
        // Straight wall, no weight: p = γ/R, F = π R² γ/R − 2 π R γ = −π R γ.
        BridgeShape shape = At(new(0.3, 0.3, Math.PI * 0.09 * 0.5, 0.5, 0), 0.5);
        Assert.Equal(-Math.PI * 0.3 * 0.5, shape.ForceMilliN, 1e-9);
        Assert.Equal(0.5 / 0.3, shape.PressureKPa, 1e-9);
        Assert.Equal(0.6, shape.WidestMm, 1e-9);
    }

    [Fact]
    public void A_cylinder_centres_with_the_energy_of_a_sheared_cylinder() =>
        // Area 2 π R h + π R d² / (2 h): stiffness π γ R / h.
        Assert.Equal(
            Math.PI * 0.5 * 0.3 / 0.5,
            BridgeSideways.CentringMilliNPerMm(new(0.3, 0.3, Math.PI * 0.09 * 0.5, 0.5, 0), 0.5)!.Value,
            1e-8
        );

    [Fact]
    public void A_volume_that_cannot_span_the_gap_is_a_failure_with_a_reason()
    {
        BridgeSolution found = LiquidBridge.AtGap(new(0.3, 0.3, 0.2298473, 0.5, 7400), 1.4);
        Assert.Null(found.Shape);
        Assert.Equal(BridgeFailure.PulledApart, found.Failure);
    }

    [Fact]
    public void A_pull_that_no_joint_gives_is_a_failure()
    {
        BridgeSolution found = LiquidBridge.AtLoad(new(0.3, 0.3, 0.2298473, 0.5, 7400), -0.6);
        Assert.Null(found.Shape);
        Assert.NotEqual(BridgeFailure.None, found.Failure);
    }

    [Fact]
    public void A_cap_of_its_height_holds_its_volume_down_to_a_thin_film() =>
        Gen.Select(Gen.Double[-14, 1], Gen.Double[0.05, 2])
            .Sample(
                (power, radius) =>
                {
                    double volume = Math.Pow(10, power);
                    double height = SolderCap.HeightMm(volume, radius);
                    return Math.Abs(SolderCap.VolumeMm3(height, radius) / volume - 1) < 1e-12;
                }
            );

    [Fact]
    public void An_offset_costs_height_and_leaves_a_slope()
    {
        // Project fact sheet 'seating mechanics', 2.1: 0.1 offset on a 0.1 dome costs 0.006 (0.76 ball), 6 degrees.
        double ball = SolderCap.HeightMm(SolderCap.BallVolumeMm3(0.76), 0.3);
        double touch = SolderCap.TouchHeightMm(ball, 0.3, 0.1, 0.3, 0.1)!.Value;
        Assert.Equal(0.006, ball + 0.1 - touch, 0.0006);
        Assert.Equal(6, SolderCap.TouchSlopeDeg(ball, 0.3, 0.1, 0.3, 0.1), 0.9);
    }

    private static BridgeShape At(BridgeCase bridge, double gap) => LiquidBridge.AtGap(bridge, gap).Shape!;

    // From the outline's points, which share nothing with the force formula; Richardson's rule takes off the error of chords.
    private static double Energy(BridgeCase bridge, double gap)
    {
        IReadOnlyList<OutlinePoint> points = At(bridge, gap).Outline;
        return (4 * Chords(bridge, points, 1) - Chords(bridge, points, 2)) / 3;
    }

    private static double Chords(BridgeCase bridge, IReadOnlyList<OutlinePoint> points, int stride)
    {
        double area = 0;
        double lift = 0;
        for (int i = stride; i < points.Count; i += stride)
        {
            (double r0, double z0) = (points[i - stride].RadiusMm, points[i - stride].HeightMm);
            (double r1, double z1) = (points[i].RadiusMm, points[i].HeightMm);
            area += Math.PI * (r0 + r1) * Math.Sqrt((r1 - r0) * (r1 - r0) + (z1 - z0) * (z1 - z0));
            double slice = Math.PI / 3 * (r0 * r0 + r0 * r1 + r1 * r1) * (z1 - z0);
            lift += slice * (z0 + z1) / 2;
        }
        return bridge.TensionNPerM * area + bridge.DensityKgPerM3 * 9.80665e-6 * lift;
    }
}
