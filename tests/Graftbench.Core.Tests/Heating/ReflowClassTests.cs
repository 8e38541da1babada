using CsCheck;
using Graftbench.Core.Facts;
using Graftbench.Core.Heating;

namespace Graftbench.Core.Tests.Heating;

public class ReflowClassTests
{
    // process, length x width x thickness [mm], revision, temperature; J-STD-020 tables 4-1 and 4-2 (C seen, D from memory).
    public static readonly TheoryData<SolderProcess, double, double, double, string?, double> Sourced = new()
    {
        { SolderProcess.LeadFree, 35, 35, 2.3, null, 245 },
        { SolderProcess.LeadFree, 10, 10, 1.2, null, 260 },
        { SolderProcess.TinLead, 10, 10, 1.2, "D", 235 },
        { SolderProcess.TinLead, 10, 10, 1.2, "C", 240 },
        { SolderProcess.TinLead, 10, 10, 1.2, null, 235 },
        { SolderProcess.TinLead, 35, 35, 1.8, "C", 225 },
        { SolderProcess.TinLead, 35, 35, 1.8, "D", 220 },
        { SolderProcess.TinLead, 10, 10, 2.5, null, 220 },
        { SolderProcess.LeadFree, 23, 23, 1.6, null, 250 },
        { SolderProcess.LeadFree, 14, 14, 1.6, null, 260 },
        { SolderProcess.LeadFree, 40, 50, 1.59, null, 260 },
        // Exactly 2.5 mm: revision D counts it to 1.6-2.5, revision C to the thick ones; the lower one is used.
        { SolderProcess.LeadFree, 10, 10, 2.5, null, 250 },
        { SolderProcess.LeadFree, 10, 10, 2.5, "D", 260 },
        { SolderProcess.LeadFree, 20, 20, 2.5, null, 245 },
        { SolderProcess.LeadFree, 20, 20, 2.5, "D", 250 },
        { SolderProcess.LeadFree, 20, 20, 2.5, "C", 245 },
    };

    [Theory, MemberData(nameof(Sourced))]
    public void A_body_has_the_temperature_of_its_cell(
        SolderProcess process,
        double lengthMm,
        double widthMm,
        double thicknessMm,
        string? revision,
        double expectedC
    )
    {
        ReflowClassAnswer answer = ReflowClass.Of(process, thicknessMm, lengthMm * widthMm * thicknessMm, revision);
        Assert.Equal(expectedC, answer.ClassTemperatureC);
        Assert.NotNull(ReferenceShelf.FindSource(answer.Source));
    }

    [Fact]
    public void Disagreeing_revisions_are_said()
    {
        ReflowClassAnswer answer = ReflowClass.Of(SolderProcess.LeadFree, 2.5, 1000);
        Assert.Equal("C", answer.Revision);
        Assert.Contains("disagree", answer.Why, StringComparison.Ordinal);
        Assert.Equal("C and D", ReflowClass.Of(SolderProcess.LeadFree, 2.3, 2818).Revision);
    }

    [Fact]
    public void Every_size_has_a_temperature_and_a_larger_body_never_a_higher_one() =>
        Gen.Select(Gen.Double[0.1, 12], Gen.Double[1, 9000], Gen.Double[1, 2], Gen.Enum<SolderProcess>())
            .Sample(
                (thicknessMm, volumeMm3, more, process) =>
                    ReflowClass.Of(process, thicknessMm * more, volumeMm3 * more).ClassTemperatureC
                    <= ReflowClass.Of(process, thicknessMm, volumeMm3).ClassTemperatureC
            );

    [Theory]
    [InlineData(0, 100)]
    [InlineData(1, double.NaN)]
    public void What_is_no_size_is_refused(double thicknessMm, double volumeMm3) =>
        Assert.Throws<ArgumentOutOfRangeException>(() =>
            ReflowClass.Of(SolderProcess.LeadFree, thicknessMm, volumeMm3)
        );

    [Fact]
    public void An_unknown_revision_is_refused() =>
        Assert.Throws<ArgumentException>(() => ReflowClass.Of(SolderProcess.LeadFree, 1, 100, "B"));
}
