using System.Globalization;
using Graftbench.Core.Drying;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Handover;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;
using Graftbench.Core.Ledger;

namespace Graftbench.Core.Planning;

/// <summary>Computes every answer that a job allows.</summary>
public static partial class Planner
{
    private const int DryingQuestion = 2;
    private const int HeatQuestion = 3;
    private const int JointQuestion = 5;

    /// <summary>The ten questions, in the order of the work.</summary>
    public static IReadOnlyList<string> Questions { get; } =
    [
        "Will this chip work on this board?",
        "Are the boards and the chip dry?",
        "What settings melt every joint and spare the rest?",
        "Is it molten now?",
        "Which balls, and how much solder on the lands?",
        "Is every ball where it should be? Did every joint form?",
        "Is it safe to power?",
        "Will the firmware know the chip, and is it still the same machine?",
        "It does not work: what do I test next?",
        "May I hand it over? What happened, months later?",
    ];

    /// <summary>Plans a job for one moment.</summary>
    /// <param name="job">A job that <see cref="JobReader"/> found nothing wrong with.</param>
    /// <param name="now">The moment to plan for; times in the answer carry its offset.</param>
    /// <param name="apart">Answers that were made apart; none where null.</param>
    public static JobPlan Plan(Job job, DateTimeOffset now, ApartAnswers? apart = null)
    {
        apart ??= new ApartAnswers();
        HeatPlan? heat = apart.Heat;
        JointPlan? joints = apart.Joints;
        DryingPlan drying = DryingPlanner.Plan(job, now);
        HeatLedger ledger = HeatBook.Of(job);
        List<Finding> own = [.. Authority(job)];
        IReadOnlyList<Finding> findings = Finding.WorstFirst(
            drying
                .Findings.Concat(ledger.Findings)
                .Concat(heat?.Findings ?? [])
                .Concat(joints?.Findings ?? [])
                .Concat(apart.Summaries.SelectMany(summary => summary.Findings))
                .Concat(own)
                .Select(finding => Waivers.Apply(job, finding))
        );
        IReadOnlyList<Caution> cautions = Cautions(job, drying);
        List<QuestionAnswer> answers = Questions
            .Select(
                (question, index) =>
                    index + 1 == DryingQuestion ? DryingAnswer(question, drying, findings)
                    : index + 1 == HeatQuestion && heat is not null ? HeatAnswer(question, heat, findings)
                    : index + 1 == JointQuestion && joints is not null ? JointAnswer(question, joints, findings)
                    : apart.Of(index + 1) is { } summary ? SummaryAnswer(index + 1, question, summary, findings)
                    : new QuestionAnswer(index + 1, question, false, Verdict.Unknown, "Not computed yet.", null)
            )
            .ToList();
        JobPlan plan = new(
            job,
            now,
            answers,
            drying,
            ledger,
            cautions,
            findings,
            Sources(drying, ledger, heat, joints, findings, cautions),
            apart
        );
        // Question 10 is made of the other nine.
        return apart.HandoverFacts is { } facts
            ? HandoverPlanner.Into(plan, HandoverPlanner.Answer(new HandoverRequest(plan, facts)))
            : plan;
    }

    // Nothing waits for the dryer: said of what was heated already and of what is still to be heated, each as far as it is known.
    private static string NothingToDry(DryingPlan drying, List<Finding> findings, Verdict verdict)
    {
        bool over =
            drying.Subjects.Count > 0 && drying.Subjects.All(subject => subject.State == DryingState.NoHeatLeft);
        if (findings.Exists(finding => finding.Code == "drying.heated-not-dry"))
        {
            return over
                ? "No heat of this job is left. Not known to have been dry at the last one."
                : "Not known to have been dry at the last heat.";
        }
        if (over)
        {
            return "Dry when it was heated; no heat of this job is left.";
        }
        string dry = drying.Subjects.Any(subject => subject.State == DryingState.Dried) ? "Dry" : "No bake needed";
        return verdict is Verdict.Blocker or Verdict.FixFirst
            ? $"{dry}, with something to put right first."
            : $"{dry}.";
    }

    private static QuestionAnswer DryingAnswer(string question, DryingPlan drying, IReadOnlyList<Finding> all)
    {
        List<Finding> findings = all.Where(finding => finding.Code.StartsWith("drying.", StringComparison.Ordinal))
            .ToList();
        SubjectDrying? noAnswer = drying.Subjects.FirstOrDefault(subject => subject.State == DryingState.NoAnswer);
        List<SubjectDrying> waiting = drying
            .Subjects.Where(subject => subject.State is DryingState.ToDry or DryingState.InDryer)
            .ToList();
        Verdict verdict = findings.Count > 0 ? Finding.Worst(findings) : Verdict.Ok;
        string? next = Urgent(findings);
        if (noAnswer is not null)
        {
            return new QuestionAnswer(
                DryingQuestion,
                question,
                true,
                verdict,
                $"No drying time for the {noAnswer.Title} with this dryer.",
                next
            );
        }
        if (waiting.Count == 0)
        {
            return new QuestionAnswer(
                DryingQuestion,
                question,
                true,
                verdict,
                NothingToDry(drying, findings, verdict),
                next
            );
        }
        SubjectDrying last = waiting.MaxBy(subject => subject.ReadyAt)!;
        bool running = waiting.TrueForAll(subject => subject.State == DryingState.InDryer);
        string when = last.ReadyAt!.Value.ToOffset(drying.ComputedAt.Offset)
            .ToString("ddd d MMM yyyy HH:mm", CultureInfo.InvariantCulture);
        string answer = running
            ? $"Not dry yet: ready {when}."
            : $"Not dry: ready {when} if drying starts {(drying.StartAt > drying.ComputedAt ? "as planned" : "now")}.";
        return new QuestionAnswer(
            DryingQuestion,
            question,
            true,
            verdict,
            answer,
            running ? "Leave it in the dryer; weigh it on the way." : next ?? "Put it into the dryer."
        );
    }

    private static IEnumerable<Finding> Authority(Job job)
    {
        if (string.IsNullOrWhiteSpace(job.Machine.Authority))
        {
            yield return new Finding(
                Verdict.FixFirst,
                "intake.no-authority",
                "machine",
                "No written authority of the owner is on record.",
                Source: "common-practice",
                Todo: "Get it signed before the first heat, with what happens if the board dies, and enter where it is kept."
            );
        }
    }

    private static List<Caution> Cautions(Job job, DryingPlan drying)
    {
        bool lithium = Boards(job)
            .SelectMany(board => board.Parts)
            .Any(part =>
                !part.TakenOff && part.Kind is PartKind.CoinCell or PartKind.LithiumPack or PartKind.Supercapacitor
            );
        bool dries = drying.Subjects.Any(subject =>
            subject.State is DryingState.ToDry or DryingState.InDryer or DryingState.NoAnswer
        );
        return CautionTexts
            .All.Where(caution =>
                caution.When switch
                {
                    CautionWhen.Lithium => lithium,
                    CautionWhen.Leaded => MayHoldLead(job),
                    CautionWhen.Drying => dries,
                    _ => true,
                }
            )
            .Select(caution => new Caution(
                caution.Hazard,
                caution.Text,
                Mark(caution.Confidence),
                caution.Source,
                caution.When
            ))
            .ToList();
    }

    // An alloy that is not known may hold lead.
    private static bool MayHoldLead(Job job)
    {
        List<string?> alloys =
        [
            job.Materials.BallAlloy,
            job.Materials.LandAlloy,
            .. job.Chips.Select(chip => chip.BallAlloy),
        ];
        return alloys.Exists(alloy =>
            alloy is null
            || alloy.Contains("Pb", StringComparison.OrdinalIgnoreCase)
            || alloy.Contains("lead", StringComparison.OrdinalIgnoreCase)
        );
    }

    private static IEnumerable<Board> Boards(Job job) => job.Donor is null ? [job.Host] : [job.Host, job.Donor];

    private static string Mark(Confidence confidence) =>
        confidence switch
        {
            Confidence.Seen => "C",
            Confidence.FromMemory => "M",
            Confidence.Computed => "X",
            Confidence.CommonPractice => "P",
            _ => "E",
        };

    private static List<string> Sources(
        DryingPlan drying,
        HeatLedger ledger,
        HeatPlan? heat,
        JointPlan? joints,
        IEnumerable<Finding> findings,
        IEnumerable<Caution> cautions
    ) =>
        findings
            .Select(finding => finding.Source)
            .Concat(cautions.Select(caution => caution.Source))
            .Concat(drying.Assumptions.Select(assumption => assumption.Source))
            .Concat(drying.Subjects.SelectMany(subject => subject.RemoveFirst).Select(part => part.Source))
            .Concat(
                drying
                    .Subjects.SelectMany(subject => subject.Bodies)
                    .SelectMany(body => new[] { body.Table.Source, body.Diffusion?.Source, body.FloorLife.Source })
            )
            .Concat(drying.Subjects.Select(subject => subject.Laminate?.Source))
            .Concat(ledger.Accounts.Select(account => account.GuidelineSource))
            .Concat(heat?.Figures.Select(figure => figure.Limit.Source) ?? [])
            .Concat(heat?.Model?.Assumptions.Select(assumption => assumption.Source) ?? [])
            .Concat(joints?.Assumptions.Select(assumption => assumption.Source) ?? [])
            .Concat(joints?.Request.Solder.Figures.Select(figure => figure.Source) ?? [])
            .OfType<string>()
            .Distinct(StringComparer.Ordinal)
            .Order(StringComparer.Ordinal)
            .ToList();
}
