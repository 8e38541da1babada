using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using static System.FormattableString;

namespace Graftbench.Core.Reviewing;

/// <summary>
/// Tells what a heat was: every figure with its range, against plan and limits. Nothing is read across a gap, nothing estimated
/// is used that is not believed, and a limit within the range of a figure is never "ok".
/// </summary>
public static class RunReviewer
{
    private static readonly Dictionary<string, (Verdict Verdict, string What, string Todo)> MarkFindings = new(
        StringComparer.Ordinal
    )
    {
        ["popped"] = (
            Verdict.FixFirst,
            "Something popped: moisture may have torn a body or the board.",
            "Look for a bulge, a dull spot or a blister on chip and board before anything else; measure the rails before power."
        ),
        ["dropped"] = (
            Verdict.FixFirst,
            "The chip or a part dropped.",
            "Look for bridges, lost balls and chipped corners before power."
        ),
        ["moved"] = (
            Verdict.Warning,
            "The chip or a part moved.",
            "Check its place against the marks on the board, and its neighbours."
        ),
        ["smelled"] = (
            Verdict.Warning,
            "It smelled unusual.",
            "Air the room, look for scorched laminate, plastic or flux; do not breathe the fume."
        ),
    };

    /// <summary>Reviews a run.</summary>
    /// <param name="request">The run and what it is held against.</param>
    public static RunReview Review(ReviewRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        ReviewBook book = new(request);
        (bool believed, string words) = book.Belief();
        string chip = request.ChipId is { } id ? $"{id} body" : "chip body";
        SolderProcess? process = request.Process;
        double? liquidusC =
            request.MoltenC ?? (process is { } known ? ReflowTables.Profiled("liquidus", known).Value : null);
        List<ReviewFigure> figures = [.. book.Probes.SelectMany(probe => ReviewBook.Plain(probe, liquidusC))];
        List<ReviewCheck> checks = [];
        Track? body = book.At(HeatPlaceKind.BodyTop, null, null, chip, believed);
        if (believed)
        {
            figures.AddRange(Joints(book, request));
            foreach (
                EstimatedPlace place in request.Estimate!.Places.Where(one => one.Place.Kind != HeatPlaceKind.Joint)
            )
            {
                string subject = place.Place.Kind == HeatPlaceKind.BodyTop ? chip : place.Place.Name;
                figures.AddRange(ReviewBook.Plain(book.Estimated(place, subject), liquidusC));
            }
        }
        checks.AddRange(LimitChecks.Of(request, book, chip, believed));
        checks.AddRange(LimitChecks.OfBody(request, body));
        foreach (
            ReviewCheck check in checks.Where(one => !figures.Contains(one.Figure) && one.Figure.Value is not null)
        )
        {
            figures.Add(check.Figure);
        }
        List<RunSpan> gaps = Gaps(book);
        List<Finding> findings =
        [
            .. checks.Select(check => LimitChecks.Found(check, request)),
            .. OfRun(request, book, gaps),
            .. Doubts(request, believed, words, checks.Count),
            .. request.Findings,
        ];
        IReadOnlyList<Finding> sorted = Finding.WorstFirst(findings);
        return new RunReview(
            request.Title,
            request.Task,
            request.ChipId,
            request.Log.Simulated,
            request.Log.Interrupted,
            Answer(request, book, checks, believed),
            Finding.Worst(sorted),
            request.Log.EndS,
            [.. checks.OrderBy(check => check.Verdict)],
            figures,
            ReviewCurves.Of(request, book),
            [
                .. request
                    .Limits.Where(limit =>
                        limit.Kind
                            is HeatLimitKind.ColdestJointPeak
                                or HeatLimitKind.HottestJointPeak
                                or HeatLimitKind.BodyPeak
                                or HeatLimitKind.UndersidePeak
                    )
                    .Select(limit => new ReviewLevel(limit.Title, limit.Value, limit.AtLeast)),
            ],
            gaps,
            request.Estimate?.LeftOut ?? [],
            request.Log.Marks,
            request.SolidusC,
            request.MoltenC,
            believed,
            words,
            sorted
        );
    }

    private static IEnumerable<ReviewFigure> Joints(ReviewBook book, ReviewRequest request)
    {
        yield return book.JointPeak(coldest: true);
        yield return book.JointPeak(coldest: false);
        if (request.MoltenC is double moltenC)
        {
            yield return book.JointAbove(moltenC, least: true);
            yield return book.JointAbove(moltenC, least: false);
        }
        yield return book.Spread();
    }

    // A gap of the run is one of all channels at once.
    private static List<RunSpan> Gaps(ReviewBook book)
    {
        List<RunSpan> gaps = [];
        IReadOnlyList<Track> read = [.. book.Probes.Where(probe => probe.Curve.Count > 1)];
        if (read.Count == 0)
        {
            return gaps;
        }
        foreach (RunSpan gap in read[0].Curve.Gaps())
        {
            bool all = read.All(probe =>
                probe.Curve.Gaps().Any(other => other.FromS < gap.ToS && other.ToS > gap.FromS)
            );
            if (all)
            {
                gaps.Add(gap);
            }
        }
        return gaps;
    }

    private static IEnumerable<Finding> OfRun(ReviewRequest request, ReviewBook book, List<RunSpan> gaps)
    {
        RunLog log = request.Log;
        if (log.Simulated)
        {
            yield return new Finding(
                Verdict.Unknown,
                "review.simulation",
                "run",
                $"{ReviewWords.Simulation}: these readings come from a simulated bench, not from a board. Nothing of it goes into a heat ledger."
            );
        }
        if (log.Interrupted)
        {
            yield return new Finding(
                Verdict.Warning,
                "review.interrupted",
                "run",
                $"The run was cut off at {ReviewBook.Clock(log.EndS)}; what came after was not recorded.",
                Todo: "Write down what you saw after that."
            );
        }
        if (gaps.Count > 0)
        {
            yield return new Finding(
                Verdict.Warning,
                "review.gaps",
                "run",
                Invariant(
                    $"{gaps.Count} gap{(gaps.Count == 1 ? "" : "s")} without readings, {gaps.Sum(gap => gap.LengthS):0} s in all, the longest from {ReviewBook.Clock(gaps.MaxBy(gap => gap.LengthS)!.FromS)}. Nothing is read across them: times are \"at least\"."
                ),
                Todo: "Check cable and plug of the logger."
            );
        }
        if (log.BreaksS.Count > 0)
        {
            yield return new Finding(
                Verdict.Warning,
                "review.clock",
                "run",
                $"The logger's clock jumped {log.BreaksS.Count} time{(log.BreaksS.Count == 1 ? "" : "s")}, first at {ReviewBook.Clock(log.BreaksS[0])}: how long that took is not known.",
                Todo: "Set the logger's clock before a heat and leave it alone."
            );
        }
        foreach (string note in log.Notes)
        {
            yield return new Finding(Verdict.Warning, "review.log", "run", note);
        }
        foreach (LeftOutSpan one in request.Estimate?.LeftOut ?? [])
        {
            yield return new Finding(
                Verdict.Warning,
                "review.probe-fault",
                $"probe {one.Channel}",
                $"Left out from {ReviewBook.Clock(one.Span.FromS)} to {ReviewBook.Clock(one.Span.ToS)}: {one.Words}",
                Todo: "Check it before the next heat."
            );
        }
        foreach (Track probe in book.Probes)
        {
            if (probe.Curve.Count < 3)
            {
                yield return new Finding(
                    Verdict.Unknown,
                    "review.no-readings",
                    probe.Subject,
                    "It has no readings to speak of."
                );
            }
            else if (book.Seat(probe.By) is null)
            {
                yield return new Finding(
                    Verdict.Unknown,
                    "review.no-place",
                    probe.Subject,
                    "Nobody has said where it sat, so it is held against no limit.",
                    Todo: "Say what it sat on."
                );
            }
        }
        foreach (RunMark mark in log.Marks)
        {
            if (MarkFindings.TryGetValue(mark.Kind, out (Verdict Verdict, string What, string Todo) found))
            {
                yield return new Finding(
                    found.Verdict,
                    "review.mark-" + mark.Kind,
                    $"mark at {ReviewBook.Clock(mark.TimeS)}",
                    found.What,
                    Todo: found.Todo
                );
            }
        }
    }

    private static IEnumerable<Finding> Doubts(ReviewRequest request, bool believed, string words, int checks)
    {
        if (!believed)
        {
            yield return new Finding(
                Verdict.Unknown,
                "review.no-estimate",
                "joints",
                words,
                Todo: request.Estimate is null
                    ? null
                    : "Check where the probes sat and which wire was which; look at the joints from the side."
            );
        }
        if (believed && request.Seats.Count(seat => seat.At is not null) == 1)
        {
            yield return new Finding(
                Verdict.Warning,
                "review.one-probe",
                "joints",
                "The joints are estimated with one probe: on simulated benches the range of the coldest peak missed the truth in 4 of 13 such runs.",
                Source: "graftbench-estimate",
                Todo: "Put a second probe on the body's top or under the board next time; look at the joints from the side."
            );
        }
        if (checks == 0)
        {
            yield return new Finding(
                Verdict.Unknown,
                "review.measured-only",
                "run",
                "There is no job and no solder to hold it against: figures are shown, limits are not checked."
            );
        }
    }

    private static string Answer(
        ReviewRequest request,
        ReviewBook book,
        IReadOnlyList<ReviewCheck> checks,
        bool believed
    )
    {
        string head = request.Log.Simulated ? $"{ReviewWords.Simulation}: " : "";
        if (believed && request.MoltenC is double moltenC)
        {
            ReviewFigure peak = book.JointPeak(coldest: true);
            ReviewFigure molten = book.JointAbove(moltenC, least: true);
            string joints =
                peak.High < moltenC ? $"Not every joint melted: the coldest peaked at {ReviewWords.Of(peak)}"
                : peak.Low < moltenC ? $"Perhaps not every joint melted: the coldest peaked at {ReviewWords.Of(peak)}"
                : $"Every joint molten for {ReviewWords.Of(molten)}, coldest peak {ReviewWords.Of(peak)}";
            return head + joints + Worst(checks) + ".";
        }
        Track? hottest = book.Probes.Where(probe => probe.Curve.Count > 2).MaxBy(probe => probe.Curve.ValuesC.Max());
        return hottest is null
            ? head + "Nothing was read."
            : head
                + $"What the joints did cannot be told. {hottest.By} peaked at {ReviewWords.Of(hottest.Figure("peak", "peak", "°C", RunMeasures.Peak(hottest.Curve, hottest.OffDeltaK).Peak))}"
                + Worst(checks)
                + ".";
    }

    private static string Worst(IReadOnlyList<ReviewCheck> checks)
    {
        ReviewCheck? worst = checks
            .Where(check =>
                check.Verdict is Verdict.Blocker or Verdict.FixFirst && check.Figure.Subject != "coldest joint"
            )
            .OrderBy(check => check.Verdict)
            .FirstOrDefault();
        int more = checks.Count(check => check.Verdict is Verdict.Blocker or Verdict.FixFirst) - 1;
        return worst is null
            ? ""
            : $"; {worst.Figure.Subject}, {worst.Figure.Title}: {ReviewWords.Of(worst.Figure)} against {(worst.LimitIsLeast ? "at least" : "at most")} {ReviewWords.Digits(worst.Limit, worst.Figure.Unit)} {worst.Figure.Unit}"
                + (more > 0 ? $", and {more} more" : "");
    }
}
