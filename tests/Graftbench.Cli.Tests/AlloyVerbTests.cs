using System.Text;
using System.Text.Json;

namespace Graftbench.Cli.Tests;

/// <summary><c>graftbench alloy</c>: JSON in and out, options, exit codes, and what bad input is told.</summary>
public sealed class AlloyVerbTests
{
    private const string Good = """
        {
          "format": "graftbench-alloy-1", "name": "graft ball", "peakC": 219,
          "parts": [
            { "alloy": "SAC305", "massMg": 0.9 },
            { "name": "land", "alloy": "Sn63Pb37", "massMg": 0.1 },
          ]
        }
        """;

    [Fact]
    public async Task A_case_is_answered_in_words_and_as_data()
    {
        Run words = (await Bench.RunAsync(Encoding.UTF8.GetBytes(Good), ["alloy", "-"])).AssertFits();
        Assert.Equal((0, ""), (words.Code, words.Error));
        Assert.StartsWith("graft ball: Fully molten at 215 °C", words.Out, StringComparison.Ordinal);
        Assert.Contains("do not move before 175 °C", words.Out, StringComparison.Ordinal);
        Run data = await Bench.RunAsync(Encoding.UTF8.GetBytes(Good), ["alloy", "-", "--json"]);
        Assert.Equal((0, ""), (data.Code, data.Error));
        using JsonDocument answer = JsonDocument.Parse(data.Out);
        JsonElement root = answer.RootElement;
        Assert.Equal("computed", root.GetProperty("state").GetString());
        // Section 3.4 of the fact sheet 'solder alloys': 10 % in SAC305.
        Assert.Equal(215.06, root.GetProperty("fullMelt").GetProperty("valueC").GetDouble(), 0.05);
        Assert.Equal(215.22, root.GetProperty("liquidus").GetProperty("valueC").GetDouble(), 0.03);
        Assert.Equal(25, root.GetProperty("map").GetProperty("rows").GetArrayLength());
        Assert.True(root.GetProperty("heating").GetArrayLength() > 60);
        Assert.True(root.GetProperty("peak").GetProperty("mixes").GetBoolean());
    }

    [Fact]
    public async Task Options_give_the_same_figures_as_a_case()
    {
        Run run = await Bench.RunAsync(
            "alloy",
            "--part",
            "SAC305:mass:0.9",
            "--part",
            "63/37:mass:0.1",
            "--peak",
            "219",
            "--json"
        );
        Assert.Equal(0, run.Code);
        using JsonDocument answer = JsonDocument.Parse(run.Out);
        Assert.Equal(215.06, answer.RootElement.GetProperty("fullMelt").GetProperty("valueC").GetDouble(), 0.05);
    }

    [Theory]
    [InlineData("Refused: Lead meets bismuth", "Sn42Bi58:ball:0.50", "Sn63Pb37:layer:0.45x0.015", "180")]
    [InlineData("is too low", "SAC305:ball:0.60", "Sn63Pb37:layer:0.50x0.020", "205")]
    public async Task What_must_not_be_done_ends_with_one(string says, string ball, string land, string peak)
    {
        Run run = (await Bench.RunAsync("alloy", "--part", ball, "--part", land, "--peak", peak)).AssertFits();
        Assert.Equal((1, ""), (run.Code, run.Error));
        Assert.Contains(
            says,
            string.Join(' ', run.Out.Split('\n', StringSplitOptions.TrimEntries)),
            StringComparison.Ordinal
        );
    }

    public static readonly TheoryData<string, string[]> Wrong = new()
    {
        { "Give either an alloy case or --part", [] },
        { "this is no part", ["--part", "SAC305"] },
        { "this is no part", ["--part", "SAC305:ball:0.6x0.5"] },
        { "this is no part", ["--part", "SAC305:cube:1"] },
        { "this is no part", ["--part", "SAC305:ball:NaN"] },
        { "this is no part", ["--part", "SAC305:mass:1" + new string('0', 400)] },
        { "Antimony (5 %)", ["--part", "Sn95Sb5:ball:0.6"] },
        { "Indium (52 %)", ["--part", "In52Sn48:ball:0.6"] },
        { "over the 5 %", ["--part", "Sn90Ag10:ball:0.6"] },
        {
            "up to 5 % Ag and 2 % Cu (melting model, collection of Kattner, NIST, 1999)",
            ["--part", "Sn96Cu4:ball:0.6"]
        },
        { "not in the alloy table", ["--part", "SAC306:ball:0.6"] },
        { "found 0 mg allowed 1E-05 to 10000 mg", ["--part", "SAC305:mass:0"] },
        { "found -1 mg", ["--part", "SAC305:mass:-1"] },
        { "found 600 mm", ["--part", "SAC305:ball:600"] },
        { "Did you mean 0.6 (mm), if 600 was meant in µm?", ["--part", "SAC305:ball:600"] },
        { "found 20 °C", ["--part", "SAC305:ball:0.6", "--peak", "20"] },
        { "no number", ["--part", "SAC305:ball:0.6", "--peak", "hot"] },
        { "higher than its land is wide", ["--part", "SAC305:dome:0.3x0.5"] },
    };

    [Theory, MemberData(nameof(Wrong))]
    public async Task Bad_options_are_refused_with_the_limit(string says, string[] options)
    {
        Run run = (await Bench.RunAsync(["alloy", .. options])).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains(says, run.Says, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", run.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("\"massMg\": 0.9", "\"massMg\": 0.9, \"ballDiameterMm\": 0.3", "contradict each other")]
    [InlineData("\"massMg\": 0.9", "\"massMg\": 0.8347, \"ballDiameterMm\": 0.6", "said twice.")]
    [InlineData("\"massMg\": 0.9", "\"massMg\": \"0.9 g\"", "900")]
    [InlineData("\"massMg\": 0.9", "\"masMg\": 0.9", "Did you mean massMg?")]
    [InlineData("\"massMg\": 0.9", "\"landDiameterMm\": 0.5", "needs the height")]
    [InlineData("\"massMg\": 0.9", "\"layerMm\": 0.02", "needs the land")]
    [InlineData("\"massMg\": 0.9", "\"stencilMm\": 0.12", "needs apertureMm")]
    [InlineData("\"massMg\": 0.9", "\"metalPercent\": 50", "belongs to paste")]
    [InlineData(", \"massMg\": 0.9", "", "is not said")]
    [InlineData("\"alloy\": \"SAC305\",", "", "alloy")]
    [InlineData("\"peakC\": 219", "\"peakC\": 1e999", "1e999")]
    [InlineData("graftbench-alloy-1", "graftbench-joints-1", "graftbench-alloy-1")]
    public async Task A_bad_case_is_refused_with_everything_that_is_wrong(string good, string bad, string says)
    {
        string text = Good.Replace(good, bad, StringComparison.Ordinal)
            .Replace("\"Sn63Pb37\"", "\"Sn62Sb38\"", StringComparison.Ordinal);
        Run run = (await Bench.RunAsync(Encoding.UTF8.GetBytes(text), ["alloy", "-"])).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains(says, run.Says, StringComparison.Ordinal);
        // The second part is wrong too, and said in the same go.
        Assert.Contains("Antimony (38 %)", run.Says, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_case_cut_anywhere_is_refused_and_never_crashes()
    {
        using TemporaryFolder folder = new();
        byte[] whole = Encoding.UTF8.GetBytes(Good);
        foreach (int length in new[] { 0, 1, 40, 120, whole.Length / 2, whole.Length - 4 })
        {
            Run run = (await Bench.RunAsync(whole[..length], ["alloy", "-"])).AssertFits();
            Assert.Equal((2, ""), (run.Code, run.Out));
        }
        Run both = await Bench.RunAsync("alloy", folder.File("none.json"), "--part", "SAC305:ball:0.6");
        Assert.Equal(2, both.Code);
        Run missing = await Bench.RunAsync("alloy", folder.File("none.json"));
        Assert.Contains("there is no such file", missing.Says, StringComparison.Ordinal);
    }
}
