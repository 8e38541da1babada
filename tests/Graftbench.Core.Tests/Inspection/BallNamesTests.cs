using CsCheck;
using Graftbench.Core.Inspection;

namespace Graftbench.Core.Tests.Inspection;

public class BallNamesTests
{
    // Worked out by hand from the rule: twenty letters, then two of them.
    [Theory]
    [InlineData(0, "A")]
    [InlineData(7, "H")]
    [InlineData(8, "J")]
    [InlineData(13, "P")]
    [InlineData(14, "R")]
    [InlineData(19, "Y")]
    [InlineData(20, "AA")]
    [InlineData(25, "AF")]
    [InlineData(33, "AP")]
    [InlineData(40, "BA")]
    [InlineData(47, "BH")]
    public void A_row_has_its_letters(int row, string letters) => Assert.Equal(letters, BallNames.Row(row));

    [Theory]
    [InlineData("I1")]
    [InlineData("A0")]
    [InlineData("A01")]
    [InlineData("A")]
    [InlineData("7")]
    [InlineData("")]
    [InlineData("AAA1")]
    [InlineData("A1x")]
    [InlineData("Á1")]
    [InlineData("A99999")]
    public void What_is_no_name_is_not_read(string name) => Assert.Null(BallNames.Parse(name));

    [Fact]
    public void Another_alphabet_names_other_rows()
    {
        const string All = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";
        Assert.Equal("I3", BallNames.Of(8, 2, All));
        Assert.Equal((8, 2), BallNames.Parse("i3", All));
        Assert.Throws<ArgumentException>(() => BallNames.Row(0, "ABA"));
        Assert.Throws<ArgumentException>(() => BallNames.Row(0, ""));
        Assert.Throws<ArgumentOutOfRangeException>(() => BallNames.Row(6, "AB"));
    }

    [Fact]
    public void Every_name_reads_back() =>
        Gen.Select(Gen.Int[0, 419], Gen.Int[0, 998])
            .Sample((row, column) => BallNames.Parse(BallNames.Of(row, column)) == (row, column));
}

public class BallFieldTests
{
    [Fact]
    public void A_field_with_an_empty_middle_has_the_sites_around_it()
    {
        BallField field = BallField.WithEmptyMiddle(6, 8, 2, 4, 1.0, 0.6);
        Assert.Equal(48 - 8, field.Count);
        Assert.Equal(field.Count, field.Sites().Count());
        Assert.False(field.Has(2, 2));
        Assert.True(field.Has(2, 1));
        Assert.False(field.Has(-1, 0));
        Assert.False(field.Has(0, 8));
        Assert.Equal("C3", field.NameOf(2, 2));
        Assert.Equal((5, 7), field.SiteOf("F8"));
        Assert.Null(field.SiteOf("G1"));
        Assert.Null(field.SiteOf("A9"));
    }

    [Theory]
    [InlineData(0, 5, 1.0, 0.5)]
    [InlineData(5, 101, 1.0, 0.5)]
    [InlineData(5, 5, 0.0, 0.5)]
    [InlineData(5, 5, double.NaN, 0.5)]
    [InlineData(5, 5, 1.0, 1.0)]
    [InlineData(5, 5, 1.0, -0.1)]
    public void A_field_that_cannot_be_is_refused(int rows, int columns, double pitch, double ball) =>
        Assert.ThrowsAny<ArgumentException>(() => new BallField(rows, columns, pitch, null, ball));

    [Fact]
    public void A_field_without_balls_or_with_other_sites_is_refused()
    {
        Assert.Throws<ArgumentException>(() => new BallField(2, 2, 1, new bool[4]));
        Assert.Throws<ArgumentException>(() => new BallField(2, 2, 1, new bool[5]));
    }
}
