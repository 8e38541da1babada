namespace Graftbench.Core.Jobs;

/// <summary>Carries the heaters of a bench from one board to the next.</summary>
public static class HeaterPlaces
{
    /// <summary>Whether anything is said of the heaters of a bench.</summary>
    /// <param name="tools">What the bench heats with.</param>
    public static bool AreDescribed(HeatTools tools)
    {
        ArgumentNullException.ThrowIfNull(tools);
        return tools.Gas is not { MaxC: null, Nozzles.Count: 0, FlowSteps.Count: 0 }
            || tools.Preheater is not { Kind: PreheaterKind.Unknown, MaxC: null, LengthMm: null, Zones.Count: 0 };
    }

    /// <summary>
    /// The same heaters under another board. The field and its zones are measured on the board that lies on them; the next
    /// board is taken to lie in the middle of the field.
    /// </summary>
    /// <param name="tools">What the bench heats with.</param>
    /// <param name="last">Board that the places are measured on.</param>
    /// <param name="nextLengthMm">Extent of the next board in x [mm].</param>
    /// <param name="nextWidthMm">Extent of the next board in y [mm].</param>
    /// <returns>The heaters with the zones moved along; the field's centre is left out, which means the board's middle.</returns>
    public static HeatTools Under(HeatTools tools, Board last, double nextLengthMm, double nextWidthMm)
    {
        ArgumentNullException.ThrowIfNull(tools);
        ArgumentNullException.ThrowIfNull(last);
        BottomHeater heater = tools.Preheater;
        double byX = (nextLengthMm / 2) - (heater.XMm ?? (last.LengthMm / 2));
        double byY = (nextWidthMm / 2) - (heater.YMm ?? (last.WidthMm / 2));
        return tools with
        {
            Preheater = heater with
            {
                XMm = null,
                YMm = null,
                Zones =
                [
                    .. heater.Zones.Select(zone =>
                        zone with
                        {
                            XMm = Math.Round(zone.XMm + byX, 3),
                            YMm = Math.Round(zone.YMm + byY, 3),
                        }
                    ),
                ],
            },
        };
    }
}
