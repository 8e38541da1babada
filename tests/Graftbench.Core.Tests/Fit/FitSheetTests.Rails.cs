using Graftbench.Core.Findings;
using Graftbench.Core.Fit;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Fit;

/// <content>Rails of which the job tells some and the ball lists tell others.</content>
public partial class FitSheetTests
{
    private const string ChipTells = """
        ball,signal,type,rail,Vmin,Vmax,Imax
        A2,VCC,power,VCORE,0.95,1.05,3
        C1,VCC,power,VCORE,0.95,1.05,3
        B1,VIO,power,VIO,1.7,1.9,0.1
        B2,GND,ground,,,,
        """;

    [Fact]
    public void A_rail_that_is_typed_hides_none_of_those_in_the_list()
    {
        Job job = With(needs: one => one with { Rails = [one.Rails[0]] });
        FitSheet sheet = FitPlanner.Sheet(Request(job) with { ChipMap = Map(ChipTells) });
        Assert.Equal(["VCORE", "VIO"], sheet.Rails.Select(rail => rail.Name));
        Assert.Equal(Verdict.Blocker, sheet.Rails[1].Verdict);
    }

    [Theory]
    [InlineData(40.0, "VCORE", Verdict.Ok)]
    [InlineData(5.0, "VCORE", Verdict.Unknown)]
    public void A_sum_over_balls_is_an_upper_end_and_never_stops_a_job(double hasA, string rail, Verdict expected)
    {
        Job job = With(
            needs: one => one with { Rails = [] },
            gives: one => one with { Rails = [one.Rails[0] with { MostCurrentA = hasA }] }
        );
        FitSheet sheet = FitPlanner.Sheet(Request(job) with { ChipMap = Map(ChipTells) });
        Finding current = sheet
            .Rows.Single(row => row.Id == "fit.current")
            .Findings.Single(one => one.Where.EndsWith(rail, StringComparison.Ordinal));
        Assert.Equal(expected, current.Verdict);
    }

    [Fact]
    public void A_ball_without_a_current_makes_the_sum_unknown()
    {
        string gap = ChipTells.Replace("0.95,1.05,3\nC1", "0.95,1.05,\nC1", StringComparison.Ordinal);
        Assert.NotEqual(ChipTells, gap);
        Job job = With(needs: one => one with { Rails = [] });
        FitSheet sheet = FitPlanner.Sheet(Request(job) with { ChipMap = Map(gap) });
        Finding current = sheet
            .Rows.Single(row => row.Id == "fit.current")
            .Findings.Single(one => one.Where.EndsWith("VCORE", StringComparison.Ordinal));
        Assert.Equal(Verdict.Unknown, current.Verdict);
    }

    [Theory]
    [InlineData("1.14,1.26", Verdict.FixFirst)]
    [InlineData("0.9,1.0", Verdict.Unknown)]
    public void The_list_that_the_board_is_made_for_tells_another_voltage_before_a_rail_is_entered(
        string window,
        Verdict expected
    )
    {
        string board = $"""
            ball,signal,type,rail,Vmin,Vmax
            A2,VCC,power,VCORE,{window}
            C1,VCC,power,VCORE,{window}
            B2,GND,ground,,,
            """;
        Job job = With(needs: one => one with { Rails = [] }, gives: one => one with { Rails = [] });
        FitSheet sheet = FitPlanner.Sheet(Request(job) with { ChipMap = Map(ChipTells), HostMap = Map(board) });
        Finding rail = sheet
            .Rows.Single(row => row.Id == "fit.rails")
            .Findings.Single(one => one.Where.EndsWith("VCORE", StringComparison.Ordinal));
        Assert.Equal(expected, rail.Verdict);
    }
}
