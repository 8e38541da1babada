using Graftbench.Core.Drying;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Drying;

public class LaminateModelTests
{
    [Fact]
    public void The_study_itself_comes_back()
    {
        // Fact sheet section 4.2: 11 600 to 800 ppm in 8 h at 120 °C, for 1.6 mm by one reading and 1.0 mm by the other.
        Assert.Equal(8, LaminateModel.RangeH(1.6, 800.0 / 11600, 120).LowH, 0.06);
        Assert.Equal(8, LaminateModel.RangeH(1.0, 800.0 / 11600, 120).HighH, 0.06);
    }

    public static readonly TheoryData<double, double, double, double> WorkedTimes = new()
    { // °C, fraction left, h with Ea 0.35, h with Ea 0.50: fact sheet section 4.4, 1.6 mm without copper
        { 60, 0.10, 44, 97 },
        { 60, 0.01, 92, 204 },
        { 70, 0.10, 31, 58 },
        { 70, 0.01, 64, 123 },
        { 90, 0.10, 16, 23 },
        { 90, 0.01, 33, 48 },
    };

    [Theory, MemberData(nameof(WorkedTimes))]
    public void Both_activation_energies_match_the_sheet(
        double temperatureC,
        double left,
        double lowEaH,
        double highEaH
    )
    {
        (double lowH, double highH) = LaminateModel.RangeH(1.6, left, temperatureC);

        // Below 120 °C the shorter end has the lower energy; the longer end also takes the thinner reading of the study, 2.22/0.867 of it.
        Assert.Equal(lowEaH, lowH, 0.6);
        Assert.Equal(1, highH / (highEaH * 2.22 / 0.867), 0.015);
    }

    [Fact]
    public void Twenty_millimetres_between_openings_take_44_days_at_120()
    {
        // Fact sheet section 4.4.
        Board planes = SampleJob.Board() with
        {
            SolidPlanes = YesNo.Yes,
        };

        Assert.Equal(44, LaminateModel.Answer(planes, null, 0.1, 120, 1).PlaneDays!.Value, 0.5);
    }

    [Fact]
    public void Air_that_keeps_more_than_the_target_gives_no_hours()
    {
        LaminateDrying answer = LaminateModel.Answer(SampleJob.Board(), 60, 0.1, 60, 8);

        Assert.Null(answer.HighH);
        Assert.Equal(1.16 * 8 / 85, answer.FloorPercent!.Value, 1e-9);
    }

    [Fact]
    public void A_board_drier_than_the_target_needs_nothing() =>
        Assert.Equal(0, LaminateModel.Answer(SampleJob.Board(), 5, 0.1, 60, 1).HighH);
}
