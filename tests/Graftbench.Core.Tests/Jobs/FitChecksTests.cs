using System.Text;
using System.Text.Json.Nodes;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Jobs;

/// <summary>What a board gives and a chip needs is refused where it contradicts itself; each row breaks one thing.</summary>
public class FitChecksTests
{
    private const string Good = """
        {
          "format": "graftbench-job-1", "id": "fit", "title": "Fit",
          "host": {
            "lengthMm": 100, "widthMm": 80, "thicknessMm": 1.6,
            "gives": {
              "ballList": { "file": "host.csv", "view": "top" },
              "rails": [{ "name": "VCORE", "setV": 1.0 }, { "name": "VIO", "setV": 3.3 }],
              "coreCodes": { "table": "K", "lines": 6, "leastV": 0.8, "mostV": 1.1, "stepV": 0.0125 },
              "cooling": { "oldDieC": 60, "oldAirC": 25, "oldW": 10 },
              "leastClockRatio": 2, "mostClockRatio": 9
            }
          },
          "chips": [{
            "id": "U1", "from": "shelf", "to": "host", "bodyLengthMm": 20, "bodyWidthMm": 20, "bodyThicknessMm": 1.6,
            "needs": {
              "rails": [{ "name": "VCORE", "leastV": 0.9, "usualV": 1.0, "mostV": 1.1 }],
              "straps": "low high", "strapTable": [{ "levels": "low high", "clockMhz": 100 }],
              "leakageW": 2, "leakageAtC": 85, "leakageDoublesDeltaK": 20, "switchingW": 5, "mostW": 9
            }
          }]
        }
        """;

    [Fact]
    public void The_job_that_the_rows_break_is_sound() => Assert.Empty(Problems(Good));

    [Theory]
    [InlineData("host.gives.ballList.file", "\"../host.csv\"", "host.gives.ballList.file")]
    [InlineData("host.gives.rails[1].name", "\"vcore\"", "host.gives.rails[1].name")]
    [InlineData("host.gives.coreCodes.leastV", "1.2", "host.gives.coreCodes.leastV")]
    [InlineData("host.gives.coreCodes.lines", "3", "host.gives.coreCodes.stepV")]
    [InlineData("host.gives.cooling.oldDieC", "20", "host.gives.cooling.oldDieC")]
    [InlineData("host.gives.leastClockRatio", "12", "host.gives.leastClockRatio")]
    [InlineData("chips[0].needs.rails[0].leastV", "1.2", "chips[0].needs.rails[0].leastV")]
    [InlineData("chips[0].needs.rails[0].usualV", "0.8", "chips[0].needs.rails[0].leastV")]
    [InlineData("chips[0].needs.straps", "\"low high low\"", "chips[0].needs.strapTable[0].levels")]
    [InlineData("chips[0].needs.straps", "\"up down\"", "chips[0].needs.straps")]
    [InlineData("chips[0].needs.leakageAtC", "null", "chips[0].needs.leakageW")]
    [InlineData("chips[0].needs.switchingW", "12", "chips[0].needs.switchingW")]
    [InlineData("host.gives.rails[0].setV", "1e9", "host.gives.rails[0].setV")]
    public void What_contradicts_itself_is_told_at_its_place(string field, string value, string told)
    {
        JsonNode job = JsonNode.Parse(Good)!;
        string[] steps = field
            .Replace("[", ".", StringComparison.Ordinal)
            .Replace("]", "", StringComparison.Ordinal)
            .Split('.');
        JsonNode at = job;
        foreach (string step in steps[..^1])
        {
            at = int.TryParse(step, out int index) ? at[index]! : at[step]!;
        }
        at[steps[^1]] = JsonNode.Parse(value);
        Assert.Contains(told, Problems(job.ToJsonString()));
    }

    private static IEnumerable<string> Problems(string json) =>
        JobReader
            .Read(Encoding.UTF8.GetBytes(json), DateTimeOffset.UnixEpoch.AddYears(56))
            .Problems.Select(problem => problem.Path);
}
