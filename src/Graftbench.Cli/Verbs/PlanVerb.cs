using System.CommandLine;
using System.Text;
using Graftbench.Core;
using Graftbench.Core.Findings;
using Graftbench.Core.Fit;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Handover;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;
using Graftbench.Core.Planning;
using Graftbench.Core.Proof;
using Graftbench.Core.Returns;
using Graftbench.Sheets;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench plan</c>: every answer that a job allows, and the plan sheet.</summary>
internal static class PlanVerb
{
    public static Command Create()
    {
        Argument<string?> file = Verb.Job(required: true);
        Option<string?> output = new("--output", "-o")
        {
            Description = "Plan sheet to write: FILE.html or FILE.pdf.",
            HelpName = "FILE",
        };
        Option<string?> handover = new("--handover")
        {
            Description = "Hand-over sheet for the owner to write: FILE.html or FILE.pdf.",
            HelpName = "FILE",
        };
        Option<bool> json = new("--json") { Description = "Prints the whole plan as JSON." };
        Option<string?> at = Verb.At();
        Command verb = new(
            "plan",
            "Computes every answer that a job allows and writes the plan sheet; joints where the job says how its chip seats."
        )
        {
            file,
            output,
            handover,
            json,
            at,
        };
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(async () =>
                {
                    string? sheet = parsed.GetValue(output);
                    SheetKind kind = KindOf(sheet);
                    string? over = parsed.GetValue(handover);
                    SheetKind overKind = KindOf(over);
                    DateTimeOffset now = Verb.Moment(parsed.GetValue(at));
                    if (sheet is not null)
                    {
                        WholeFile.RefuseInput(sheet, parsed.GetValue(file)!);
                    }
                    if (over is not null)
                    {
                        WholeFile.RefuseInput(over, parsed.GetValue(file)!);
                        RefuseSame(sheet, over);
                    }
                    Job job = JobInput.Load(parsed.GetValue(file)!, now);
                    JobPlan plan = Planner.Plan(job, now, Apart(parsed.GetValue(file)!, job, over is not null, cancel));
                    string text = parsed.GetValue(json) ? PlanJson.Write(plan) + "\n" : PlanText.Of(plan);
                    if (sheet is not null)
                    {
                        cancel.ThrowIfCancellationRequested();
                        await WholeFile.WriteAsync(sheet, Sheet(plan, kind), cancel);
                    }
                    if (over is not null)
                    {
                        cancel.ThrowIfCancellationRequested();
                        await WholeFile.WriteAsync(over, Handover(plan, overKind), cancel);
                    }
                    Console.Out.Write(text);
                    if (sheet is not null && !parsed.GetValue(json))
                    {
                        Console.Out.WriteLine();
                        Console.Out.WriteLine($"Plan sheet written to {sheet}");
                    }
                    if (over is not null && !parsed.GetValue(json))
                    {
                        Console.Out.WriteLine();
                        Console.Out.WriteLine($"Hand-over sheet written to {over}");
                    }
                    return CodeOf(plan.Findings);
                })
        );
        return verb.WithExample(
            "graftbench plan job.json -o plan.html --handover owner.pdf",
            "prints the answers, writes both sheets; exit 1: something to fix first, 2: a bad job"
        );
    }

    private static ApartAnswers Apart(string path, Job job, bool handover, CancellationToken cancel)
    {
        (FitSheet? fit, BallMap? map) = FitInput.Begun(path, job);
        ApartAnswers nine = JobProof.With(
            path,
            job,
            map,
            new ApartAnswers
            {
                Fit = fit is null ? null : FitPlanner.Summary(fit),
                FitSheet = fit,
                Joints = Joints(job, cancel),
            }
        );
        return handover || HandoverPlanner.IsBegun(job) ? nine with { HandoverFacts = Facts(nine, map) } : nine;
    }

    // Traces and images lie in a store, which this verb does not open: they count as not tested.
    private static HandoverFacts Facts(ApartAnswers nine, BallMap? map) =>
        new()
        {
            Readings = nine.Proven?.Readings.Readings.Count(reading => reading.State == ReadingState.Handover),
            Returned = nine.Proven is { } proven
                ? ReturnComparer.CompareIfRead(new ReturnRequest(proven.Readings.Readings) { Map = map })
                : null,
        };

    // Seconds for a large package: only where the job says how its chip seats.
    private static JointPlan? Joints(Job job, CancellationToken cancel)
    {
        if (JobJoints.Main(job) is not { Seat: not null } chip)
        {
            return null;
        }
        ProgressLine.Create()?.Report(new PlanProgress($"draws packages of {chip.Id}, tries what helps", 0));
        JointPlan joints = JobJoints.Plan(job, chip.Id, ProgressLine.Create(), cancel);
        ProgressLine.Clear();
        return joints;
    }

    /// <summary>The exit code that findings call for.</summary>
    public static int CodeOf(IEnumerable<Finding> findings) =>
        findings.Any(finding => finding.Verdict is Verdict.Blocker or Verdict.FixFirst)
            ? ExitCode.FixFirst
            : ExitCode.Ok;

    private enum SheetKind
    {
        Html,
        Pdf,
    }

    private static SheetKind KindOf(string? sheet) =>
        Path.GetExtension(sheet ?? ".html").ToLowerInvariant() switch
        {
            ".html" or ".htm" => SheetKind.Html,
            ".pdf" => SheetKind.Pdf,
            string other => throw new BadInputException($"{sheet}: a sheet is .html or .pdf, not “{other}”."),
        };

    private static void RefuseSame(string? sheet, string over)
    {
        if (sheet is not null && Path.GetFullPath(sheet) == Path.GetFullPath(over))
        {
            throw new BadInputException($"{over}: plan sheet and hand-over sheet cannot be the same file.");
        }
    }

    private static byte[] Handover(JobPlan plan, SheetKind kind)
    {
        HandoverAnswer answer = plan.Apart!.HandedOver!;
        return kind == SheetKind.Pdf
            ? HandoverSheetPdf.Write(plan, answer)
            : Encoding.UTF8.GetBytes(HandoverSheet.Html(plan, answer));
    }

    private static byte[] Sheet(JobPlan plan, SheetKind kind) =>
        kind == SheetKind.Pdf ? PlanSheetPdf.Write(plan) : Encoding.UTF8.GetBytes(PlanSheet.Html(plan));
}
