using System.Runtime.CompilerServices;
using Graftbench.Core.Findings;
using Graftbench.Web.Shell;

namespace Graftbench.Web.Tests;

public class FindingLinkTests
{
    [Theory]
    [InlineData("heat.chip-without-place", "donor board, U5", "/jobs/a/board/donor")]
    [InlineData("heat.chip-without-place", "host board, U5", "/jobs/a/board/host")]
    [InlineData("heat.size-missing", "chip U5", "/jobs/a/edit/chips")]
    [InlineData("heat.size-missing", "donor board", "/jobs/a/edit/donor")]
    [InlineData("heat.board-thinner-than-copper", "donor board", "/jobs/a/edit/donor")]
    [InlineData("heat.cell-on-board", "donor board, BT1", "/jobs/a/edit/donor-parts")]
    [InlineData("drying.level-unknown", "host board", "/jobs/a/edit/host-parts")]
    [InlineData("drying.thickness-unknown", "donor board", "/jobs/a/edit/donor-parts")]
    [InlineData("drying.level-unknown", "chip U1", "/jobs/a/edit/chips")]
    [InlineData("heat.no-heater", "bench", "/jobs/a/edit/heaters")]
    public void A_finding_leads_to_the_form_that_puts_it_right(string code, string where, string address)
    {
        Finding finding = new(Verdict.FixFirst, code, where, "");
        Assert.Equal(address, FindingLinks.Of(finding, "/jobs/a")?.Address);
    }

    [Fact]
    public async Task Every_way_leads_to_a_page()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        IEnumerable<string> ways =
            from code in FindingLinks.Codes
            from place in new[] { "host board", "donor board", "chip GFX" }
            select FindingLinks
                .Of(new Finding(Verdict.FixFirst, code, place, ""), "/jobs/arcade-graphics-chip")
                ?.Address;
        foreach (string way in ways.Distinct())
        {
            await client.Get(way);
        }
    }

    [Fact]
    public void What_only_the_bench_puts_right_leads_nowhere() =>
        Assert.Null(FindingLinks.Of(new Finding(Verdict.FixFirst, "drying.not-dry", "host board", ""), "/jobs/a"));

    [Fact]
    public void Every_code_that_leads_somewhere_is_one_that_the_core_writes()
    {
        string core = string.Concat(
            Directory
                .EnumerateFiles(
                    Path.Combine(Folder(), "../../src/Graftbench.Core"),
                    "*.cs",
                    SearchOption.AllDirectories
                )
                .Select(File.ReadAllText)
        );
        Assert.DoesNotContain(FindingLinks.Codes, code => !core.Contains($"\"{code}\"", StringComparison.Ordinal));
    }

    private static string Folder([CallerFilePath] string file = "") => Path.GetDirectoryName(file)!;
}
