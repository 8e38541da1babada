using System.Globalization;
using Graftbench.Core.Heating;
using Graftbench.Core.Watching;
using Graftbench.Web.Forms;

namespace Graftbench.Web.Watching;

/// <summary>Places that a probe can be put on, and what a form says of them.</summary>
internal static class WatchPlaces
{
    private const string Own = "own";

    /// <summary>Places to choose from, those that the plan advises first.</summary>
    public static IReadOnlyList<(HeatPlace Place, string Words)> Of(HeatPlan plan)
    {
        IReadOnlyList<HeatPlace> places = plan.Model?.Places ?? [];
        List<(HeatPlace, string)> found = [];
        foreach (ProbeAdvice advice in plan.Probes.OrderBy(probe => probe.Rank))
        {
            if (places.FirstOrDefault(place => place.Name == advice.Place) is { } place)
            {
                found.Add((place, $"{advice.Where} (advised, number {advice.Rank})"));
            }
        }
        foreach (HeatPlace place in places)
        {
            if (place.Kind != HeatPlaceKind.Joint && !found.Exists(one => one.Item1.Name == place.Name))
            {
                found.Add((place, Words(place)));
            }
        }
        return found;
    }

    /// <summary>What the form holds before anything is entered: the advised place for the first channels.</summary>
    public static string Usual(HeatPlan plan, int channel)
    {
        IReadOnlyList<ProbeAdvice> advised = [.. plan.Probes.OrderBy(probe => probe.Rank)];
        return channel < Math.Min(advised.Count, 2) ? advised[channel].Place : "";
    }

    /// <summary>Reads the form: a probe for each channel that has a place.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="channels">Channels of the source.</param>
    /// <param name="field">Gives a field by its name.</param>
    /// <param name="problems">Takes what is wrong.</param>
    public static IReadOnlyList<WatchProbe> Read(
        HeatPlan plan,
        IReadOnlyList<string> channels,
        Func<string, string> field,
        List<string> problems
    )
    {
        List<WatchProbe> probes = [];
        for (int i = 0; i < channels.Count; i++)
        {
            string chosen = field($"place-{i}");
            if (chosen.Length == 0)
            {
                continue;
            }
            HeatPlace? place =
                chosen == Own
                    ? OwnPlace(channels[i], i, field, problems)
                    : plan.Model?.Places.FirstOrDefault(one => one.Name == chosen && one.Kind != HeatPlaceKind.Joint);
            if (place is not null)
            {
                probes.Add(new WatchProbe(channels[i], place));
            }
            else if (chosen != Own)
            {
                problems.Add($"{channels[i]}: the model has no place {chosen}.");
            }
        }
        return probes;
    }

    private static HeatPlace? OwnPlace(string channel, int index, Func<string, string> field, List<string> problems)
    {
        double?[] numbers =
        [
            FormText.Number(field($"x-{index}")),
            FormText.Number(field($"y-{index}")),
            FormText.Number(field($"z-{index}")),
        ];
        if (numbers is [double x, double y, double z])
        {
            return new HeatPlace($"{channel}, own place", HeatPlaceKind.Probe, null, x, y, z);
        }
        problems.Add(
            $"{channel}: a place of your own needs three numbers in mm: from the left, from the lower edge, and the height over the board's top."
        );
        return null;
    }

    private static string Words(HeatPlace place) =>
        place.Kind switch
        {
            HeatPlaceKind.BodyTop => "top of the chip, centre",
            HeatPlaceKind.Underside => "underside of the board, under the chip",
            HeatPlaceKind.NeighbourBody => $"{place.Part ?? place.Name}, top of its body",
            HeatPlaceKind.NeighbourJoint => $"{place.Part ?? place.Name}, solder at its hot edge",
            _ => place.Name,
        };
}
