using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Heating;

/// <summary>Limits of the parts round the chip.</summary>
internal static class NeighbourLimitList
{
    private const double PackageScaleDeltaK = 6;
    private const double OtherScaleDeltaK = 8;
    private const double RampScaleKPerS = 0.4;
    private const double TimeScaleS = 5;

    // Not near its peak at all is room enough: a margin that cannot grow further must not hold the others down.
    private const double TimeRoomNumber = 4;

    // As the classification standard counts the time at a peak (J-STD-020, table 5-2: within 5 °C of it).
    private const double NearPeakDeltaK = 5;

    public static IEnumerable<HeatLimit> Of(Job job, Board board, bool keeps, BoardHeatModel model)
    {
        Dictionary<string, Part> parts = board
            .Parts.Where(part => !part.TakenOff)
            .GroupBy(part => part.Ref, StringComparer.Ordinal)
            .ToDictionary(group => group.Key, MostCautious, StringComparer.Ordinal);
        (double solidC, ReworkTemperature solid, string why) = Solid(job, keeps ? ChipPlace.Host : ChipPlace.Donor);
        foreach (
            HeatPlace place in model.Places.Where(place => place.Part is not null && parts.ContainsKey(place.Part))
        )
        {
            Part part = parts[place.Part!];
            if (place.Kind == HeatPlaceKind.NeighbourBody)
            {
                foreach (HeatLimit limit in Body(part, place, keeps))
                {
                    yield return limit;
                }
            }
            else if (place.Kind == HeatPlaceKind.NeighbourJoint && StaysSolid(part))
            {
                yield return new HeatLimit(
                    HeatLimitKind.NeighbourSolid,
                    place.Name,
                    $"{part.Ref} joints",
                    solidC,
                    "°C",
                    PackageScaleDeltaK,
                    keeps,
                    solid.Confidence,
                    solid.Source,
                    why
                );
            }
        }
    }

    private static IEnumerable<HeatLimit> Body(Part part, HeatPlace place, bool keeps)
    {
        NeighbourLimit table = NeighbourLimits.Of(part.Kind);
        double scale = part.Kind is PartKind.BallGridPackage or PartKind.MouldedPackage
            ? PackageScaleDeltaK
            : OtherScaleDeltaK;
        // What leaks or catches fire when hot is no loss that a scrap board may take.
        bool hard = keeps || table.Off;
        // A cell does not stand more because somebody wrote so: there the lower figure counts.
        if (part.PeakLimitC is double ownC && !(table.Off && table.PeakC < ownC))
        {
            string against =
                table.PeakC is double tableC && tableC < ownC
                    ? $" The table of kinds would say {ModelNotes.Show(tableC)} °C; the maker's own figure counts."
                    : "";
            yield return new HeatLimit(
                HeatLimitKind.NeighbourPeak,
                place.Name,
                $"{part.Ref} body",
                ownC,
                "°C",
                scale,
                hard,
                Confidence.Seen,
                "job-file",
                "The part's own peak limit, as entered in the job." + against
            );
        }
        else if (table.PeakC is double peakC)
        {
            yield return new HeatLimit(
                HeatLimitKind.NeighbourPeak,
                place.Name,
                $"{part.Ref} body",
                peakC,
                "°C",
                scale,
                hard,
                table.Confidence,
                table.Source,
                $"{table.Title}: {table.Note}"
            );
        }
        if (table.PeakS is double peakS && (part.PeakLimitC ?? table.PeakC) is double atC)
        {
            yield return new HeatLimit(
                HeatLimitKind.NeighbourTime,
                place.Name,
                $"{part.Ref} body, near its peak",
                peakS,
                "s",
                Math.Min(TimeScaleS, peakS / TimeRoomNumber),
                hard,
                table.Confidence,
                table.Source,
                $"{table.Title}: {ModelNotes.Show(peakS)} s at its peak; counted within {ModelNotes.Show(NearPeakDeltaK)} K of {ModelNotes.Show(atC)} °C, as J-STD-020 counts them."
            )
            {
                AboveC = atC - NearPeakDeltaK,
            };
        }
        if (NeighbourLimits.RiseOf(part.Kind) is NeighbourLimit rise)
        {
            yield return new HeatLimit(
                HeatLimitKind.NeighbourRise,
                place.Name,
                $"{part.Ref} rise",
                rise.RiseMostKPerS!.Value,
                "K/s",
                RampScaleKPerS,
                keeps,
                rise.Confidence,
                rise.Source,
                $"{rise.Title}: {rise.Note}"
            );
        }
    }

    private static bool StaysSolid(Part part) =>
        part.StaySolid == YesNo.Yes || (part.StaySolid == YesNo.Unknown && NeighbourLimits.Of(part.Kind).StaySolid);

    // Two parts of one name: what must be off before all, else the one that stands less; solid where one of them must be.
    private static Part MostCautious(IEnumerable<Part> same)
    {
        List<Part> parts = [.. same];
        Part first = parts
            .OrderByDescending(part => NeighbourLimits.Of(part.Kind).Off)
            .ThenBy(part => part.PeakLimitC ?? NeighbourLimits.Of(part.Kind).PeakC ?? double.PositiveInfinity)
            .First();
        return parts.Exists(StaysSolid) ? first with { StaySolid = YesNo.Yes } : first;
    }

    // What the board was soldered with: told by the chips that sat on it or by the lands, else the cautious one.
    private static (double SolidC, ReworkTemperature Row, string Why) Solid(Job job, ChipPlace place)
    {
        List<string?> names = [.. job.Chips.Where(chip => chip.From == place).Select(chip => chip.BallAlloy)];
        if (place == ChipPlace.Host && job.Materials.LandAlloy is string lands)
        {
            names.Add(lands);
        }
        List<Alloy> told = [.. names.OfType<string>().Select(Alloys.Find).OfType<Alloy>()];
        // A chip whose alloy is not known may have sat there on tin-lead: only where all are told is it lead-free.
        SolderProcess process =
            told.Count > 0 && told.Count == names.Count && told.All(alloy => !alloy.Leaded)
                ? SolderProcess.LeadFree
                : SolderProcess.TinLead;
        ReworkTemperature row = ReflowTables.Rework("neighbour-solid", process);
        double marginDeltaK = ReflowTables.Rework("neighbour-solid-margin").High!.Value;
        double solidusC = told.Count > 0 ? told.Min(alloy => alloy.SolidusC) : double.PositiveInfinity;
        string solder = process == SolderProcess.LeadFree ? "lead-free" : "tin-lead";
        string from =
            told.Count == names.Count && told.Count > 0
                ? $"the board is taken for {solder}"
                : "the board's own solder is not known for all of it, so tin-lead is assumed";
        return solidusC - marginDeltaK < row.High!.Value
            ? (
                solidusC - marginDeltaK,
                ReflowTables.Rework("neighbour-solid-margin"),
                $"First melt at {ModelNotes.Show(solidusC)} °C less {ModelNotes.Show(marginDeltaK)} K; {from}."
            )
            : (row.High.Value, row, $"Published for neighbours of {solder} boards; {from}.");
    }
}
