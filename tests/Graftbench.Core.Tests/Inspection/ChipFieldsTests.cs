using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Inspection;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Inspection;

public class ChipFieldsTests
{
    private static Chip Chip(int? rows, int? columns, int? balls, int emptyRows = 0, int emptyColumns = 0) =>
        new()
        {
            Id = "U1",
            From = ChipPlace.Donor,
            To = ChipPlace.Host,
            BodyLengthMm = 15,
            BodyWidthMm = 15,
            BodyThicknessMm = 1,
            PitchMm = 1,
            Rows = rows,
            Columns = columns,
            BallCount = balls,
            Seat = new Seat { EmptyRows = emptyRows, EmptyColumns = emptyColumns },
        };

    [Theory]
    [InlineData(12, 12, 144, 0, 0, 144)]
    [InlineData(26, 26, 388, 16, 18, 388)]
    [InlineData(12, 12, null, 4, 4, 128)]
    public void A_field_is_what_the_job_says(
        int rows,
        int columns,
        int? balls,
        int emptyRows,
        int emptyColumns,
        int count
    ) => Assert.Equal(count, ChipFields.Of(Chip(rows, columns, balls, emptyRows, emptyColumns)).Field?.Count);

    [Theory]
    [InlineData(null, 12, 144, 0, 0, "Enter rows, columns and pitch")]
    [InlineData(12, 12, 140, 0, 0, "has 140 balls by the job, but rows, columns and empty middle make 144")]
    [InlineData(12, 12, null, 12, 12, "leaves no ball")]
    [InlineData(12, 12, null, 20, 2, "leaves no ball")]
    public void What_is_missing_or_contradicts_itself_is_said(
        int? rows,
        int? columns,
        int? balls,
        int emptyRows,
        int emptyColumns,
        string says
    )
    {
        ChipField found = ChipFields.Of(Chip(rows, columns, balls, emptyRows, emptyColumns));
        Assert.Null(found.Field);
        Assert.Contains(says, found.Missing, StringComparison.Ordinal);
    }

    [Fact]
    public void A_ball_list_says_which_sites_have_a_ball_and_a_contradiction_is_told()
    {
        BallMap map = BallMapReader.Read("ball;signal\nA1;GND\nA3;D0\nB2;VCC\nC3;NC\n", BallView.Top).Packages.Single();
        ChipField found = ChipFields.Of(Chip(3, 3, 4), map);
        Assert.Equal(4, found.Field!.Count);
        Assert.False(found.Field.Has(0, 1));
        // Without rows and columns the list says them.
        Assert.Equal(4, ChipFields.Of(Chip(null, null, null), map).Field!.Count);
        ChipField other = ChipFields.Of(Chip(4, 3, 4), map);
        Assert.Null(other.Field);
        Assert.Contains("3 rows and 3 columns, the job says 4 and 3", other.Missing, StringComparison.Ordinal);
    }
}
