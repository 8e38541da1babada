using System.Globalization;
using Graftbench.Core.Heating;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Calibrating;

/// <summary>Probe places as a person writes them: the name of a place of the model, or millimetres on the board.</summary>
public static class TrialProbes
{
    /// <summary>A probe by its channel and where it sat.</summary>
    /// <param name="model">Model of the trial's board.</param>
    /// <param name="channel">Channel of the log.</param>
    /// <param name="place">A place's name, or <c>x,y</c> or <c>x,y,z</c> in mm from the board's lower left corner, z over its top face.</param>
    /// <param name="problem">What is wrong with it; null where nothing is.</param>
    public static WatchProbe? Of(BoardHeatModel model, string channel, string place, out string? problem)
    {
        ArgumentNullException.ThrowIfNull(model);
        ArgumentNullException.ThrowIfNull(place);
        problem = null;
        HeatPlace? named = model.Places.FirstOrDefault(one =>
            one.Kind != HeatPlaceKind.Joint && string.Equals(one.Name, place.Trim(), StringComparison.OrdinalIgnoreCase)
        );
        if (named is not null)
        {
            return new WatchProbe(channel, named);
        }
        string[] parts = place.Split(',', StringSplitOptions.TrimEntries);
        double[] numbers =
        [
            .. parts.Select(part =>
                double.TryParse(part, NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
                && double.IsFinite(value)
                    ? value
                    : double.NaN
            ),
        ];
        if (parts.Length is 2 or 3 && !numbers.Any(double.IsNaN))
        {
            return new WatchProbe(
                channel,
                new HeatPlace(
                    "channel " + channel,
                    HeatPlaceKind.Probe,
                    null,
                    numbers[0],
                    numbers[1],
                    numbers.Length > 2 ? numbers[2] : 0
                )
            );
        }
        IEnumerable<string> names = model.Places.Where(one => one.Kind != HeatPlaceKind.Joint).Select(one => one.Name);
        problem =
            $"Channel {channel}: \"{place.Trim()}\" is no place. Write x,y in mm from the board's lower left corner (x,y,z above it), or one of {string.Join(", ", names)}.";
        return null;
    }
}
