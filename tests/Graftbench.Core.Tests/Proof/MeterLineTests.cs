using System.Text;
using CsCheck;
using Graftbench.Core.Proof;

namespace Graftbench.Core.Tests.Proof;

public class MeterLineTests
{
    public static readonly TheoryData<string, double, ElectricalUnit?> Good = new()
    {
        { "+0.4523 V DC", 0.4523, ElectricalUnit.Volt },
        { "DCV 1.234E+00", 1.234, ElectricalUnit.Volt },
        { "12.34 mV  AUTO", 0.01234, ElectricalUnit.Volt },
        { "  -  12.3 mVDC", -0.0123, ElectricalUnit.Volt },
        { "4.702 kOhm", 4702, ElectricalUnit.Ohm },
        { "4.702kΩ", 4702, ElectricalUnit.Ohm },
        { "4.702 MOHM", 4.702e6, ElectricalUnit.Ohm },
        { "OHM,+1.2E3", 1200, ElectricalUnit.Ohm },
        { "0,4523 V", 0.4523, ElectricalUnit.Volt },
        { "1,0.4523,V,DC", 0.4523, ElectricalUnit.Volt },
        { "CH1: 0.612 V", 0.612, ElectricalUnit.Volt },
        { "DIODE 0.612", 0.612, ElectricalUnit.Volt },
        { "0.612 V 25.1 C", 0.612, ElectricalUnit.Volt },
        { "12:34:56 0.612 V", 0.612, ElectricalUnit.Volt },
        { "I=510mA", 0.51, ElectricalUnit.Ampere },
        { "0.612", 0.612, null },
    };

    [Theory, MemberData(nameof(Good))]
    public void A_line_of_a_meter_is_read(string line, double expected, ElectricalUnit? unit)
    {
        MeterLine read = MeterLine.Read(line);
        Assert.Null(read.Problem);
        Assert.Equal(expected, read.Value!.Number!.Value, 1e-12 * Math.Max(1, Math.Abs(expected)));
        Assert.Equal(unit, read.Unit);
    }

    [Theory]
    [InlineData("OL  kOhm", ElectricalUnit.Ohm)]
    [InlineData("DIODE O.L", ElectricalUnit.Volt)]
    [InlineData("0L V", ElectricalUnit.Volt)]
    [InlineData("OL", null)]
    public void Overload_is_no_number(string line, ElectricalUnit? unit)
    {
        MeterLine read = MeterLine.Read(line);
        Assert.True(read.Value!.IsOverload);
        Assert.Equal(unit, read.Unit);
    }

    [Theory]
    [InlineData("", "no number")]
    [InlineData("hello", "no number")]
    [InlineData("0.6 V 0.4 A", "two values")]
    [InlineData("1 2 3", "several numbers")]
    [InlineData("9e999 V", "no number")]
    public void What_tells_no_value_says_why(string line, string says) =>
        Assert.Contains(says, MeterLine.Read(line).Problem, StringComparison.Ordinal);

    [Fact]
    public void A_line_without_end_is_refused() =>
        Assert.NotNull(MeterLine.Read(new string('1', MeterLine.LongestLine + 1)).Problem);

    [Fact]
    public void Any_line_gives_a_value_or_a_problem() =>
        Gen.String[Gen.Char["0123456789.,-+eE kKmMVAΩOLohm:=;|\0\r\nDC"], 0, 40]
            .Sample(
                line =>
                {
                    MeterLine read = MeterLine.Read(line);
                    return (read.Value is null) != (read.Problem is null);
                },
                iter: 50_000
            );

    // 10 lines a second of a capacitor that charges towards 0.5 V with a time constant of 3 s, 1 mV of noise allowed.
    [Fact]
    public void A_capacitor_that_charges_has_not_settled_until_it_moves_less_than_the_noise()
    {
        MeterFeed feed = new(ReadingKind.Diode, 0.001);
        double settledS = double.NaN;
        for (int i = 0; i < 400 && double.IsNaN(settledS); i++)
        {
            double timeS = i / 10.0;
            double volts = 0.5 * (1 - Math.Exp(-timeS / 3));
            MeterShown shown = feed.Line(FormattableString.Invariant($"{volts:0.00000} V"), timeS);
            if (shown.Settled is { } settled)
            {
                settledS = timeS;
                Assert.Equal(0.5, settled.Number!.Value, 0.004);
            }
        }
        // Over the 2 s before, it moves by 2 noises where 0.5·exp(-t/3)·(exp(2/3) - 1) = 2 mV: t = 16.4 s.
        Assert.Equal(16.4, settledS, 0.3);
    }

    [Fact]
    public void Putting_the_leads_down_anew_forgets_what_was()
    {
        MeterFeed feed = new(ReadingKind.Resistance);
        MeterShown last = null!;
        for (int i = 0; i < 30; i++)
        {
            last = feed.Line("47.1 Ohm", i / 10.0);
        }
        Assert.Equal(47.1, last.Settled!.Number!.Value, 1e-9);
        feed.Anew();
        Assert.Null(feed.Line("47.1 Ohm", 3.1).Settled);
    }

    [Fact]
    public void Overload_settles_as_overload_and_never_together_with_numbers()
    {
        MeterFeed feed = new(ReadingKind.Diode);
        MeterShown last = null!;
        for (int i = 0; i < 30; i++)
        {
            last = feed.Line(i == 15 ? "0.6 V" : "OL V", i / 10.0);
        }
        Assert.Null(last.Settled);
        for (int i = 30; i < 60; i++)
        {
            last = feed.Line("OL V", i / 10.0);
        }
        Assert.True(last.Settled!.IsOverload);
    }

    [Fact]
    public void Another_unit_is_told_and_settles_nothing()
    {
        MeterFeed feed = new(ReadingKind.Diode);
        Assert.Contains("turn it to diode-mode", feed.Line("47 Ohm", 0).Problem, StringComparison.Ordinal);
        Assert.Contains("outside", feed.Line("12 V", 1).Problem, StringComparison.Ordinal);
    }

    [Fact]
    public void Bytes_in_any_pieces_give_the_same_lines() =>
        Gen.Int[1, 7]
            .Sample(size =>
            {
                byte[] bytes = Encoding.UTF8.GetBytes("half\r\n0.5 V\r\n0.6 V\n\n0.7 V\r\n");
                MeterFeed feed = new(ReadingKind.Diode);
                List<double> seen = [];
                for (int at = 0; at < bytes.Length; at += size)
                {
                    feed.Feed(
                        bytes.AsSpan(at, Math.Min(size, bytes.Length - at)),
                        at,
                        shown => seen.Add(shown.Value!.Number!.Value)
                    );
                }
                return seen.SequenceEqual([0.5, 0.6, 0.7]);
            });
}
