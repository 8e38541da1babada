using CsCheck;
using Graftbench.Core.Facts;
using Graftbench.Core.Proof;

namespace Graftbench.Core.Tests.Facts;

public class CsvCellTests
{
    [Theory]
    [InlineData("=2+5", "'=2+5")]
    [InlineData("=HYPERLINK(\"x\")", "\"'=HYPERLINK(\"\"x\"\")\"")]
    [InlineData("+3V3", "'+3V3")]
    [InlineData("-12V", "'-12V")]
    [InlineData("@SUM(A1)", "'@SUM(A1)")]
    [InlineData("\t=1", "'=1")]
    [InlineData("\r=1", "'=1")]
    [InlineData("a\r\n=1", "a =1")]
    [InlineData("＝1", "'＝1")]
    [InlineData("VCC_CORE", "VCC_CORE")]
    [InlineData("'quoted'", "'quoted'")]
    [InlineData("a,b", "\"a,b\"")]
    public void Words_are_no_formula(string words, string cell) => Assert.Equal(cell, CsvCell.Of(words));

    [Fact]
    public void What_is_put_in_front_is_taken_off_again() =>
        Gen.String[Gen.Char["'=+-@ab\t"], 0, 8]
            .Sample(words => Assert.Equal(words, CsvCell.Words(CsvCell.Defused(words))));

    [Fact]
    public void A_list_of_readings_defuses_words_and_leaves_numbers()
    {
        Reading reading = new()
        {
            Net = "-12V",
            Kind = ReadingKind.Voltage,
            Value = MeterValue.Of(-12.1),
            State = ReadingState.Baseline,
            Person = "=cmd|' /C calc'!A0",
            Note = "@note",
            XMm = -3,
        };
        string list = ReadingList.Write([reading]);
        string[] cells = list.Split('\n')[1].Split(',');
        Assert.Equal("'-12V", cells[0]);
        Assert.Contains("-12.1", cells);
        Assert.Contains("-3", cells);
        Assert.Contains("'=cmd|' /C calc'!A0", cells);
        Assert.Contains("'@note", cells);
        Assert.Equal(reading, Assert.Single(ReadingList.Read(list).Readings));
    }
}
