using System.Globalization;
using System.Text;

namespace Graftbench.Tests.Shared;

/// <summary>Makes job documents of a wanted size: as many parts, stays and weighings as a job may have, then notes.</summary>
internal static class LargeJob
{
    public static DateTimeOffset Now { get; } = new(2026, 3, 10, 12, 0, 0, TimeSpan.Zero);

    public static byte[] Make(int bytes, string humidityPercent = "45")
    {
        StringBuilder job = new(bytes + 4096);
        job.Append("{\n  \"format\": \"graftbench-job-1\",\n  \"id\": \"large\",\n  \"title\": \"A large job\",\n");
        job.Append("  \"host\": { \"lengthMm\": 400, \"widthMm\": 300, \"thicknessMm\": 1.6, \"parts\": [\n");
        for (int i = 0; i < 2000; i++)
        {
            job.Append(
                $"    {{ \"ref\": \"U{i}\", \"kind\": \"moulded-package\", \"xMm\": {i % 400}, \"yMm\": {i % 300}, \"lengthMm\": 7.5, \"widthMm\": 5.25, \"rotationDeg\": 90, \"side\": \"bottom\", \"heightMm\": 2.65, \"bodyThicknessMm\": 2.35, \"moistureLevel\": \"3\" }},\n"
            );
        }
        job.Append("  ] },\n  \"chips\": [{ \"id\": \"G1\", \"from\": \"shelf\", \"to\": \"host\", ");
        job.Append(
            "\"bodyLengthMm\": 27, \"bodyWidthMm\": 27, \"bodyThicknessMm\": 1.73 }],\n  \"history\": {\n    \"exposures\": [\n"
        );
        DateTimeOffset at = Now.AddHours(-6000);
        for (int i = 0; i < 5000; i++)
        {
            job.Append(
                $"      {{ \"of\": \"host\", \"place\": \"room\", \"from\": \"{Moment(at)}\", \"to\": \"{Moment(at.AddHours(1))}\", \"temperatureC\": 22.5, \"humidityPercent\": {humidityPercent} }},\n"
            );
            at = at.AddHours(1);
        }
        job.Append("    ],\n    \"weighings\": [\n");
        for (int i = 0; i < 5000; i++)
        {
            job.Append(
                $"      {{ \"of\": \"host\", \"at\": \"{Moment(Now.AddMinutes(-i))}\", \"weightG\": {412.36 + i * 1e-3}, \"balanceErrorG\": 0.01 }},\n"
            );
        }
        job.Append("    ]\n  },\n  \"evidence\": [\n");
        string note = string.Concat(
            Enumerable.Repeat("Cleaned, looked at under the microscope, nothing to be seen. ", 60)
        );
        for (int i = 0; i < 5000 && job.Length < bytes - 400; i++)
        {
            int length = Math.Clamp(bytes - job.Length - 200, 0, note.Length);
            job.Append(
                $"    {{ \"at\": \"{Moment(Now)}\", \"who\": \"M. Okafor\", \"kind\": \"note\", \"note\": \"{note[..length]}\" }},\n"
            );
        }
        job.Append("  ]\n}\n");
        return Encoding.UTF8.GetBytes(job.ToString());
    }

    private static string Moment(DateTimeOffset at) =>
        at.ToString("yyyy-MM-dd'T'HH:mm:ss'Z'", CultureInfo.InvariantCulture);
}
