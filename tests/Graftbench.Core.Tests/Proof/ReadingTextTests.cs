using CsCheck;
using Graftbench.Core.Proof;

namespace Graftbench.Core.Tests.Proof;

/// <summary>Values as they are typed. What each means is plain from its text; the marks of IEC 60062 (4k7) are from memory.</summary>
public class ReadingTextTests
{
    public static readonly TheoryData<string, ReadingKind, double> Good = new()
    {
        { "0.452", ReadingKind.Diode, 0.452 },
        { "452 mV", ReadingKind.Diode, 0.452 },
        { "452mv", ReadingKind.Diode, 0.452 },
        { "0,452", ReadingKind.Diode, 0.452 },
        { "452 MV", ReadingKind.Diode, 0.452 },
        { "0V452", ReadingKind.Diode, 0.452 },
        { ".5", ReadingKind.Diode, 0.5 },
        { "4,7k", ReadingKind.Resistance, 4700 },
        { "4k7", ReadingKind.Resistance, 4700 },
        { "4k7 Ω", ReadingKind.Resistance, 4700 },
        { "4R7", ReadingKind.Resistance, 4.7 },
        { "0R22", ReadingKind.Resistance, 0.22 },
        { "1M2", ReadingKind.Resistance, 1.2e6 },
        { "1.2 MΩ", ReadingKind.Resistance, 1.2e6 },
        { "1.2 M", ReadingKind.Resistance, 1.2e6 },
        { "1.2 mΩ", ReadingKind.Resistance, 1.2e-3 },
        { "4.7 kOhm", ReadingKind.Resistance, 4700 },
        { "4.7 kilohms", ReadingKind.Resistance, 4700 },
        { "2 megohm", ReadingKind.Resistance, 2e6 },
        { "2 meg", ReadingKind.Resistance, 2e6 },
        { "35 R", ReadingKind.Resistance, 35 },
        { "1e3", ReadingKind.Resistance, 1000 },
        { "510 mA", ReadingKind.Current, 0.51 },
        { "-0.2 A", ReadingKind.Current, -0.2 },
        { "−0.2 A", ReadingKind.Current, -0.2 },
        { "3.3 volts", ReadingKind.Voltage, 3.3 },
    };

    [Theory, MemberData(nameof(Good))]
    public void A_value_is_read(string text, ReadingKind kind, double expected)
    {
        ValueReading read = ReadingText.Parse(text, kind);
        Assert.Null(read.Problem);
        Assert.Equal(expected, read.Value!.Number!.Value, 1e-12 * Math.Max(1, Math.Abs(expected)));
    }

    [Theory]
    [InlineData("OL")]
    [InlineData("0L")]
    [InlineData("o.l")]
    [InlineData("OL V")]
    [InlineData("open")]
    [InlineData("∞")]
    public void Overload_is_no_number(string text)
    {
        ValueReading read = ReadingText.Parse(text, ReadingKind.Diode);
        Assert.True(read.Value!.IsOverload);
        Assert.Null(read.Value.Number);
    }

    public static readonly TheoryData<string, ReadingKind, string> Bad = new()
    {
        { "", ReadingKind.Diode, "There is no value" },
        { "abc", ReadingKind.Diode, "is no value" },
        { "NaN", ReadingKind.Diode, "is no value" },
        { "452", ReadingKind.Diode, "452 V lies outside 0 V to 3.3 V" },
        { "452", ReadingKind.Diode, "write 452 mV" },
        { "-0.4", ReadingKind.Diode, "still holds a charge" },
        { "-3", ReadingKind.Resistance, "subtracted twice" },
        { "1e10", ReadingKind.Resistance, "our own limit" },
        { "0.4 V", ReadingKind.Resistance, "V is no unit of this" },
        { "4.7 kOhm", ReadingKind.Diode, "is no unit of this" },
        { "1,200", ReadingKind.Resistance, "may mean 1.200 or 1200" },
        { "1,200.5", ReadingKind.Resistance, "more than one mark" },
        { "1.2.3", ReadingKind.Resistance, "more than one mark" },
        { "5 x", ReadingKind.Resistance, "'x' is no unit" },
        { "OL V", ReadingKind.Resistance, "is no unit of it" },
        { "1e400", ReadingKind.Resistance, "is no number" },
    };

    [Theory, MemberData(nameof(Bad))]
    public void What_cannot_be_taken_is_told(string text, ReadingKind kind, string says)
    {
        ValueReading read = ReadingText.Parse(text, kind);
        Assert.Null(read.Value);
        Assert.Contains(says, read.Problem, StringComparison.Ordinal);
    }

    public static readonly TheoryData<ReadingKind, double, string> Written = new()
    {
        { ReadingKind.Diode, 0.4523, "0.452 V" },
        { ReadingKind.Resistance, 4700, "4.7 kΩ" },
        { ReadingKind.Resistance, 1.2e6, "1.2 MΩ" },
        { ReadingKind.Resistance, 0.35, "350 mΩ" },
        { ReadingKind.Resistance, 0, "0 Ω" },
        { ReadingKind.Resistance, 1e9, "1 GΩ" },
        { ReadingKind.Current, 0.51, "510 mA" },
        { ReadingKind.Voltage, -12.5, "-12.5 V" },
    };

    [Theory, MemberData(nameof(Written))]
    public void A_value_is_written_with_four_digits(ReadingKind kind, double number, string expected) =>
        Assert.Equal(expected, ReadingText.Of(kind, number));

    [Fact]
    public void What_is_written_reads_back_to_three_digits() =>
        Gen.Double[-2, 8]
            .Sample(power =>
            {
                double ohm = Math.Pow(10, power);
                double back = ReadingText
                    .Parse(ReadingText.Of(ReadingKind.Resistance, ohm), ReadingKind.Resistance)
                    .Value!.Number!.Value;
                return Math.Abs((back / ohm) - 1) < 0.001;
            });

    [Fact]
    public void Any_text_gives_a_value_or_a_problem_and_never_an_exception() =>
        Gen.Select(Gen.String[Gen.Char["0123456789.,-+eEkKmMRVAΩOLohm µ\t\""], 0, 20], Gen.Enum<ReadingKind>())
            .Sample(
                (text, kind) =>
                {
                    ValueReading read = ReadingText.Parse(text, kind);
                    return (read.Value is null) != (read.Problem is null);
                },
                iter: 50_000
            );
}
