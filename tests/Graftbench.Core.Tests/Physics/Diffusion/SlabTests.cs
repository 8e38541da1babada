using CsCheck;
using Graftbench.Core.Physics.Diffusion;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Physics.Diffusion;

public class SlabTests
{
    private const string Sheet = "fact sheet, check 27: textbook series to four digits";
    private const string Mpmath = "mpmath, 30 digits: tests/reference/diffusion.py";

    public static readonly TheoryData<double, double, double, string> Remaining = new()
    { // Fo, R, absolute tolerance, source
        { 0.05, 0.4959, 1e-4, Sheet },
        { 0.1, 0.3021, 1e-4, Sheet },
        { 0.2, 0.1126, 1e-4, Sheet },
        { 0.3, 0.0420, 1e-4, Sheet },
        { 0.5, 0.0058, 1e-4, Sheet },
        { 1e-5, 0.9928635035353889, 1e-14, Mpmath },
        { 1e-3, 0.9286350353538892, 1e-14, Mpmath },
        { 0.01, 0.774324166581016, 1e-14, Mpmath },
        { 0.05, 0.4959121797974514, 1e-14, Mpmath },
        { 0.0599, 0.4492270715229303, 1e-14, Mpmath },
        { 0.06, 0.4487804608700321, 1e-14, Mpmath },
        { 0.1, 0.3021180937732732, 1e-14, Mpmath },
        { 0.5, 0.005829521073839645, 1e-14, Mpmath },
        { 2, 2.168506766718191e-9, 1e-20, Mpmath },
    };

    [Theory, MemberData(nameof(Remaining))]
    public void Remaining_fraction_matches_the_series(double fourier, double expected, double tolerance, string source)
    {
        double off = Slab.RemainingFraction(fourier) - expected;
        Assert.True(Math.Abs(off) <= tolerance, source);
        Truth.Note("drying.slab", off);
    }

    public static readonly TheoryData<double, double> Inverse = new()
    { // R, D·t/L²: fact sheet section 4.1, four digits
        { 0.50, 0.0492 },
        { 0.25, 0.1192 },
        { 0.20, 0.1418 },
        { 0.10, 0.2120 },
        { 0.05, 0.2823 },
        { 0.02, 0.3751 },
        { 0.01, 0.4453 },
    };

    [Theory, MemberData(nameof(Inverse))]
    public void Fourier_number_matches_the_textbook_table(double remaining, double expected) =>
        Assert.Equal(expected, Slab.FourierNumber(remaining), 1e-4);

    [Fact]
    public void Inverse_undoes_the_series() =>
        Gen.Double[1e-9, 0.999999]
            .Sample(remaining =>
                Math.Abs(Slab.RemainingFraction(Slab.FourierNumber(remaining)) / remaining - 1) < 1e-11
            );

    [Fact]
    public void Longer_is_drier() =>
        Gen.Select(Gen.Double[0, 3], Gen.Double[1e-6, 1])
            .Sample((fourier, more) => Slab.RemainingFraction(fourier + more) < Slab.RemainingFraction(fourier));

    [Theory, InlineData(-1e-9), InlineData(double.NaN), InlineData(double.PositiveInfinity)]
    public void Refuses_what_is_not_a_time(double fourier) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => Slab.RemainingFraction(fourier));

    [Theory, InlineData(0), InlineData(-0.1), InlineData(1.0001), InlineData(double.NaN)]
    public void Refuses_what_is_not_a_fraction(double remaining) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => Slab.FourierNumber(remaining));
}
