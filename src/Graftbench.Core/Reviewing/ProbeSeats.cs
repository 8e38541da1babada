using System.Globalization;
using Graftbench.Core.Heating;

namespace Graftbench.Core.Reviewing;

/// <summary>Where beads sat: what a person writes, as places.</summary>
public static class ProbeSeats
{
    /// <summary>Top centre of the chip's body.</summary>
    public const string Body = "body";

    /// <summary>Board's underside under the chip.</summary>
    public const string Underside = "underside";

    private const double BodyGasDeltaK = 2;

    /// <summary>Reads where a probe sat.</summary>
    /// <param name="probe">The probe.</param>
    /// <param name="model">Model of the heat; null without one.</param>
    /// <param name="problem">What is wrong with it; null where nothing is.</param>
    /// <returns>The seat; null where nobody said or it cannot be read.</returns>
    public static ProbeSeat? Of(RunProbe probe, BoardHeatModel? model, out string? problem)
    {
        ArgumentNullException.ThrowIfNull(probe);
        problem = null;
        string at = probe.At.Trim();
        if (at.Length == 0)
        {
            return null;
        }
        HeatPlace? Find(HeatPlaceKind kind, string? part = null) =>
            model?.Places.FirstOrDefault(place => place.Kind == kind && (part is null || place.Part == part));
        if (at is Body or Underside)
        {
            HeatPlaceKind kind = at == Body ? HeatPlaceKind.BodyTop : HeatPlaceKind.Underside;
            return new ProbeSeat(probe.Channel, kind, null, Find(kind))
            {
                OffDeltaK = 1.6,
                GasDeltaK = at == Body ? BodyGasDeltaK : 0,
            };
        }
        double[] numbers =
        [
            .. at.Split(',')
                .Select(part =>
                    double.TryParse(part.Trim(), NumberStyles.Float, CultureInfo.InvariantCulture, out double mm)
                    && Math.Abs(mm) <= 5000
                        ? mm
                        : double.NaN
                ),
        ];
        if (numbers.Length is 2 or 3 && !numbers.Any(double.IsNaN))
        {
            HeatPlace place = new(
                "channel " + probe.Channel,
                HeatPlaceKind.Probe,
                null,
                numbers[0],
                numbers[1],
                numbers.Length > 2 ? numbers[2] : 0
            );
            return new ProbeSeat(probe.Channel, HeatPlaceKind.Probe, null, place) { OffDeltaK = 1.6 };
        }
        HeatPlace? neighbour = Find(HeatPlaceKind.NeighbourBody, at);
        if (neighbour is null && model is { Usable: true })
        {
            IEnumerable<string> parts = model
                .Places.Where(place => place.Kind == HeatPlaceKind.NeighbourBody)
                .Select(place => place.Part)
                .OfType<string>();
            problem =
                $"Probe {probe.Channel}: '{at}' is no place. Write body, underside, x,y in mm from the board's lower left corner (a height may follow), or one of the parts near the chip{(parts.Any() ? ": " + string.Join(", ", parts) : "")}.";
            return null;
        }
        return new ProbeSeat(probe.Channel, HeatPlaceKind.NeighbourBody, at, neighbour) { OffDeltaK = 1.6 };
    }
}
