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

        Assert.Equal(44, LaminateModel.Answer(planes, Log(planes), 0.1, 120, 1).PlaneDays!.Value, 0.5);
    }

    [Fact]
    public void Air_that_keeps_more_than_the_target_gives_no_hours()
    {
        LaminateDrying answer = LaminateModel.Answer(SampleJob.Board(), Log(SampleJob.Board()), 0.1, 60, 8);

        Assert.Null(answer.HighH);
        Assert.Equal(1.16 * 8 / 85, answer.FloorPercent!.Value, 1e-9);
    }

    [Fact]
    public void An_hour_in_a_dry_room_does_not_dry_a_board()
    {
        Board board = SampleJob.Board();
        LaminateDrying unknown = LaminateModel.Answer(board, Log(board), 0.1, 90, 1);
        LaminateDrying hour = LaminateModel.Answer(
            board,
            Log(board, SampleJob.In("host", ExposurePlace.Room, -1, null, 22, 6)),
            0.1,
            90,
            1
        );

        Assert.Equal(1.16, unknown.StartPercent, 1e-3);
        Assert.InRange(hour.HighH!.Value / unknown.HighH!.Value, 0.97, 1);
    }

    [Fact]
    public void Bakes_before_and_after_a_short_break_add_up()
    {
        Board board = SampleJob.Board();
        LaminateDrying whole = LaminateModel.Answer(
            board,
            Log(board, SampleJob.In("host", ExposurePlace.Bake, -20, null, 90)),
            0.1,
            90,
            1
        );
        LaminateDrying broken = LaminateModel.Answer(
            board,
            Log(
                board,
                SampleJob.In("host", ExposurePlace.Bake, -20.1, -10.1, 90),
                SampleJob.In("host", ExposurePlace.Room, -10.1, -10, 22, 45),
                SampleJob.In("host", ExposurePlace.Bake, -10, null, 90)
            ),
            0.1,
            90,
            1
        );

        Assert.Equal(1, broken.HighH!.Value / whole.HighH!.Value, 0.05);
    }

    private static LaminateState Log(Board board, params Exposure[] exposures) =>
        LaminateLog.Walk(board, exposures, new Climate(25, 50), 0.1, false, SampleJob.Now);
}
