using System.Text.Json;
using Graftbench.Store;
using Graftbench.Watch;

namespace Graftbench.Web.Watching;

/// <summary>A stored run in words.</summary>
internal static class RunWords
{
    /// <summary>How it stands, in a few words.</summary>
    public static string Headline(HeatRun run) =>
        run.State switch
        {
            HeatRunState.Running => "Still going on",
            HeatRunState.Interrupted => "Interrupted",
            _ => "Ended",
        };

    /// <summary>How it stands, in a sentence.</summary>
    public static string Detail(HeatRun run) =>
        run.State switch
        {
            HeatRunState.Running => "Another program on this machine watches it.",
            HeatRunState.Interrupted =>
                "The program stopped in the middle of it; all that was on disk by then was recovered.",
            _ => "The run was ended.",
        };

    /// <summary>What its readings are, by its own record.</summary>
    public static FeedNature NatureOf(HeatRun run)
    {
        try
        {
            using JsonDocument setup = JsonDocument.Parse(run.SetupJson);
            return
                setup.RootElement.ValueKind == JsonValueKind.Object
                && setup.RootElement.TryGetProperty("source", out JsonElement source)
                && source.ValueKind == JsonValueKind.Object
                && source.TryGetProperty("nature", out JsonElement nature)
                && Enum.TryParse(nature.ToString(), ignoreCase: true, out FeedNature found)
                ? found
                : FeedNature.Live;
        }
        catch (JsonException)
        {
            return FeedNature.Live;
        }
    }
}
