using ArchUnitNET.Domain;
using ArchUnitNET.Loader;
using ArchUnitNET.xUnitV3;
using static ArchUnitNET.Fluent.ArchRuleDefinition;

namespace Graftbench.Conventions;

/// <summary>Inside Core: steps call physics, physics reads constants and calls numerics, and never the other way round.</summary>
public class InnerLayerTests
{
    private static readonly Architecture Core = new ArchLoader()
        .LoadAssemblies(typeof(Graftbench.Core.Jobs.Job).Assembly)
        .Build();

    [Theory]
    [InlineData("Physics")]
    [InlineData("Numerics")]
    public void Kernels_know_nothing_of_jobs_findings_and_answers(string kernel) =>
        Types()
            .That()
            .ResideInNamespaceMatching($@"^Graftbench\.Core\.{kernel}(\..*)?$")
            .Should()
            .NotDependOnAny(
                Types()
                    .That()
                    .ResideInNamespaceMatching(
                        @"^Graftbench\.Core\.(Jobs|Findings|Drying|Ledger|Planning|Heating|Joints|Mixing)(\..*)?$"
                    )
            )
            .WithoutRequiringPositiveResults()
            .Check(Core);

    [Fact]
    public void Numerics_knows_no_physics() =>
        Types()
            .That()
            .ResideInNamespaceMatching(@"^Graftbench\.Core\.Numerics(\..*)?$")
            .Should()
            .NotDependOnAny(Types().That().ResideInNamespaceMatching(@"^Graftbench\.Core\.(Physics|Facts)(\..*)?$"))
            .WithoutRequiringPositiveResults()
            .Check(Core);

    [Fact]
    public void The_job_document_knows_nothing_of_its_answers() =>
        Types()
            .That()
            .ResideInNamespaceMatching(@"^Graftbench\.Core\.Jobs(\..*)?$")
            .Should()
            .NotDependOnAny(
                Types().That().ResideInNamespaceMatching(@"^Graftbench\.Core\.(Drying|Ledger|Planning)(\..*)?$")
            )
            .Check(Core);
}
