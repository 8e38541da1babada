namespace Graftbench.Core.Jobs;

/// <content>Dates, and where each board and chip was at any moment.</content>
internal static partial class JobChecks
{
    private static IEnumerable<JobCheck> Dates(Job job, DateTimeOffset now)
    {
        foreach ((string path, DateTimeOffset? moment) in PastMoments(job))
        {
            if (moment > now)
            {
                yield return Failed(
                    "The date lies in the future.",
                    Moment(moment.Value),
                    $"until now, {Moment(now.ToOffset(moment.Value.Offset))}",
                    "Check the year, the day and the offset from UTC; what has not happened yet is not written down.",
                    path
                );
            }
        }
        Dictionary<(string Of, DateTimeOffset At), int> weighed = [];
        for (int i = 0; i < job.History.Weighings.Count; i++)
        {
            Weighing weighing = job.History.Weighings[i];
            if (!weighed.TryAdd((weighing.Of, weighing.At.ToUniversalTime()), i))
            {
                int first = weighed[(weighing.Of, weighing.At.ToUniversalTime())];
                yield return Failed(
                    $"history.weighings[{first}] weighs the same thing at the same moment.",
                    Moment(weighing.At),
                    "one weighing at a time",
                    "Take one out, or correct its time.",
                    $"history.weighings[{i}].at",
                    $"history.weighings[{i}].of",
                    $"history.weighings[{first}]"
                );
            }
        }
    }

    private static IEnumerable<(string Path, DateTimeOffset? Moment)> PastMoments(Job job)
    {
        yield return ("openedAt", job.OpenedAt);
        yield return ($"{Calibrated}.at", job.Bench.Calibration?.At);
        yield return ("handover.handedOverAt", job.Handover?.HandedOverAt);
        for (int i = 0; i < job.History.Exposures.Count; i++)
        {
            Exposure stay = job.History.Exposures[i];
            yield return ($"history.exposures[{i}].from", stay.From);
            yield return ($"history.exposures[{i}].to", stay.To);
            for (int k = 0; k < stay.Breaks.Count; k++)
            {
                yield return ($"history.exposures[{i}].breaks[{k}].from", stay.Breaks[k].From);
                yield return ($"history.exposures[{i}].breaks[{k}].to", stay.Breaks[k].To);
            }
        }
        for (int i = 0; i < job.History.Heats.Count; i++)
        {
            yield return ($"history.heats[{i}].at", job.History.Heats[i].At);
        }
        for (int i = 0; i < job.History.Weighings.Count; i++)
        {
            yield return ($"history.weighings[{i}].at", job.History.Weighings[i].At);
        }
        for (int i = 0; i < job.Work.Count; i++)
        {
            yield return ($"work[{i}].at", job.Work[i].At);
        }
        for (int i = 0; i < job.Evidence.Count; i++)
        {
            yield return ($"evidence[{i}].at", job.Evidence[i].At);
        }
    }

    private static IEnumerable<JobCheck> Stays(Job job, DateTimeOffset now)
    {
        IReadOnlyList<Exposure> stays = job.History.Exposures;
        for (int i = 0; i < stays.Count; i++)
        {
            foreach (JobCheck check in Stay(stays[i], $"history.exposures[{i}]", now))
            {
                yield return check;
            }
        }
        ILookup<string, Span> bySubject = stays
            .Select(
                (stay, i) => new Span(stay.Of, stay.From, stay.To ?? now, stay.To is null, $"history.exposures[{i}]")
            )
            .Where(span => span.To >= span.From)
            .OrderBy(span => span.From)
            .ToLookup(span => span.Of, StringComparer.Ordinal);
        foreach (IGrouping<string, Span> subject in bySubject)
        {
            Span? longest = null;
            foreach (Span span in subject)
            {
                if (longest is not null && span.From < longest.To)
                {
                    yield return Overlap(span, longest, "");
                }
                longest = longest is null || span.To > longest.To ? span : longest;
            }
        }
        foreach (JobCheck check in job.Chips.SelectMany((chip, i) => OnBoard(job, chip, $"chips[{i}]", bySubject)))
        {
            yield return check;
        }
    }

    private static IEnumerable<JobCheck> Stay(Exposure stay, string path, DateTimeOffset now)
    {
        if (stay.To < stay.From)
        {
            yield return Failed(
                "The end lies before the begin.",
                Moment(stay.To.Value),
                $"from {Moment(stay.From)} on",
                "Swap the two, or correct the one that is wrong.",
                $"{path}.to",
                $"{path}.from"
            );
        }
        if (stay.Place == ExposurePlace.Bake && stay.TemperatureC is null)
        {
            yield return Failed(
                "A bake needs its temperature.",
                null,
                "temperatureC of the parts, in °C",
                "Add temperatureC; a bake of unknown temperature counts as a stay in a room.",
                path,
                $"{path}.temperatureC",
                $"{path}.place"
            );
        }
        if (stay.Place != ExposurePlace.Bake && stay.Breaks.Count > 0)
        {
            yield return Failed(
                "Only a bake has breaks.",
                $"{stay.Breaks.Count} in a stay that is no bake",
                "none",
                "Take the breaks out, or set place to bake.",
                $"{path}.breaks",
                $"{path}.place"
            );
            yield break;
        }
        List<(Break Pause, string Path)> pauses = stay
            .Breaks.Select((pause, k) => (pause, $"{path}.breaks[{k}]"))
            .ToList();
        foreach ((Break pause, string pausePath) in pauses)
        {
            if (pause.To < pause.From)
            {
                yield return Failed(
                    "The end of the break lies before its begin.",
                    Moment(pause.To),
                    $"from {Moment(pause.From)} on",
                    "Swap the two, or correct the one that is wrong.",
                    $"{pausePath}.to",
                    $"{pausePath}.from"
                );
            }
            else if (pause.From < stay.From || pause.To > (stay.To ?? now))
            {
                yield return Failed(
                    "The break lies outside its bake.",
                    $"{Moment(pause.From)} to {Moment(pause.To)}",
                    $"{Moment(stay.From)} to {(stay.To is { } end ? Moment(end) : "now")}",
                    "Correct the break, or the bake's begin and end.",
                    pausePath,
                    $"{path}.from",
                    $"{path}.to"
                );
            }
        }
        (Break Pause, string Path)? longest = null;
        foreach (
            (Break Pause, string Path) next in pauses
                .Where(one => one.Pause.To >= one.Pause.From)
                .OrderBy(one => one.Pause.From)
        )
        {
            if (longest is { } before && next.Pause.From < before.Pause.To)
            {
                yield return Failed(
                    $"The break overlaps {before.Path}.",
                    $"from {Moment(next.Pause.From)}",
                    $"from {Moment(before.Pause.To)} on",
                    "Join the two breaks, or correct their times.",
                    next.Path,
                    before.Path
                );
            }
            longest = longest is null || next.Pause.To > longest.Value.Pause.To ? next : longest;
        }
    }

    // A chip shares its board's stays until it is lifted, and the host's from its placing until a later lift.
    private static IEnumerable<JobCheck> OnBoard(Job job, Chip chip, string path, ILookup<string, Span> bySubject)
    {
        DateTimeOffset lifted = HeatsOf(job, chip, HeatKind.Lift)
            .Select(heat => heat.At)
            .DefaultIfEmpty(DateTimeOffset.MaxValue)
            .Min();
        DateTimeOffset placed = HeatsOf(job, chip, HeatKind.Place)
            .Select(heat => heat.At)
            .DefaultIfEmpty(DateTimeOffset.MaxValue)
            .Max();
        DateTimeOffset liftedAgain = HeatsOf(job, chip, HeatKind.Lift)
            .Select(heat => heat.At)
            .Where(at => at > placed)
            .DefaultIfEmpty(DateTimeOffset.MaxValue)
            .Min();
        string until = $"write down the heat that lifted it (kind lift, of {chip.Id}) before stays of its own.";
        IEnumerable<(string Board, DateTimeOffset From, DateTimeOffset To, string Todo)> shared =
        [
            .. chip.From is ChipPlace.Host or ChipPlace.Donor
                ? [(chip.From == ChipPlace.Host ? "host" : "donor", DateTimeOffset.MinValue, lifted, until)]
                : ((string, DateTimeOffset, DateTimeOffset, string)[])[],
            .. chip.To == ChipPlace.Host && placed < DateTimeOffset.MaxValue
                ? [("host", placed, liftedAgain, $"its own end when it was placed, {Moment(placed)}.")]
                : ((string, DateTimeOffset, DateTimeOffset, string)[])[],
        ];
        foreach ((string board, DateTimeOffset from, DateTimeOffset to, string todo) in shared)
        {
            foreach (Span own in bySubject[chip.Id])
            {
                Span? other = bySubject[board]
                    .FirstOrDefault(span =>
                        Later(Later(own.From, span.From), from) < Earlier(Earlier(own.To, span.To), to)
                    );
                if (other is not null)
                {
                    yield return Overlap(
                        own,
                        other,
                        $" A chip on the {board} board shares the board's stays; {todo}",
                        $"{path}.from",
                        "history.heats"
                    );
                }
            }
        }
    }

    private static IEnumerable<Heat> HeatsOf(Job job, Chip chip, HeatKind kind) =>
        job.History.Heats.Where(heat => heat.Kind == kind && string.Equals(heat.Of, chip.Id, StringComparison.Ordinal));

    private static JobCheck Overlap(Span span, Span before, string more, params string[] involved) =>
        Failed(
            $"The stay overlaps {before.Path}: nothing can be in two places at once.",
            $"from {Moment(span.From)}",
            before.IsOpen ? $"{before.Path} has no end" : $"{before.Path} ends {Moment(before.To)}",
            before.IsOpen && more.Length == 0
                ? $"Give {before.Path} an end, or correct the times."
                : $"Correct the times of one of the two.{more}",
            [
                $"{span.Path}.from",
                $"{span.Path}.to",
                $"{span.Path}.of",
                $"{before.Path}.from",
                $"{before.Path}.to",
                $"{before.Path}.of",
                .. involved,
            ]
        );

    private static DateTimeOffset Later(DateTimeOffset a, DateTimeOffset b) => a > b ? a : b;

    private static DateTimeOffset Earlier(DateTimeOffset a, DateTimeOffset b) => a < b ? a : b;

    private sealed record Span(string Of, DateTimeOffset From, DateTimeOffset To, bool IsOpen, string Path);
}
