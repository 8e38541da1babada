using System.Globalization;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;
using Graftbench.Core.Planning;
using static System.FormattableString;

namespace Graftbench.Core.Handover;

/// <summary>Question 10: may I hand it over? What happened, months later?</summary>
public static class HandoverPlanner
{
    /// <summary>Number of the question.</summary>
    public const int Question = 10;

    /// <summary>Code of the finding that the owner was not told of what was set aside; it cannot be set aside itself.</summary>
    public const string OwnerTold = "handover.owner-told";

    private const int MeltQuestion = 4;
    private const int FaultQuestion = 9;

    private static readonly string[] Short =
    [
        "fit",
        "drying",
        "heat plan",
        "melt",
        "balls and solder",
        "pictures",
        "power",
        "firmware",
        "next test",
    ];

    /// <summary>Whether the hand-over is in sight: something was entered for it, or the machine runs.</summary>
    /// <remarks>Before, nine open answers would only cry for what is not due yet.</remarks>
    public static bool IsBegun(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        return job.Handover is not null || job.Stage >= JobStage.Soak;
    }

    /// <summary>Answers it.</summary>
    /// <param name="request">The other answers, and what evidence outside of the document says.</param>
    public static HandoverAnswer Answer(HandoverRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        JobPlan plan = request.Plan;
        Job job = plan.Job;
        HandoverNote note = job.Handover ?? new HandoverNote();
        HandoverSolder solder = HandoverChecks.Solder(job);
        HandoverIdentity identity = request.Facts.Identity ?? new HandoverIdentity(IdentityState.NotKnown, []);
        List<HeatAccount> heats =
        [
            .. plan.Ledger.Accounts.Where(account =>
                account.Id == "host" || job.Chips.Any(chip => chip.Id == account.Id && chip.To == ChipPlace.Host)
            ),
        ];
        List<Finding> findings = [];
        List<HandoverTest> tests = [];
        for (int number = 1; number < Question; number++)
        {
            (Finding finding, HandoverTest test) = Carried(plan, number);
            findings.Add(finding);
            tests.Add(test);
        }
        (Finding power, HandoverTest powered) = HandoverChecks.FirstPower(request.Facts.FirstPower);
        (Finding readings, HandoverTest read) = HandoverChecks.Readings(request.Facts.Readings);
        tests.AddRange([powered, HandoverWords.SoakOf(note.SoakHours), read]);
        findings.Add(HandoverChecks.Authority(request));
        findings.AddRange([power, HandoverChecks.Soak(job, note), readings]);
        findings.Add(HandoverChecks.Identity(identity));
        findings.AddRange(heats.Select(HandoverChecks.Heats));
        findings.Add(HandoverChecks.Lead(solder));
        findings.AddRange(HandoverChecks.Entered(job, note));
        // What has moved since the last hand-over stands against the next one.
        if (job.Stage == JobStage.Returned)
        {
            findings.AddRange(request.Facts.Returned?.Findings ?? []);
        }
        List<Finding> waived = [.. HandoverChecks.Waived(job, plan.Findings.Concat(findings))];
        // Telling the owner is what makes a waiver count here: nothing sets it aside.
        IReadOnlyList<Finding> all = Finding.WorstFirst(
            findings.Select(finding => Waivers.Apply(job, finding)).Concat(waived)
        );
        HandoverAnswer answer = new(
            Worst(all),
            "",
            null,
            all,
            tests,
            solder,
            identity,
            HandoverChecks.WarrantyOf(note),
            heats,
            waived.Exists(finding => finding.Code == "handover.waiver")
        );
        return Told(job, request.Facts, answer);
    }

    /// <summary>A plan with its answer to question 10 laid in; the other answers stay as they are.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="answer">The answer to question 10 that was made of it.</param>
    public static JobPlan Into(JobPlan plan, HandoverAnswer answer)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(answer);
        // What the plan says already, of its questions, heats and waivers, is not said twice.
        HashSet<(string, string)> known = [.. plan.Findings.Select(finding => (finding.Code, finding.Where))];
        Finding[] own =
        [
            .. answer.Findings.Where(finding =>
                finding.Verdict != Verdict.Ok
                && finding.Code is not ("handover.question" or "handover.heats" or "handover.waiver")
                && !known.Contains((finding.Code, finding.Where))
            ),
        ];
        QuestionSummary summary = answer.Summary;
        return plan with
        {
            Questions =
            [
                .. plan.Questions.Select(question =>
                    question.Number == Question
                        ? question with
                        {
                            Computed = true,
                            Verdict = summary.Verdict,
                            Answer = summary.Answer,
                            Next = summary.Next,
                        }
                        : question
                ),
            ],
            Findings = Finding.WorstFirst(plan.Findings.Concat(own)),
            SourceIds =
            [
                .. plan
                    .SourceIds.Concat(own.Select(finding => finding.Source).OfType<string>())
                    .Distinct(StringComparer.Ordinal)
                    .Order(StringComparer.Ordinal),
            ],
            Apart = (plan.Apart ?? new ApartAnswers()) with { Handover = summary, HandedOver = answer },
        };
    }

    // A warning beside it must not make what nobody looked at look known.
    private static Verdict Worst(IReadOnlyList<Finding> findings)
    {
        Verdict worst = Finding.Worst(findings);
        return worst == Verdict.Warning && findings.Any(finding => finding.Verdict == Verdict.Unknown)
            ? Verdict.Unknown
            : worst;
    }

    private static (Finding Finding, HandoverTest Test) Carried(JobPlan plan, int number)
    {
        QuestionAnswer question = plan.Questions[number - 1];
        if (number == MeltQuestion && !question.Computed)
        {
            return Melted(plan.Job);
        }
        if (number == FaultQuestion && !question.Computed)
        {
            // A machine that works needs no diagnosis; the sheet says all the same that nobody searched.
            return (
                Of(number, Verdict.Ok, "No fault showed that had to be searched for.", null),
                HandoverWords.Test(HandoverWords.Question(number), HandoverOutcome.NotTested, partly: false)
            );
        }
        IReadOnlyList<Finding> raw = Raw(plan, number);
        bool Waived(Func<Finding, bool> which) =>
            raw.Any(finding => which(finding) && Waivers.Of(plan.Job, finding).Any());
        bool stops = question.Computed && question.Verdict is Verdict.Blocker or Verdict.FixFirst;
        HandoverOutcome outcome =
            !question.Computed ? HandoverOutcome.NotTested
            : stops || Waived(finding => finding.Verdict is Verdict.Blocker or Verdict.FixFirst) ? HandoverOutcome.Wrong
            : question.Verdict == Verdict.Unknown || Waived(finding => finding.Verdict == Verdict.Unknown)
                ? HandoverOutcome.NotTested
            : question.Verdict == Verdict.Warning ? HandoverOutcome.Remark
            : HandoverOutcome.Good;
        Verdict verdict = outcome switch
        {
            HandoverOutcome.Wrong => stops ? question.Verdict : Verdict.Warning,
            HandoverOutcome.NotTested => Verdict.Unknown,
            HandoverOutcome.Remark => Verdict.Warning,
            _ => Verdict.Ok,
        };
        string what =
            !question.Computed ? "Not tested: there is no answer."
            : outcome == HandoverOutcome.NotTested ? $"Not tested in full: {question.Answer}"
            : question.Answer;
        return (
            Of(
                number,
                verdict,
                what,
                verdict == Verdict.Ok
                    ? null
                    : question.Next ?? "Answer it, or leave it: the sheet then says that it was not tested."
            ),
            HandoverWords.Test(
                HandoverWords.Question(number),
                outcome,
                partly: raw.Any(finding => finding.Verdict == Verdict.Unknown)
            )
        );
    }

    private static Finding Of(int number, Verdict verdict, string what, string? todo, string? value = null) =>
        new(
            verdict,
            "handover.question",
            Invariant($"question {number}, {Short[number - 1]}"),
            what,
            value,
            Source: "common-practice",
            Todo: todo
        );

    // What the heat that placed the chip left on record, the newest one.
    private static (Finding Finding, HandoverTest Test) Melted(Job job)
    {
        HashSet<string> ids = ["host", .. job.Chips.Where(chip => chip.To == ChipPlace.Host).Select(chip => chip.Id)];
        double?[] above =
        [
            .. job
                .History.Heats.Where(heat => heat.Kind is HeatKind.Place or HeatKind.Again && ids.Contains(heat.Of))
                .OrderBy(heat => heat.At)
                .GroupBy(heat => heat.At)
                .Select(heats => heats.Max(heat => heat.AboveLiquidusS)),
        ];
        (Verdict verdict, HandoverOutcome outcome, string what, string? todo) =
            above.Length == 0 || above[^1] is null
                ? (
                    Verdict.Unknown,
                    HandoverOutcome.NotTested,
                    "Not tested: no heat that placed the chip has its time above liquidus on record.",
                    "Review the log of the heat, or enter its time above liquidus."
                )
            : above[^1] > 0
                ? (Verdict.Ok, HandoverOutcome.Good, "The newest heat that placed the chip was above liquidus.", null)
            : (
                Verdict.FixFirst,
                HandoverOutcome.Wrong,
                "The newest heat that placed the chip never was above liquidus.",
                (string?)"Look at its log; a further heat is a decision on record."
            );
        string? value = above.Length > 0 && above[^1] is { } s ? Invariant($"{s:0} s") : null;
        return (
            Of(MeltQuestion, verdict, what, todo, value),
            HandoverWords.Test(HandoverWords.Question(MeltQuestion), outcome)
        );
    }

    // An answer's findings before waivers.
    private static IReadOnlyList<Finding> Raw(JobPlan plan, int number) =>
        number switch
        {
            2 => plan.Drying.Findings,
            3 => plan.Heat?.Findings ?? [],
            5 => plan.Joints?.Findings ?? [],
            _ => plan.Apart?.Of(number)?.Findings ?? [],
        };

    private static HandoverAnswer Told(Job job, HandoverFacts facts, HandoverAnswer answer)
    {
        Finding? stop = answer.Stops.FirstOrDefault();
        string? next = stop is null ? null : $"{Begin(stop.Where)}: {stop.Todo ?? stop.What}";
        if (job is { Stage: JobStage.Returned })
        {
            return answer with
            {
                Verdict =
                    facts.Returned is { } back ? Least(back.Verdict, answer.Verdict)
                    : answer.MayHandOver ? Verdict.Unknown
                    : answer.Verdict,
                Answer = $"It came back. {facts.Returned?.Answer ?? "There are no readings of the return to compare."}",
                Next = facts.Returned is null
                    ? "Take readings of the return before anything is opened or heated."
                    : facts.Returned.Next ?? next,
            };
        }
        if (job is { Stage: JobStage.HandedOver, Handover.HandedOverAt: { } at })
        {
            string warranty = answer.Warranty switch
            {
                { Days: > 0, Until: { } until } => $"warranty until {Day(until)}",
                _ => "no warranty",
            };
            return answer with { Answer = $"Handed over {Day(at)}; {warranty}." };
        }
        int stops = answer.Stops.Count();
        int open = answer.Tests.Count(test => test.Outcome == HandoverOutcome.NotTested);
        return answer with
        {
            Answer =
                stops > 0 ? Invariant($"Not yet: {stops} {(stops == 1 ? "thing" : "things")} to put right first.")
                : open > 0
                    ? Invariant(
                        $"It may be handed over; {open} of {answer.Tests.Count} tests were not made, and the sheet says so."
                    )
                : "It may be handed over.",
            Next = next ?? "Hand it over on the hand-over page; then print the sheet and sign it with the owner.",
        };
    }

    private static Verdict Least(Verdict one, Verdict other) => one < other ? one : other;

    private static string Begin(string text) => text.Length == 0 ? text : char.ToUpperInvariant(text[0]) + text[1..];

    private static string Day(DateTimeOffset at) => at.ToString("d MMM yyyy", CultureInfo.InvariantCulture);
}
