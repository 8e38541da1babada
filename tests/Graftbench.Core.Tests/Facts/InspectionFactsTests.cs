using Graftbench.Core.Facts;

namespace Graftbench.Core.Tests.Facts;

/// <summary>Limits of inspection as quoted in public; the standards themselves were not opened.</summary>
public class InspectionFactsTests
{
    public static TheoryData<string, double, double?, string> Limits =>
        new()
        {
            { "ipc-a-610e", 25, null, "SMT Magazine, June 2014, quoting IPC-A-610E" },
            { "ipc-7095-class-1", 36, 60, "forum thread of October 2002, quoting IPC-7095" },
            { "ipc-7095-class-2", 20.25, 45, "the same" },
            { "ipc-7095-class-3", 9, 30, "the same" },
        };

    [Theory, MemberData(nameof(Limits))]
    public void Void_limits_are_those_quoted(string name, double areaPercent, double? diameterPercent, string source)
    {
        VoidLimit limit = InspectionFacts.FindVoidLimit(name)!;
        Assert.True(limit.AreaPercent == areaPercent && limit.DiameterPercent == diameterPercent, source);
        Assert.NotEmpty(limit.Revision);
    }

    [Fact]
    public void An_area_is_the_square_of_its_diameter() =>
        Assert.All(
            InspectionFacts.VoidLimits.Where(limit => limit.DiameterPercent is not null),
            limit => Assert.Equal(Math.Pow(limit.DiameterPercent!.Value, 2) / 100, limit.AreaPercent, 1e-9)
        );

    [Fact]
    public void A_figure_from_memory_says_so() =>
        Assert.Equal(Confidence.FromMemory, InspectionFacts.FindVoidLimit("ipc-a-610-later")!.Confidence);

    [Fact]
    public void The_usual_limit_exists_and_unknown_names_do_not()
    {
        Assert.NotNull(InspectionFacts.FindVoidLimit(InspectionFacts.UsualVoidLimit));
        Assert.Null(InspectionFacts.FindVoidLimit("ipc-a-610z"));
    }

    [Fact]
    public void Limits_of_the_seat_say_that_they_are_estimates_or_practice()
    {
        Assert.Equal(
            (10, Confidence.Estimate),
            (InspectionFacts.TiltByStandoff.AllowedPercent, InspectionFacts.TiltByStandoff.Confidence)
        );
        Assert.Equal(
            (15, Confidence.Estimate),
            (InspectionFacts.CornerOverMean.AllowedPercent, InspectionFacts.CornerOverMean.Confidence)
        );
        Assert.Equal(
            (50, Confidence.CommonPractice),
            (InspectionFacts.OffsetByLand.AllowedPercent, InspectionFacts.OffsetByLand.Confidence)
        );
    }
}
