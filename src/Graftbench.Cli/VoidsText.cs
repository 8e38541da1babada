using Graftbench.Core.Findings;
using Graftbench.Vision.Xray;
using static System.FormattableString;

namespace Graftbench.Cli;

/// <summary>A reading of an X-ray picture as a person reads it.</summary>
internal static class VoidsText
{
    private const int MostWorst = 10;

    public static string Of(XrayReading reading)
    {
        Page page = new();
        page.Add(reading.Answer);
        page.Add();
        if (reading.Judged)
        {
            page.Add(
                Invariant(
                    $"Joints are {reading.JointDiameterMm:0.00} mm wide, {reading.JointDiameterMm * reading.PxPerMm:0} px; blur {reading.BlurPx:0.0} px, noise of a pixel {100 * reading.NoiseRatio:0.0} % of a joint{(reading.JointsBright ? "; the picture is inverted" : "")}."
                )
            );
            page.Add(
                Invariant(
                    $"Limit: {reading.Limit.AreaPercent:0.##} % of the area, {reading.Limit.Title}, revision {reading.Limit.Revision} (source {reading.Limit.Source})."
                )
            );
            page.Add();
            JointReading[] worst =
            [
                .. reading
                    .Joints.Where(joint => joint.VoidPercent > 0)
                    .OrderByDescending(joint => joint.VoidPercent)
                    .Take(MostWorst),
            ];
            if (worst.Length > 0)
            {
                page.Add("Most void   all        largest   smallest seen");
                foreach (JointReading joint in worst)
                {
                    page.Add(
                        Invariant(
                            $"{joint.Name, -6} {joint.VoidPercent, 8:0.0} % ± {joint.VoidUncertaintyPercent:0.0} {joint.LargestVoidPercent, 8:0.0} % {joint.LeastVoidPercent, 8:0.0} %"
                        )
                    );
                }
                page.Add();
            }
        }
        // What is alike is said once, with all the places.
        foreach (
            IGrouping<(Verdict, string, string?, string?), Finding> alike in reading
                .Findings.Where(finding => finding.Verdict != Verdict.Ok && finding.Code != "xray.not-promised")
                .GroupBy(finding => (finding.Verdict, finding.What, finding.Limit, finding.Todo))
        )
        {
            (Verdict verdict, string what, string? limit, string? todo) = alike.Key;
            string places = string.Join(
                "; ",
                alike.Select(finding => finding.Value is null ? finding.Where : $"{finding.Where} {finding.Value}")
            );
            page.Add(
                Say.Verdict(verdict),
                $"{places}: {what}{(limit is null ? "" : $" Limit: {limit}.")}{(todo is null ? "" : " " + todo)}",
                12
            );
        }
        page.Add();
        page.Add(reading.CannotPromise);
        return page.ToString();
    }
}
