using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Facts;

public class PackageLibraryTests
{
    // Ball sizes that the trade list names [mm].
    private static readonly double[] TradeBallsMm = [0.25, 0.30, 0.35, 0.40, 0.45, 0.50, 0.55, 0.60, 0.65, 0.76];

    public static TheoryData<string> Ids => [.. PackageLibrary.Classes.Select(one => one.Id)];

    private static PackageClass Of(string id) => PackageLibrary.Classes.Single(one => one.Id == id);

    [Fact]
    public void The_library_runs_from_the_smallest_body_to_the_largest()
    {
        Assert.InRange(PackageLibrary.Classes.Count, 15, 25);
        List<double> areas = [.. PackageLibrary.Classes.Select(one => one.BodyLengthMm * one.BodyWidthMm)];
        Assert.Equal(areas.Order(), areas);
        Assert.Equal((25.0, 2025.0), (areas[0], areas[^1]));
        Assert.Equal(
            [0.4, 0.5, 0.65, 0.8, 1.0, 1.27],
            PackageLibrary.Classes.Select(one => one.PitchMm).Distinct().Order()
        );
    }

    [Theory, MemberData(nameof(Ids))]
    public void The_ball_field_fits_under_the_body(string id)
    {
        PackageClass one = Of(id);
        Assert.True((one.Columns - 1) * one.PitchMm + one.BallDiameterMm <= one.BodyLengthMm, "columns");
        Assert.True((one.Rows - 1) * one.PitchMm + one.BallDiameterMm <= one.BodyWidthMm, "rows");
        Assert.InRange(one.BallCount, 1, one.Rows * one.Columns);
    }

    [Theory, MemberData(nameof(Ids))]
    public void Balls_are_of_the_trade_list_and_leave_a_gap(string id)
    {
        PackageClass one = Of(id);
        Assert.Contains(one.BallDiameterMm, TradeBallsMm);
        Assert.True(one.BallDiameterMm < 0.75 * one.PitchMm, $"{one.BallDiameterMm} mm at {one.PitchMm} mm pitch");
    }

    [Theory, MemberData(nameof(Ids))]
    public void The_substrate_is_part_of_a_plausible_body(string id)
    {
        PackageClass one = Of(id);
        Assert.True(one.SubstrateThicknessMm < one.BodyThicknessMm);
        Assert.InRange(one.BodyThicknessMm, 0.5, 4.5);
        Assert.NotEqual(MoistureLevel.Unknown, one.MoistureLevel);
    }

    [Theory, MemberData(nameof(Ids))]
    public void No_class_claims_a_source_that_was_seen(string id) =>
        Assert.NotEqual(Confidence.Seen, Of(id).Confidence);

    [Theory, MemberData(nameof(Ids))]
    public void The_title_has_the_sizes(string id)
    {
        PackageClass one = Of(id);
        Assert.Contains(
            FormattableString.Invariant($"{one.BodyLengthMm} × {one.BodyWidthMm} mm"),
            one.Title,
            StringComparison.Ordinal
        );
        Assert.Contains(FormattableString.Invariant($"{one.BallCount} balls"), one.Title, StringComparison.Ordinal);
    }
}
