using System.Text;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Physics.Heat;

/// <summary>Broken heat cases are refused with everything that is wrong, and nothing that is refused is run.</summary>
public sealed class HeatCaseReaderTests
{
    public static readonly TheoryData<string, string, string, string> Slips = new()
    { // what stands there, what is put, path of the problem, a word that the problem must hold
        { "\"x1Mm\": 100.0", "\"x1Mm\": NaN", "boxes[0].x1Mm", "number" },
        { "\"x1Mm\": 100.0", "\"x1Mm\": 1e9", "boxes[0].x1Mm", "2000" },
        { "\"x1Mm\": 100.0", "\"x1Mm\": 1e999", "boxes[0].x1Mm", "" },
        { "\"z1Mm\": 0.0", "\"z1Mm\": -1.0", "boxes[0].z1Mm", "no extent" },
        { "\"inPlaneWPerMK\": 30.0", "\"inPlaneWPerMK\": 0", "boxes[0].inPlaneWPerMK", "0.001" },
        { "\"inPlaneWPerMK\": 30.0", "\"inPlainWPerMK\": 30.0", "boxes[0].inPlainWPerMK", "inPlaneWPerMK" },
        { "\"durationS\": 280.0", "\"durationS\": 8000", "durationS", "7200" },
        { "\"name\": \"substrate\"", "\"name\": \"balls\"", "boxes[2].name", "twice" },
    };

    [Theory, MemberData(nameof(Slips))]
    public void A_slip_is_named_with_its_place_and_its_limit(string from, string to, string path, string word)
    {
        string text = Encoding.UTF8.GetString(HeatCases.Bytes(HeatCases.Misaligned));
        int at = text.IndexOf(from, StringComparison.Ordinal);
        Assert.True(at >= 0, $"the document does not hold {from}");
        HeatCaseReading reading = Read(text[..at] + to + text[(at + from.Length)..]);
        Assert.Null(reading.Case);
        Assert.Contains(reading.Problems, p => p.Path == path && $"{p}".Contains(word, StringComparison.Ordinal));
    }

    [Fact]
    public void Everything_that_is_wrong_across_fields_is_listed_at_once()
    {
        HeatCaseReading reading = Read(
            """
            {
              "format": "graftbench-heat-1", "durationS": 100,
              "boxes": [{"name": "board", "x0Mm": 0, "x1Mm": 100, "y0Mm": 0, "y1Mm": 50, "z0Mm": 0, "z1Mm": 0,
                "inPlaneWPerMK": 25, "throughWPerMK": 0.3, "densityKgPerM3": 2000, "specificHeatJPerKgK": 900,
                "melting": {"latentJPerKg": 1, "solidusC": 217, "liquidusC": 217}}],
              "films": [
                {"faces": "top", "filmWPerM2K": 10, "sink": [{"signal": "gass", "shareFraction": 0.5}], "onlyBoxes": ["bord"]},
                {"faces": "bottom", "filmWPerM2K": 10, "sink": [], "inside": {"x0Mm": 5, "x1Mm": 5, "y0Mm": 0, "y1Mm": 9}}],
              "radiation": [{"faces": "side", "emissivityRatio": 0.5, "sink": [{"signal": "gas"}, {"signal": "gas"}]}],
              "signals": [
                {"name": "gas", "points": [{"timeS": 5, "temperatureC": 25}, {"timeS": 4, "temperatureC": 30}]},
                {"name": "gas", "points": []}],
              "probes": [{"name": "up", "xMm": 50, "yMm": 25, "zMm": 9}],
              "timesS": [10, 10, 300]
            }
            """
        );
        Assert.Null(reading.Case);
        string[] wanted =
        [
            "boxes[0].z1Mm",
            "boxes[0].melting.liquidusC",
            "films[0].sink[0].signal",
            "films[0].sink",
            "films[0].onlyBoxes[0]",
            "films[1].sink",
            "films[1].inside",
            "radiation[0].sink",
            "signals[0].points[1].timeS",
            "signals[1].name",
            "signals[1].points",
            "probes[0]",
            "timesS[1]",
        ];
        Assert.Equal(
            wanted.Order(StringComparer.Ordinal),
            reading.Problems.Select(p => p.Path).Order(StringComparer.Ordinal)
        );
        Assert.Contains(
            reading.Problems,
            p => p.Path == "films[0].sink[0].signal" && $"{p}".Contains("mean gas", StringComparison.Ordinal)
        );
        Assert.Contains(
            reading.Problems,
            p => p.Path == "films[0].onlyBoxes[0]" && $"{p}".Contains("mean board", StringComparison.Ordinal)
        );
        Assert.All(reading.Problems, p => Assert.True(p.Line > 1 && p.Column > 0, $"{p}"));
    }

    [Fact]
    public void A_case_of_601_boxes_is_refused_and_one_of_600_is_read()
    {
        string Boxes(int count) =>
            string.Join(
                ',',
                Enumerable
                    .Range(0, count)
                    .Select(i =>
                        $$"""{"name":"b{{i}}","x0Mm":{{i}},"x1Mm":{{i + 1}},"y0Mm":0,"y1Mm":1,"z0Mm":-1,"z1Mm":0,"inPlaneWPerMK":1,"throughWPerMK":1,"densityKgPerM3":1000,"specificHeatJPerKgK":1000}"""
                    )
            );
        string Document(int count) => $$"""{"format":"graftbench-heat-1","durationS":10,"boxes":[{{Boxes(count)}}]}""";
        Assert.NotNull(Read(Document(600)).Case);
        HeatCaseReading reading = Read(Document(601));
        Assert.Null(reading.Case);
        Assert.Contains(reading.Problems, p => p.Path == "boxes" && $"{p}".Contains("600", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(HeatCases.BareBoard)]
    [InlineData(HeatCases.Misaligned)]
    public void A_case_cut_anywhere_is_a_problem(string name)
    {
        byte[] good = HeatCases.Bytes(name);
        int end = good.AsSpan().LastIndexOf((byte)'}');
        for (int length = 0; length <= end; length += 7)
        {
            HeatCaseReading reading = HeatCaseReader.Read(good.AsSpan(0, length));
            Assert.Null(reading.Case);
            Assert.NotEmpty(reading.Problems);
        }
    }

    // What comes through is run on a rough grid for a few steps: it ends, and no figure is not a number.
    [Theory]
    [InlineData(HeatCases.BareBoard)]
    [InlineData(HeatCases.Centred)]
    [InlineData(HeatCases.Misaligned)]
    [InlineData(HeatCases.Neighbours)]
    public void A_damaged_case_is_refused_or_can_be_run(string name)
    {
        byte[] good = HeatCases.Bytes(name);
        HeatMesh mesh = new(8, 1, 30, 40, 2, 3, 0, 5);
        int run = 0;
        for (int seed = 0; seed < 1500; seed++)
        {
            HeatCaseReading reading = HeatCaseReader.Read(Damaged(good, new Random(seed)));
            Assert.Equal(reading.Case is null, reading.Problems.Count > 0);
            if (reading.Case is null || seed % 3 != 0)
            {
                continue;
            }
            HeatCase heat = reading.Case with
            {
                DurationS = Math.Min(reading.Case.DurationS, 20),
                TimesS = [5, 10, 20],
            };
            if (CaseForecaster.Refuse(heat, mesh) is not null)
            {
                continue;
            }
            HeatForecast forecast = HeatForecaster.Forecast(
                heat,
                mesh,
                withErrors: false,
                null,
                CancellationToken.None
            );
            run++;
            Assert.Equal(forecast.Converged, forecast.Probes.Count == heat.Probes.Count || heat.Probes.Count == 0);
            Assert.All(forecast.Probes, p => Assert.All(p.TemperaturesC, t => Assert.InRange(t, -300, 5000)));
        }
        Assert.True(run > 20, $"only {run} damaged cases could be run");
    }

    private static byte[] Damaged(byte[] good, Random random)
    {
        List<byte> bytes = [.. good];
        for (int times = random.Next(1, 4); times > 0; times--)
        {
            int at = random.Next(0, bytes.Count);
            switch (random.Next(0, 5))
            {
                case 0:
                    bytes[at] = (byte)random.Next(0, 256);
                    break;
                case 1:
                    bytes.RemoveRange(at, Math.Min(random.Next(1, 30), bytes.Count - at));
                    break;
                default:
                    // Another digit somewhere: most likely still a document.
                    int digit = bytes.FindIndex(at, b => b is >= (byte)'0' and <= (byte)'9');
                    if (digit >= 0)
                    {
                        bytes[digit] = (byte)('0' + random.Next(0, 10));
                    }
                    break;
            }
        }
        return [.. bytes];
    }

    private static HeatCaseReading Read(string text) => HeatCaseReader.Read(Encoding.UTF8.GetBytes(text));
}
