using Graftbench.Core.Physics.Capillary;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Physics.Capillary;

/// <summary>
/// Forces, gaps, drops and limits against a general surface-energy minimiser (Surface Evolver 2.70, fully three-dimensional,
/// independent of the method here), as printed in the project fact sheet "seating mechanics", sections 5.1 to 5.4. Its
/// sections 3.3 and 3.4 are an independent calculation with the printed digits as tolerance.
/// </summary>
public class BridgeTableTests
{
    private const string Minimiser = "surface-energy minimiser, project fact sheet 'seating mechanics', section ";

    public static TheoryData<string, double, double, double, double, double, double, double> Forces =>
        new()
        {
            { "F01", 0.300, 0.300, 0.2298473, 0.50, 7400, 0.450, 0.479711 },
            { "F03", 0.300, 0.300, 0.2298473, 0.50, 7400, 0.533, -0.009214 },
            { "F05", 0.300, 0.300, 0.2298473, 0.50, 7400, 0.643, -0.349126 },
            { "F07", 0.300, 0.300, 0.2298473, 0.50, 7400, 1.000, -0.457282 },
            { "F09", 0.300, 0.300, 0.2298473, 0.50, 7400, 0.380, 1.001864 },
            { "F11", 0.300, 0.300, 0.1130973, 0.50, 7400, 0.300, 0.440372 },
            { "F13", 0.225, 0.200, 0.0477129, 0.54, 7400, 0.250, 0.168281 },
            { "F15", 0.225, 0.200, 0.0477129, 0.54, 7400, 0.450, -0.381493 },
            { "F17", 0.175, 0.200, 0.0654498, 0.46, 8200, 0.450, -0.206983 },
            { "F19", 0.300, 0.250, 0.1340664, 0.43, 8200, 0.500, -0.306537 },
            { "F21", 0.300, 0.300, 0.2445081, 0.50, 7400, 0.700, -0.393718 },
            { "F23", 0.125, 0.150, 0.0141372, 0.55, 7300, 0.260, -0.253979 },
            { "F25", 0.400, 0.300, 0.2298473, 0.50, 7400, 0.600, -0.551910 },
            { "F27", 2.000, 1.500, 8.0000000, 0.45, 8400, 0.900, -5.109311 },
            { "F29", 0.350, 0.250, 0.0600000, 0.47, 8200, 0.350, -0.602786 },
        };

    [Theory, MemberData(nameof(Forces))]
    public void Force_at_a_gap_is_the_minimisers(
        string id,
        double lower,
        double upper,
        double volume,
        double tension,
        double density,
        double gap,
        double force
    )
    {
        BridgeShape shape = At(new(lower, upper, volume, tension, density), gap);
        double allowed = Math.Max(1e-3 * Math.Abs(force), 2e-4 * tension * Math.Max(lower, upper));
        // By the force of tension alone: some forces of the table are next to nothing.
        Truth.Note("joints.force", 100 * (shape.ForceMilliN - force) / (tension * Math.Max(lower, upper)));
        Assert.True(
            Math.Abs(shape.ForceMilliN - force) <= allowed,
            $"{id}: {shape.ForceMilliN} against {force}, {Minimiser}5.1"
        );
        // The half-printed digits of the independent axisymmetric calculation are 5e-7 mN.
        Assert.True(
            Math.Abs(shape.BalanceMilliN) <= 1e-6 * tension * Math.Max(lower, upper),
            $"{id}: {shape.BalanceMilliN}"
        );
    }

    public static TheoryData<string, double, double, double, double, double, double, double, double> Axisymmetric =>
        new()
        {
            { "F01", 0.300, 0.300, 0.2298473, 0.50, 7400, 0.450, 0.479712, 0.48099 },
            { "F03", 0.300, 0.300, 0.2298473, 0.50, 7400, 0.533, -0.009215, -0.00922 },
            { "F05", 0.300, 0.300, 0.2298473, 0.50, 7400, 0.643, -0.349127, -0.34918 },
            { "F07", 0.300, 0.300, 0.2298473, 0.50, 7400, 1.000, -0.457282, -0.45964 },
            { "F09", 0.300, 0.300, 0.2298473, 0.50, 7400, 0.380, 1.001862, 1.00689 },
            { "F11", 0.300, 0.300, 0.1130973, 0.50, 7400, 0.300, 0.440381, 0.44063 },
            { "F13", 0.225, 0.200, 0.0477129, 0.54, 7400, 0.250, 0.168284, 0.16843 },
            { "F15", 0.225, 0.200, 0.0477129, 0.54, 7400, 0.450, -0.381493, -0.38370 },
            { "F17", 0.175, 0.200, 0.0654498, 0.46, 8200, 0.450, -0.206983, -0.20713 },
            { "F19", 0.300, 0.250, 0.1340664, 0.43, 8200, 0.500, -0.306538, -0.30696 },
            { "F21", 0.300, 0.300, 0.2445081, 0.50, 7400, 0.700, -0.393719, -0.39374 },
            { "F23", 0.125, 0.150, 0.0141372, 0.55, 7300, 0.260, -0.253979, -0.25451 },
            { "F25", 0.400, 0.300, 0.2298473, 0.50, 7400, 0.600, -0.551911, -0.55401 },
            { "F27", 2.000, 1.500, 8.0000000, 0.45, 8400, 0.900, -5.109333, -5.12509 },
            { "F29", 0.350, 0.250, 0.0600000, 0.47, 8200, 0.350, -0.602784, -0.61419 },
        };

    [Theory, MemberData(nameof(Axisymmetric))]
    public void Force_and_arc_force_are_those_of_the_independent_calculation(
        string id,
        double lower,
        double upper,
        double volume,
        double tension,
        double density,
        double gap,
        double force,
        double arc
    )
    {
        BridgeCase bridge = new(lower, upper, volume, tension, density);
        // Volumes are printed to seven digits, forces to six decimals.
        // Their gravity is 9.81 m/s², ours the standard 9.80665: 0.034 % of the weight.
        double weight = 9.81e-6 * density * volume;
        Assert.Equal(force, At(bridge, gap).ForceMilliN, 3e-6 + 1e-6 * Math.Abs(force) + 3.5e-4 * weight);
        double arcForce = ArcBridge.ForceMilliN(bridge, gap)!.Value;
        Assert.True(
            Math.Abs(arcForce - arc) <= 2e-5 + 2e-5 * Math.Abs(arc) + 3.5e-4 * weight,
            $"{id}: {arcForce} against {arc}"
        );
    }

    public static TheoryData<string, double, double, double, double, double, double, double> Gaps =>
        new()
        {
            { "H01", 0.300, 0.300, 0.2298473, 0.50, 7400, 0.10, 0.511038 },
            { "H03", 0.300, 0.300, 0.2298473, 0.50, 7400, 0.60, 0.433245 },
            { "H05", 0.225, 0.200, 0.0477129, 0.54, 7400, 0.05, 0.260737 },
            { "H07", 0.300, 0.250, 0.1340664, 0.43, 8200, 0.15, 0.383589 },
            { "H09", 0.300, 0.300, 0.2445081, 0.50, 7400, 0.10, 0.529276 },
            { "H11", 0.125, 0.150, 0.0141372, 0.55, 7300, 0.05, 0.177073 },
        };

    [Theory, MemberData(nameof(Gaps))]
    public void Gap_under_a_load_is_the_minimisers(
        string id,
        double lower,
        double upper,
        double volume,
        double tension,
        double density,
        double load,
        double gap
    )
    {
        BridgeSolution found = LiquidBridge.AtLoad(new(lower, upper, volume, tension, density), load);
        Truth.Note("joints.gap", 100 * (found.Shape!.GapMm / gap - 1));
        Assert.True(
            Math.Abs(found.Shape!.GapMm / gap - 1) <= 2e-4,
            $"{id}: {found.Shape.GapMm} against {gap}, {Minimiser}5.2"
        );
        Assert.Equal(load, found.Shape.ForceMilliN, 1e-8);
    }

    public static TheoryData<string, double, double, double, double, DropKind, double, double> Drops =>
        new()
        {
            { "D01", 0.300, 0.014661, 0.50, 7400, DropKind.Sessile, 0.099968, 0.100000 },
            { "D03", 0.300, 0.229847, 0.50, 7400, DropKind.Pendant, 0.645312, 0.642681 },
            { "D05", 1.500, 2.000000, 0.45, 8400, DropKind.Sessile, 0.536677, 0.542262 },
        };

    [Theory, MemberData(nameof(Drops))]
    public void Height_of_a_drop_is_the_minimisers(
        string id,
        double radius,
        double volume,
        double tension,
        double density,
        DropKind kind,
        double height,
        double cap
    )
    {
        double found = PadDrop.HeightMm(volume, radius, tension, density, kind)!.Value;
        Assert.True(Math.Abs(found / height - 1) <= 2e-4, $"{id}: {found} against {height}, {Minimiser}5.3");
        Assert.Equal(cap, SolderCap.HeightMm(volume, radius), 2e-6);
    }

    public static TheoryData<
        string,
        double,
        double,
        double,
        double,
        double,
        double,
        double,
        double,
        double,
        double,
        double
    > PullApart =>
        new()
        {
            { "S01", 0.30, 0.30, 0.2298473, 0.50, 7400, 1.3041, -0.323, 0.150, 1.3015, 1.3067, 5e-4 },
            { "S03", 0.225, 0.20, 0.0477129, 0.54, 7400, 0.6635, -0.192, 0.074, 0.6622, 0.6648, 5e-4 },
        };

    [Theory, MemberData(nameof(PullApart))]
    public void A_joint_breaks_where_the_second_variation_turns(
        string id,
        double lower,
        double upper,
        double volume,
        double tension,
        double density,
        double gap,
        double force,
        double neckRadius,
        double stable,
        double unstable,
        double relative
    )
    {
        BridgeLimit limit = BridgeLimits.PullApart(new(lower, upper, volume, tension, density))!.Value;
        Assert.True(Math.Abs(limit.GapMm / gap - 1) < relative, $"{id}: {limit.GapMm}");
        Assert.InRange(limit.GapMm, stable, unstable);
        // The force changes infinitely fast with the gap there: 0.0001 mm of gap are 0.001 mN.
        Assert.Equal(force, limit.ForceMilliN, 2e-3);
        Assert.Equal(neckRadius, limit.NarrowestMm / 2, 1e-3);
    }

    [Fact]
    public void A_joint_slumps_where_the_second_variation_turns()
    {
        // L01: none negative at 0.383, two (x and y) negative at 0.381; found there 0.3819 with 0.988 mN.
        BridgeCase bridge = new(0.3, 0.3, 0.2298473, 0.5, 7400);
        Assert.True(BridgeSideways.MarginRatio(bridge, 0.383) > 0);
        Assert.True(BridgeSideways.MarginRatio(bridge, 0.381) < 0);
        BridgeLimit spill = BridgeLimits.Spill(bridge)!.Value;
        Assert.True(Math.Abs(spill.GapMm / 0.3819 - 1) < 5e-3, $"{spill.GapMm}");
        Assert.Equal(0.988, spill.ForceMilliN, 0.013);
    }

    public static TheoryData<double, double, double, double> Curve =>
        new()
        {
            { 0.38, 1.002, 0.950, -1 },
            { 0.40, 0.850, 0.930, 6 },
            { 0.44, 0.551, 0.891, 20 },
            { 0.48, 0.280, 0.852, 33 },
            { 0.50, 0.161, 0.833, 39 },
            { 0.52, 0.054, 0.814, 45 },
            { 0.53, 0.005, 0.805, 47 },
            { 0.55, -0.083, 0.787, 52 },
            { 0.56, -0.123, 0.778, 55 },
            { 0.60, -0.253, 0.745, 63 },
            { 0.64, -0.344, 0.714, 71 },
            { 0.70, -0.426, 0.670, 79 },
            { 0.80, -0.478, 0.608, 89 },
            { 0.85, -0.482, 0.600, 92 },
            { 1.00, -0.457, 0.600, 97 },
            { 1.30, -0.337, 0.600, 88 },
        };

    [Theory, MemberData(nameof(Curve))]
    public void Force_width_and_rim_of_the_standard_joint_are_the_printed_ones(
        double gap,
        double force,
        double widest,
        double rim
    )
    {
        // Independent calculation, project fact sheet 'seating mechanics', section 3.3: ball 0.76, pads 0.60.
        BridgeShape shape = At(new(0.3, 0.3, SolderCap.BallVolumeMm3(0.76), 0.5, 7400), gap);
        Assert.Equal(force, shape.ForceMilliN, 0.6e-3);
        // At 1.30 the liquid bulges by 0.35 µm past the lower rim (88°); the printed width is the pad's.
        Assert.Equal(widest, shape.WidestMm, 0.8e-3);
        Assert.Equal(rim, Math.Min(shape.LowerRimDeg, 180), 0.6);
    }

    public static TheoryData<double, double, double[]> Common =>
        new()
        {
            { 0.76, 0.55, [0.22985, 0.661, 0.567, 0.551, 0.539, 0.517, 0.81, 0.122, -0.27, 0.79, 0.92] },
            { 0.76, 0.60, [0.22985, 0.643, 0.533, 0.521, 0.511, 0.493, 0.82, 0.132, -0.35, 1.00, 0.95] },
            { 0.76, 0.63, [0.22985, 0.631, 0.512, 0.502, 0.493, 0.478, 0.83, 0.138, -0.41, 1.13, 0.97] },
            { 0.70, 0.60, [0.17959, 0.573, 0.458, 0.449, 0.441, 0.427, 0.77, 0.132, -0.42, 1.13, 0.90] },
            { 0.65, 0.60, [0.14379, 0.514, 0.395, 0.388, 0.382, 0.372, 0.73, 0.132, -0.48, 1.28, 0.86] },
            { 0.635, 0.50, [0.13407, 0.538, 0.446, 0.435, 0.425, 0.408, 0.69, 0.112, -0.29, 0.84, 0.79] },
            { 0.60, 0.60, [0.11310, 0.454, 0.332, 0.328, 0.324, 0.316, 0.70, 0.130, -0.57, 1.50, 0.83] },
            { 0.60, 0.50, [0.11310, 0.497, 0.402, 0.393, 0.385, 0.370, 0.66, 0.112, -0.32, 0.90, 0.76] },
            { 0.60, 0.45, [0.11310, 0.516, 0.437, 0.424, 0.413, 0.393, 0.65, 0.103, -0.23, 0.71, 0.74] },
            { 0.55, 0.45, [0.08711, 0.459, 0.375, 0.365, 0.356, 0.341, 0.60, 0.103, -0.28, 0.79, 0.70] },
            { 0.50, 0.45, [0.06545, 0.400, 0.312, 0.305, 0.299, 0.288, 0.56, 0.102, -0.34, 0.92, 0.66] },
            { 0.50, 0.40, [0.06545, 0.421, 0.347, 0.337, 0.328, 0.312, 0.55, 0.093, -0.24, 0.68, 0.63] },
            { 0.45, 0.40, [0.04771, 0.363, 0.284, 0.277, 0.271, 0.259, 0.51, 0.092, -0.30, 0.80, 0.59] },
            { 0.45, 0.35, [0.04771, 0.383, 0.319, 0.308, 0.299, 0.282, 0.49, 0.084, -0.19, 0.58, 0.56] },
            { 0.40, 0.35, [0.03351, 0.325, 0.257, 0.249, 0.242, 0.231, 0.45, 0.082, -0.25, 0.68, 0.52] },
            { 0.35, 0.30, [0.02245, 0.287, 0.229, 0.221, 0.214, 0.202, 0.39, 0.073, -0.21, 0.57, 0.45] },
            { 0.30, 0.25, [0.01414, 0.249, 0.201, 0.193, 0.185, 0.172, 0.34, 0.063, -0.16, 0.45, 0.38] },
            { 0.30, 0.275, [0.01414, 0.238, 0.184, 0.178, 0.172, 0.163, 0.34, 0.066, -0.22, 0.58, 0.40] },
            { 0.25, 0.225, [0.00818, 0.200, 0.156, 0.150, 0.144, 0.134, 0.29, 0.056, -0.17, 0.46, 0.33] },
        };

    [Theory, MemberData(nameof(Common))]
    public void Natural_numbers_of_common_joints_are_the_printed_ones(double ball, double pad, double[] printed)
    {
        // Independent calculation, project fact sheet 'seating mechanics', section 3.4.
        double volume = SolderCap.BallVolumeMm3(ball);
        double height = SolderCap.HeightMm(volume, pad / 2);
        BridgeCase bridge = new(pad / 2, pad / 2, volume, 0.5, 7400);
        BridgeShape Under(double load) => LiquidBridge.AtLoad(bridge, load).Shape!;
        BridgeLimit spill = BridgeLimits.Spill(bridge)!.Value;
        double[] found =
        [
            volume,
            height,
            SolderCap.TruncatedSphereHeightMm(volume, pad / 2, pad / 2),
            Under(0.05).GapMm,
            Under(0.1).GapMm,
            Under(0.2).GapMm,
            Under(0.1).WidestMm,
            height - Under(0.1).GapMm,
            At(bridge, height).ForceMilliN,
            spill.ForceMilliN,
            spill.WidestMm,
        ];
        double[] digits = [0.6e-5, 0.6e-3, 0.6e-3, 0.6e-3, 0.6e-3, 0.6e-3, 0.6e-2, 0.6e-3, 0.6e-2, 1.1e-2, 1.0e-2];
        for (int i = 0; i < found.Length; i++)
        {
            // The printed spill loads differ from the section's own limit L01 by 1.2 % and end at a step of their scan.
            double allowed = i == 9 ? Math.Max(digits[i], 0.045 * printed[i]) : digits[i];
            Assert.True(Math.Abs(found[i] - printed[i]) <= allowed, $"column {i}: {found[i]} against {printed[i]}");
        }
    }

    [Theory]
    [
        InlineData(0.40, 0.1, 0.506),
        InlineData(0.46, 0.1, 0.509),
        InlineData(0.50, 0.1, 0.511),
        InlineData(0.55, 0.1, 0.513)
    ]
    [
        InlineData(0.40, 0.3, 0.465),
        InlineData(0.46, 0.3, 0.473),
        InlineData(0.50, 0.3, 0.477),
        InlineData(0.55, 0.3, 0.481)
    ]
    public void Tension_moves_the_standoff_as_printed(double tension, double load, double gap)
    {
        // Independent calculation, project fact sheet 'seating mechanics', below section 3.4.
        BridgeCase bridge = new(0.3, 0.3, SolderCap.BallVolumeMm3(0.76), tension, 7400);
        Assert.Equal(gap, LiquidBridge.AtLoad(bridge, load).Shape!.GapMm, 0.6e-3);
    }

    [Fact]
    public void Swelling_moves_ball_and_standoff_as_printed()
    {
        // Project fact sheet 'seating mechanics', below section 3.4: V x 1.045, density 7100.
        double hot = 1.045 * SolderCap.BallVolumeMm3(0.76);
        Assert.Equal(0.6556, SolderCap.HeightMm(hot, 0.3), 0.6e-4);
        Assert.Equal(0.3703, SolderCap.HeightMm(1.045 * SolderCap.BallVolumeMm3(0.45), 0.2), 0.6e-4);
        Assert.Equal(0.524, LiquidBridge.AtLoad(new(0.3, 0.3, hot, 0.5, 7100), 0.1).Shape!.GapMm, 0.6e-3);
    }

    private static BridgeShape At(BridgeCase bridge, double gap)
    {
        BridgeSolution found = LiquidBridge.AtGap(bridge, gap);
        Assert.True(found.Shape is not null, $"{found.Failure}, residual {found.ResidualRatio}");
        return found.Shape!;
    }
}
