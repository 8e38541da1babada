using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Drying;

/// <summary>The drying plan as a calendar.</summary>
internal static class DryingCalendar
{
    private static readonly double[] WeighAtFraction = [0.25, 0.5, 0.75];

    /// <summary>True where what is still to dry cannot share one dryer at one temperature.</summary>
    public static bool NeedTheirOwnTemperature(IEnumerable<SubjectDrying> subjects) =>
        subjects
            .Where(subject => subject.State is DryingState.ToDry or DryingState.InDryer)
            .Select(subject => Math.Round(subject.UsedC ?? 0, 6))
            .Distinct()
            .Count() > 1;

    /// <summary>Moves boards behind one another where the dryer does not hold them all at once.</summary>
    public static List<SubjectDrying> OneAfterTheOther(List<SubjectDrying> subjects, DryingContext context)
    {
        bool own = NeedTheirOwnTemperature(subjects);
        int atOnce = own ? 1 : context.Job.Dryer.BoardsAtOnce ?? int.MaxValue;
        // The donor first: its chip has more work before it than the host has.
        List<SubjectDrying> waiting = subjects
            .Where(subject => subject.State == DryingState.ToDry && (own || subject.Id is "host" or "donor"))
            .OrderBy(subject => subject.Id, StringComparer.Ordinal)
            .ToList();
        List<DateTimeOffset> busyUntil = subjects
            .Where(subject =>
                subject is { State: DryingState.InDryer, ReadyAt: not null } && (own || subject.Id is "host" or "donor")
            )
            .Select(subject => subject.ReadyAt!.Value)
            .ToList();
        Dictionary<string, SubjectDrying> moved = new(StringComparer.Ordinal);
        foreach (SubjectDrying subject in waiting)
        {
            DateTimeOffset start = subject.StartAt!.Value;
            if (busyUntil.Count >= atOnce)
            {
                DateTimeOffset free = busyUntil.Order().ElementAt(busyUntil.Count - atOnce);
                start = free > start ? free : start;
            }
            TimeSpan later = start - subject.StartAt.Value;
            SubjectDrying placed = subject with
            {
                StartAt = start,
                ReadyAt = subject.ReadyAt + later,
                UseBy = subject.UseBy + later,
            };
            busyUntil.Add(placed.ReadyAt!.Value);
            moved[subject.Id] = placed;
        }
        return subjects.Select(subject => moved.GetValueOrDefault(subject.Id, subject)).ToList();
    }

    /// <summary>Entries of all subjects in the order of time.</summary>
    public static List<CalendarEntry> Of(IReadOnlyList<SubjectDrying> subjects, DryingContext context) =>
        subjects
            .SelectMany(subject => Of(subject, context))
            .OrderBy(entry => entry.From)
            .ThenBy(entry => entry.Kind)
            .ToList();

    private static IEnumerable<CalendarEntry> Of(SubjectDrying subject, DryingContext context)
    {
        DateTimeOffset now = context.Now;
        if (subject is { State: DryingState.ToDry, StartAt: { } start, ReadyAt: { } ready })
        {
            if (subject.RemoveFirst.Count > 0)
            {
                double stripMin = BenchMinutes.Of("strip").LowMin;
                DateTimeOffset from = start.AddMinutes(-stripMin) < now ? now : start.AddMinutes(-stripMin);
                yield return new CalendarEntry(
                    from,
                    start > from ? start : from,
                    CalendarKind.Work,
                    subject.Id,
                    $"take off {DryingLimits.List(subject.RemoveFirst.Select(part => part.Ref).ToList())}"
                );
            }
            yield return new CalendarEntry(start, start, CalendarKind.Work, subject.Id, "weigh, then into the dryer");
            DateTimeOffset warm = start.AddHours(context.WarmUpH);
            yield return new CalendarEntry(start, warm, CalendarKind.Wait, subject.Id, "warm up");
            yield return new CalendarEntry(warm, ready, CalendarKind.Wait, subject.Id, Drying(subject));
            foreach (double share in WeighAtFraction)
            {
                DateTimeOffset weigh = warm + (ready - warm) * share;
                yield return new CalendarEntry(weigh, weigh, CalendarKind.Work, subject.Id, "weigh");
            }
        }
        else if (subject is { State: DryingState.InDryer, StartAt: { } since, ReadyAt: { } until })
        {
            yield return new CalendarEntry(since, until, CalendarKind.Wait, subject.Id, Drying(subject));
        }
        if (subject is { State: DryingState.ToDry or DryingState.InDryer, ReadyAt: { } dry })
        {
            yield return new CalendarEntry(
                dry,
                dry,
                CalendarKind.Mark,
                subject.Id,
                "ready: weigh; below 10 % RH within the hour if it is not used at once"
            );
        }
        if (subject.UseBy is { } useBy)
        {
            yield return new CalendarEntry(useBy, useBy, CalendarKind.Mark, subject.Id, "use by");
        }
    }

    private static string Drying(SubjectDrying subject) =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"dry {Units.WholeHoursUpH(subject.AdviceH ?? 0):0} h at {subject.UsedC:0.#} °C"
        );
}
