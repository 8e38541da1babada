using System.Globalization;
using System.Text;
using System.Text.Json;

namespace Graftbench.Cli.Tests;

/// <summary><c>graftbench joints</c>: one joint by options, a package by a case, exit codes, and what bad input is told.</summary>
public sealed class JointsVerbTests
{
    private static readonly string[] Pads = ["joints", "--board-radius", "0.3", "--package-radius", "0.3"];

    [Fact]
    public async Task One_joint_has_the_force_of_the_printed_row()
    {
        // Fact sheet 'seating mechanics' 5.1, row F05: a 0.76 mm ball between pads of 0.30 mm at 0.643 mm.
        Run run = await Bench.RunAsync([.. Pads, "--ball", "0.76", "--height", "0.643", "--json"]);
        Assert.Equal((0, ""), (run.Code, run.Error));
        using JsonDocument answer = JsonDocument.Parse(run.Out);
        Assert.Equal(-0.349126, answer.RootElement.GetProperty("forceMilliN").GetDouble(), 0.0004);
    }

    [Fact]
    public async Task The_gap_under_a_load_gives_that_load_back()
    {
        Run load = await Bench.RunAsync([.. Pads, "--ball", "0.76", "--load", "0.1", "--json"]);
        using JsonDocument answer = JsonDocument.Parse(load.Out);
        string gap = answer.RootElement.GetProperty("gapMm").GetDouble().ToString("R", CultureInfo.InvariantCulture);
        Run back = await Bench.RunAsync([.. Pads, "--ball", "0.76", "--height", gap, "--json"]);
        using JsonDocument again = JsonDocument.Parse(back.Out);
        Assert.Equal(0.1, again.RootElement.GetProperty("forceMilliN").GetDouble(), 1e-6);
    }

    [Theory]
    [InlineData("--volume 0.00001 --load 0.1", "No gap was found")]
    [InlineData("--ball 0.76 --height 3", "the neck breaks")]
    public async Task Where_there_is_no_shape_there_is_no_figure(string options, string says)
    {
        Run run = await Bench.RunAsync([.. Pads, .. options.Split(' ')]);
        Assert.Equal(1, run.Code);
        Assert.Contains("No shape", run.Out, StringComparison.Ordinal);
        Assert.Contains(says, run.Out.ReplaceLineEndings(" "), StringComparison.Ordinal);
        Assert.DoesNotContain("force on the package", run.Out, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("--ball 0.76 --load 1e6", "--load 1000000")]
    [InlineData("--ball 0.76 --volume 5 --load 0", "Give either --volume or --ball")]
    [InlineData("--ball 0.76", "Give either --load or --height")]
    [InlineData("--ball -1 --load 0", "--ball")]
    public async Task Wrong_options_end_with_two(string options, string says)
    {
        Run run = await Bench.RunAsync([.. Pads, .. options.Split(' ')]);
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains(says, run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_package_is_answered_with_what_to_do()
    {
        const string Case = """
            {
              "format": "graftbench-joints-1", "name": "nine balls", "pitchMm": 1.27, "rows": 3, "columns": 3,
              "ballDiameterMm": 0.76, "ballAlloy": "SAC305", "landAlloy": "SAC305", "trials": 200,
              "seat": {
                "packagePadMm": 0.60, "boardPadMm": 0.60, "packageG": 0.05, "hasParts": "no", "hotWarpageMm": 0.02,
                "domeHeightMm": 0.05
              }
            }
            """;
        Run run = (await Bench.RunAsync(Encoding.UTF8.GetBytes(Case), ["joints", "-"])).AssertFits();
        Assert.Equal("", run.Error);
        Assert.StartsWith("nine balls", run.Out, StringComparison.Ordinal);
        Run data = await Bench.RunAsync(Encoding.UTF8.GetBytes(Case), ["joints", "-", "--json"]);
        using JsonDocument answer = JsonDocument.Parse(data.Out);
        Assert.Equal(9, answer.RootElement.GetProperty("joints").GetArrayLength());
    }

    [Fact]
    public async Task All_that_is_wrong_with_a_case_is_said_at_once()
    {
        const string Case = """
            {"format": "graftbench-joints-1", "pitchMm": 0.5, "rows": 3, "columns": 3, "ballDiameterMm": 0.76,
             "seat": {"packagePadMm": 0, "boardPadMm": 0.4, "domeHight": 0.02}}
            """;
        Run run = await Bench.RunAsync(Encoding.UTF8.GetBytes(Case), ["joints", "-"]);
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains("as large as their pitch", run.Error, StringComparison.Ordinal);
        Assert.Contains("seat.packagePadMm", run.Error, StringComparison.Ordinal);
        Assert.Contains("domeHeightMm", run.Error, StringComparison.Ordinal);
    }
}
