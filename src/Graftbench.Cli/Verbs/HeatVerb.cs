using System.CommandLine;
using Graftbench.Core.Heating;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench heat</c>: what concerns the heat.</summary>
internal static class HeatVerb
{
    /// <summary>The group of verbs.</summary>
    /// <param name="models">Models that plans are made with.</param>
    public static Command Create(IHeatModels models) =>
        new Command(
            "heat",
            "Plans, watches and reviews heats: settings that melt every joint, whether it is molten now, what the heat was."
        )
        {
            HeatPlanVerb.Create(models),
            HeatForecastVerb.Create(),
            HeatWatchVerb.Create(models),
            HeatReviewVerb.Create(),
            HeatCalibrateVerb.Create(),
        }.WithExample(
            "graftbench heat plan job.json",
            "settings for the heat; heat forecast runs one case of boxes, films and signals, heat calibrate learns the bench, heat review says what a logged heat was"
        );
}
