using System.Globalization;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using Graftbench.Core.Calibrating;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Cli;

/// <summary>A calibration for the terminal and as JSON.</summary>
internal static class CalibrationText
{
    private const int Column = 14;

    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web)
    {
        WriteIndented = true,
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower) },
    };

    /// <summary>Spells a result in at most <see cref="Page.Width"/> columns.</summary>
    public static string Of(string bench, CalibrationResult result, IReadOnlyList<string> taken)
    {
        Page page = new();
        page.Add($"Calibration of {bench}");
        page.Add();
        page.Add(result.Answer, 2);
        foreach (string problem in result.Problems)
        {
            page.Add("  - " + problem, 4);
        }
        if (result.Numbers.Count > 0)
        {
            page.Add();
            page.Add("What the trial says");
            page.Add($"  {"", -38}{"was", 14}  {"is", 6}  {"±", 6}  before ±");
            foreach (LearnedNumber one in result.Numbers)
            {
                string was = one.BaseNumber is { } number ? Invariant($"{number:0.##} {one.Unit}").TrimEnd() : "1";
                page.Add(
                    Invariant(
                        $"  {one.Title, -38}{was, 14}  {"x" + one.Ratio.ToString("0.00", CultureInfo.InvariantCulture), 6}  {Share(one.LogSdRatio), 6}  {Share(one.PriorLogSdRatio), 6}  {Word(one)}"
                    ),
                    4
                );
            }
            foreach (LearnedPair pair in result.Pairs)
            {
                page.Add(
                    Invariant(
                        $"  Only together: the {pair.Together} of \"{pair.First}\" and \"{pair.Second}\" is known to ±{Share(pair.TogetherLogSdRatio)} (correlation {pair.CorrelationRatio:0.00})."
                    ),
                    4
                );
            }
            page.Add();
            page.Add("Probes (root mean square of reading less model)");
            foreach (ProbeResidual one in result.Residuals)
            {
                string left = one.LeftOutDeltaK is { } leftOut
                    ? Invariant($", forecast from the others alone {leftOut:0.0} K")
                    : "";
                page.Add(
                    "  " + one.Channel,
                    Invariant(
                        $"before {one.BeforeDeltaK:0.0} K, after {one.AfterDeltaK:0.00} K{left}; what is left lasts {one.CorrelatedS:0} s at a time"
                    ),
                    Column
                );
            }
        }
        if (result.Gain is { } gain)
        {
            page.Add();
            page.Add("How much better the next forecast is");
            page.Add(
                "  hold-out",
                Invariant(
                    $"the trial after {gain.SplitS:0} s, forecast from what came before: {gain.SecondHalfAfterDeltaK:0.0} K off, with usual figures {gain.SecondHalfBeforeDeltaK:0.0} K"
                ),
                Column
            );
            page.Add(
                "  coldest",
                Invariant(
                    $"peak of the coldest joint in the trial: {gain.ColdestBeforeC:0} ± {2 * gain.ColdestBeforeDeltaK:0} °C before, {gain.ColdestAfterC:0} ± {2 * gain.ColdestAfterDeltaK:0} °C after; on another board ± {2 * gain.OtherBoardDeltaK:0} K (95 %)"
                ),
                Column
            );
        }
        if (result.Calibration is { } kept)
        {
            page.Add();
            page.Add(
                Invariant(
                    $"Holds for a nozzle of {kept.NozzleLengthMm:0.#} x {kept.NozzleWidthMm:0.#} mm, boards of half to twice {kept.BoardLengthMm:0} x {kept.BoardWidthMm:0} mm, gas to {kept.HottestGasC + CalibrationUse.BeyondDeltaK:0} °C, bottom heater to {kept.HottestPreheaterC + CalibrationUse.BeyondDeltaK:0} °C; in full for {CalibrationUse.FreshDays:0} days, not used after {CalibrationUse.ExpiresDays:0} (estimates)."
                ),
                2
            );
        }
        if (result.Notes.Count + taken.Count > 0)
        {
            page.Add();
            foreach (string note in result.Notes.Concat(taken))
            {
                page.Add("Note: " + note, 6);
            }
        }
        return page.ToString();
    }

    /// <summary>The whole result as JSON.</summary>
    public static string Write(CalibrationResult result, IReadOnlyList<string> taken) =>
        JsonSerializer.Serialize(
            new
            {
                format = "graftbench-calibration-1",
                result.State,
                result.Answer,
                result.Problems,
                Notes = result.Notes.Concat(taken),
                result.Numbers,
                result.Pairs,
                result.Residuals,
                result.ResidualDeltaK,
                result.Gain,
                result.Calibration,
            },
            Json
        );

    /// <summary>The part of a job document that carries the calibration.</summary>
    public static string Fragment(BenchCalibration calibration) =>
        JsonSerializer.Serialize(
            new Dictionary<string, object>
            {
                ["bench"] = new Dictionary<string, object> { ["calibration"] = calibration },
            },
            JobFormat.Json
        );

    private static string Share(double logSd) => Invariant($"{100 * (Math.Exp(logSd) - 1):0.#} %");

    private static string Word(LearnedNumber one) =>
        (one.Share, one.OfBench) switch
        {
            (LearnedShare.Learned, true) => "learned",
            (LearnedShare.Partly, true) => "partly learned",
            (_, true) => "not learned",
            _ => "this board",
        };
}
