namespace Graftbench.Core.Jobs;

/// <content>What the bench heats with, and what is wanted of the heat.</content>
internal static partial class JobChecks
{
    private const string Heaters = "bench.heat";

    private static IEnumerable<JobCheck> Heat(Job job) =>
        HeatControls(job.Bench.Heat)
            .Concat(Gas(job.Bench.Heat.Gas, $"{Heaters}.gas"))
            .Concat(Preheater(job.Bench.Heat.Preheater, $"{Heaters}.preheater"))
            .Concat(Zones(job.Bench.Heat.Preheater, $"{Heaters}.preheater"))
            .Concat(
                Temperatures("gas", job.Bench, (job.Bench.Heat.Gas.MinC, job.Bench.Heat.Gas.MaxC), $"{Heaters}.gas")
            )
            .Concat(
                Temperatures(
                    "preheater",
                    job.Bench,
                    (job.Bench.Heat.Preheater.MinC, job.Bench.Heat.Preheater.MaxC),
                    $"{Heaters}.preheater"
                )
            )
            .Concat(HeatWished(job.Wishes.Heat))
            .Concat(Calibration(job.Bench.Calibration));

    private static IEnumerable<JobCheck> HeatControls(HeatTools tools)
    {
        if (tools is { Control: HeatControl.Stages, MaxStages: null })
        {
            yield return Failed(
                "The bench takes stages, but how many is not said.",
                "stages",
                "maxStages, 1 to 20",
                "Add bench.heat.maxStages, or set control to ramps or knobs.",
                $"{Heaters}.control",
                $"{Heaters}.maxStages"
            );
        }
    }

    private static IEnumerable<JobCheck> Temperatures(
        string heater,
        Bench bench,
        (double? MinC, double? MaxC) range,
        string path
    )
    {
        if (range is { MinC: { } min, MaxC: { } max } && min > max)
        {
            yield return Failed(
                $"The coolest setting of the {heater} is above its hottest.",
                $"minC {Celsius(min)}",
                $"at most maxC, {Celsius(max)}",
                "Correct minC or maxC.",
                $"{path}.minC",
                $"{path}.maxC"
            );
        }
        if (range.MaxC is { } hottest && bench.RoomC is { } room && hottest <= room)
        {
            yield return Failed(
                $"The {heater} gets no hotter than the room.",
                Celsius(hottest),
                $"above {Celsius(room)} (bench.roomC)",
                "Correct maxC or bench.roomC.",
                $"{path}.maxC",
                "bench.roomC"
            );
        }
    }

    private static IEnumerable<JobCheck> Gas(GasTool gas, string path)
    {
        foreach (JobCheck check in NamesTwice(gas.Nozzles.Select(nozzle => nozzle.Name), "nozzle", $"{path}.nozzles"))
        {
            yield return check;
        }
        foreach (JobCheck check in NamesTwice(gas.FlowSteps.Select(step => step.Name), "step", $"{path}.flowSteps"))
        {
            yield return check;
        }
        for (int i = 0; i < gas.Nozzles.Count; i++)
        {
            if (gas.Nozzles[i] is { Round: true, WidthMm: { } width } nozzle && width != nozzle.LengthMm)
            {
                yield return Failed(
                    "A round nozzle has one size.",
                    $"{JobReaderNames.Number(nozzle.LengthMm)} × {Mm(width)}",
                    "lengthMm alone, the diameter",
                    "Leave widthMm out, or set round to false.",
                    $"{path}.nozzles[{i}].widthMm",
                    $"{path}.nozzles[{i}].lengthMm",
                    $"{path}.nozzles[{i}].round"
                );
            }
        }
        for (int i = 1; i < gas.FlowSteps.Count; i++)
        {
            if (gas.FlowSteps[i].FlowPercent < gas.FlowSteps[i - 1].FlowPercent)
            {
                yield return Failed(
                    "The airflow steps are not in their order, weakest first.",
                    Share(gas.FlowSteps[i].FlowPercent),
                    $"at least {Share(gas.FlowSteps[i - 1].FlowPercent)}, as the step before",
                    "Put the steps in order, or correct the flow.",
                    $"{path}.flowSteps[{i}].flowPercent",
                    $"{path}.flowSteps[{i - 1}].flowPercent"
                );
            }
        }
        if (gas.FlowSteps.Count > 0 && gas.FlowSteps.Max(step => step.FlowPercent) is < 100 and var strongest)
        {
            yield return Failed(
                "No airflow step is the strongest one.",
                $"at most {Share(strongest)}",
                "100 % for the strongest step",
                "Give each flow as share of the strongest step of this tool.",
                [$"{path}.flowSteps", .. gas.FlowSteps.Select((_, i) => $"{path}.flowSteps[{i}].flowPercent")]
            );
        }
    }

    private static IEnumerable<JobCheck> Preheater(BottomHeater heater, string path)
    {
        if (
            heater is { Kind: PreheaterKind.None }
            && heater is not { MaxC: null, LengthMm: null, WidthMm: null, FilmWPerM2K: null, Zones.Count: 0 }
        )
        {
            yield return Failed(
                "There is no bottom heater, but something is said of it.",
                "kind none",
                "nothing else of the bottom heater",
                "Leave the rest of the bottom heater out, or say how it heats.",
                $"{path}.kind"
            );
        }
        if (heater.LengthMm is null != heater.WidthMm is null)
        {
            yield return OneOfTwo(
                "The heated field needs both lengthMm and widthMm.",
                path,
                heater.LengthMm is null ? "widthMm" : "lengthMm",
                heater.LengthMm is null ? "lengthMm" : "widthMm"
            );
        }
        if (heater.XMm is null != heater.YMm is null)
        {
            yield return OneOfTwo(
                "A place needs both xMm and yMm.",
                path,
                heater.XMm is null ? "yMm" : "xMm",
                heater.XMm is null ? "xMm" : "yMm"
            );
        }
    }

    private static IEnumerable<JobCheck> Zones(BottomHeater heater, string path)
    {
        IReadOnlyList<HeaterZone> zones = heater.Zones;
        foreach (JobCheck check in NamesTwice(zones.Select(zone => zone.Name), "zone", $"{path}.zones"))
        {
            yield return check;
        }
        for (int i = 0; i < zones.Count; i++)
        {
            HeaterZone zone = zones[i];
            if (
                heater is { LengthMm: { } length, WidthMm: { } width }
                && (zone.LengthMm > length + LengthToleranceMm || zone.WidthMm > width + LengthToleranceMm)
            )
            {
                yield return Failed(
                    $"Zone {JobReaderNames.Show(zone.Name)} is larger than the heated field.",
                    $"{JobReaderNames.Number(zone.LengthMm)} × {Mm(zone.WidthMm)}",
                    $"at most {JobReaderNames.Number(length)} × {Mm(width)}",
                    "Correct the zone, or the field's length and width.",
                    $"{path}.zones[{i}].lengthMm",
                    $"{path}.zones[{i}].widthMm",
                    $"{path}.lengthMm",
                    $"{path}.widthMm"
                );
            }
            for (int j = 0; j < i; j++)
            {
                (double x, double y) = Shared(zone, zones[j]);
                if (x > LengthToleranceMm && y > LengthToleranceMm)
                {
                    yield return Failed(
                        $"Zones {JobReaderNames.Show(zones[j].Name)} and {JobReaderNames.Show(zone.Name)} overlap.",
                        $"{JobReaderNames.Number(x)} × {Mm(y)} shared",
                        "zones that at most touch",
                        "Correct the edges or the sizes of one of them.",
                        [.. ZonePaths(path, i), .. ZonePaths(path, j)]
                    );
                }
            }
        }
    }

    private static IEnumerable<JobCheck> HeatWished(HeatWishes wishes)
    {
        if (wishes is { MoltenS: { } molten, MaxHeatingS: { } longest } && molten >= longest)
        {
            yield return Failed(
                "The joints are to stay molten longer than the whole heating.",
                $"{JobReaderNames.Number(molten)} s",
                $"less than {JobReaderNames.Number(longest)} s (wishes.heat.maxHeatingS)",
                "Lower moltenS, or raise maxHeatingS.",
                "wishes.heat.moltenS",
                "wishes.heat.maxHeatingS"
            );
        }
    }

    /// <summary>Entries of a list that bear the name of an earlier one.</summary>
    internal static IEnumerable<JobCheck> NamesTwice(IEnumerable<string> names, string thing, string path)
    {
        // Names are read at the bench: capitals and blanks around them tell nothing apart.
        Dictionary<string, int> seen = new(StringComparer.OrdinalIgnoreCase);
        int index = 0;
        foreach (string name in names)
        {
            if (!seen.TryAdd(name.Trim(), index))
            {
                int first = seen[name.Trim()];
                yield return Failed(
                    $"{path}[{first}] has the same name.",
                    JobReaderNames.Show(name),
                    $"a name of its own for each {thing}",
                    "Give one of them another name.",
                    $"{path}[{index}].name",
                    $"{path}[{first}].name"
                );
            }
            index++;
        }
    }

    private static JobCheck OneOfTwo(string what, string path, string given, string missing) =>
        Failed(what, null, "both or none", $"Add {missing}.", $"{path}.{given}", $"{path}.{missing}");

    private static (double X, double Y) Shared(HeaterZone a, HeaterZone b) =>
        (
            Math.Min(a.XMm + a.LengthMm, b.XMm + b.LengthMm) - Math.Max(a.XMm, b.XMm),
            Math.Min(a.YMm + a.WidthMm, b.YMm + b.WidthMm) - Math.Max(a.YMm, b.YMm)
        );

    private static string[] ZonePaths(string path, int index) =>
        [
            $"{path}.zones[{index}].xMm",
            $"{path}.zones[{index}].yMm",
            $"{path}.zones[{index}].lengthMm",
            $"{path}.zones[{index}].widthMm",
        ];

    private static string Celsius(double value) => JobReaderNames.Number(value) + " °C";

    private static string Share(double value) => JobReaderNames.Number(value) + " %";
}
