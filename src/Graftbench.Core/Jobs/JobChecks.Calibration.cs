namespace Graftbench.Core.Jobs;

/// <content>What a trial taught about the bench.</content>
internal static partial class JobChecks
{
    private const string Calibrated = "bench.calibration";

    private static IEnumerable<JobCheck> Calibration(BenchCalibration? calibration)
    {
        if (calibration is null)
        {
            yield break;
        }
        HashSet<CalibratedNumber> seen = [];
        for (int i = 0; i < calibration.Numbers.Count; i++)
        {
            CalibratedValue value = calibration.Numbers[i];
            string path = $"{Calibrated}.numbers[{i}]";
            if (!seen.Add(value.Number))
            {
                yield return Failed(
                    "The calibration has this number twice.",
                    System.Text.Json.JsonNamingPolicy.KebabCaseLower.ConvertName(value.Number.ToString()),
                    "each number once",
                    "Take one out, or calibrate again.",
                    $"{path}.number"
                );
            }
            if (value.CorrelationsRatio.Count != i)
            {
                yield return Failed(
                    "A number of the calibration needs its correlation with each number above it, and no other.",
                    JobReaderNames.Number(value.CorrelationsRatio.Count),
                    JobReaderNames.Number(i),
                    "Calibrate again, or copy the calibration whole.",
                    $"{path}.correlationsRatio"
                );
            }
            for (int k = 0; k < value.CorrelationsRatio.Count; k++)
            {
                if (value.CorrelationsRatio[k] is not (>= -1 and <= 1))
                {
                    yield return Failed(
                        "A correlation lies outside its range.",
                        JobReaderNames.Number(value.CorrelationsRatio[k]),
                        "-1 to 1",
                        "Calibrate again, or copy the calibration whole.",
                        $"{path}.correlationsRatio[{k}]"
                    );
                }
            }
        }
    }
}
