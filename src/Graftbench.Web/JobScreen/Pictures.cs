using System.Text.Json;
using Graftbench.Core.Drying;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;

namespace Graftbench.Web.JobScreen;

/// <summary>Pictures and papers of a job, as the sheets draw them.</summary>
internal static class Pictures
{
    public static string Board(Job job) => "";

    public static string Calendar(JobPlan plan) => "";

    public static string Moisture(MoistureProfile profile, BodyDrying body) => "";

    public static string Sheet(JobPlan plan) => "";

    public static byte[] SheetPdf(JobPlan plan) => [];

    /// <summary>The profile for the time slider: depths, times and fractions as they were computed, rounded for the wire.</summary>
    public static string ProfileData(MoistureProfile profile) =>
        JsonSerializer.Serialize(
            new
            {
                depthMm = profile.DepthMm.Select(depth => Math.Round(depth, 4)),
                timeH = profile.TimeH.Select(time => Math.Round(time, 4)),
                fraction = profile.Fraction.Select(fraction => Math.Round(fraction, 3)),
                meanFraction = profile.MeanFraction.Select(fraction => Math.Round(fraction, 3)),
            }
        );
}
