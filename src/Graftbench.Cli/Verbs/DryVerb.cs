using System.CommandLine;
using System.Text.Json;
using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench dry</c>: the drying answer with its reasons, for a job or for a single body.</summary>
internal static class DryVerb
{
    public static Command Create()
    {
        Argument<string?> file = Verb.Job(required: false);
        Option<bool> json = new("--json") { Description = "Prints the answer as JSON." };
        Option<string?> at = Verb.At();
        BodyOptions body = new();
        Command verb = new("dry", "Says how long boards and chips must dry, when they are ready, and why.")
        {
            file,
            json,
            at,
        };
        body.AddTo(verb);
        verb.SetAction(
            (parsed, _) =>
                Verb.RunAsync(() =>
                {
                    DateTimeOffset now = Verb.Moment(parsed.GetValue(at));
                    string? path = parsed.GetValue(file);
                    if (path is not null && body.AnyGiven(parsed))
                    {
                        throw new BadInputException("Give a job document or the options of a single body, not both.");
                    }
                    return Task.FromResult(
                        path is not null
                            ? ForJob(JobInput.Load(path, now), now, parsed.GetValue(json))
                            : ForBody(body.ToJob(parsed, now), now, parsed.GetValue(json))
                    );
                })
        );
        return verb.WithExample(
            "graftbench dry --thickness-mm 1.6 --level 3 --at-c 70 --room-c 25 --room-humidity 50",
            "hours for a chip of unknown history in a food-dryer class device"
        );
    }

    private static int ForJob(Job job, DateTimeOffset now, bool asJson)
    {
        DryingPlan drying = Planner.Plan(job, now).Drying;
        if (asJson)
        {
            Console.Out.WriteLine(PlanJson.Write(drying));
            return PlanVerb.CodeOf(drying.Findings);
        }
        Page page = new();
        page.Add(job.Title);
        page.Add($"job {job.Id}, planned for {Say.Moment(now, now)}");
        page.Add();
        DryingText.Add(page, drying);
        foreach (SubjectDrying subject in drying.Subjects)
        {
            page.Add();
            page.Add($"Reasons: {subject.Title}");
            DryingText.AddReasons(page, subject);
        }
        page.Add();
        DryingText.AddFindings(page, drying.Findings);
        if (drying.Assumptions.Count > 0)
        {
            page.Add();
            DryingText.AddAssumptions(page, drying.Assumptions);
        }
        Console.Out.Write(page);
        return PlanVerb.CodeOf(drying.Findings);
    }

    private static int ForBody(Job job, DateTimeOffset now, bool asJson)
    {
        DryingPlan drying = Planner.Plan(job, now).Drying;
        SubjectDrying chip = drying.Subjects.Single(subject =>
            string.Equals(subject.Id, BodyOptions.ChipId, StringComparison.Ordinal)
        );
        IReadOnlyList<Finding> findings = Finding.WorstFirst(
            chip.Findings.Concat(chip.Bodies.SelectMany(body => body.Findings)).Distinct()
        );
        if (asJson)
        {
            Console.Out.WriteLine(JsonSerializer.Serialize(chip, PlanJson.Options));
            return PlanVerb.CodeOf(findings);
        }
        Page page = new();
        DryingText.Add(page, drying with { Subjects = [chip] });
        page.Add();
        page.Add("Reasons");
        DryingText.AddReasons(page, chip);
        page.Add();
        DryingText.AddFindings(page, findings);
        Console.Out.Write(page);
        return PlanVerb.CodeOf(findings);
    }
}
