using System.Collections;
using System.Collections.Concurrent;
using System.Reflection;
using System.Text;
using Graftbench.Core.Drying;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;

namespace Graftbench.Conventions;

/// <summary>What every answer owes the reader, checked on the demo jobs.</summary>
public class AnswerTests
{
    private static readonly DateTimeOffset At = new(2026, 11, 24, 18, 0, 0, TimeSpan.FromHours(1));

    public static TheoryData<string> Files => DemoTests.Files;

    private static readonly ConcurrentDictionary<string, JobPlan> Planned = new(StringComparer.Ordinal);

    private static JobPlan Plan(string file) => Planned.GetOrAdd(file, PlanAnew);

    private static JobPlan PlanAnew(string file) =>
        Planner.Plan(JobReader.Read(Encoding.UTF8.GetBytes(Repository.Read(file)), At).Job!, At);

    [Theory, MemberData(nameof(Files))]
    public void Every_source_that_an_answer_names_exists(string file)
    {
        JobPlan plan = Plan(file);
        List<(string Where, string Id)> named = [];
        Collect(plan, "plan", named, []);
        named.AddRange(plan.SourceIds.Select(id => ("plan.SourceIds", id)));
        Assert.True(named.Count > 20, $"only {named.Count} sources found: the walk is broken");
        List<string> unknown =
        [
            .. named.Where(one => ReferenceShelf.FindSource(one.Id) is null).Select(one => $"{one.Where}: '{one.Id}'"),
        ];
        Assert.True(unknown.Count == 0, string.Join('\n', unknown.Distinct()));
    }

    [Theory, MemberData(nameof(Files))]
    public void Every_source_of_a_finding_is_listed_with_the_plan(string file)
    {
        JobPlan plan = Plan(file);
        Assert.Empty(plan.Findings.Select(finding => finding.Source).OfType<string>().Except(plan.SourceIds));
    }

    [Theory, MemberData(nameof(Files))]
    public void A_finding_that_stops_the_work_says_what_to_do(string file) =>
        Assert.All(
            Plan(file).Findings.Where(finding => finding.Verdict is Verdict.Blocker or Verdict.FixFirst),
            finding => Assert.False(string.IsNullOrWhiteSpace(finding.Todo), $"{finding.Code}: {finding.What}")
        );

    [Theory, MemberData(nameof(Files))]
    public void A_limit_never_stands_without_whose_it_is(string file) =>
        Assert.All(
            Plan(file).Findings.Where(finding => finding.Limit is not null),
            finding => Assert.True(finding.Source is not null, $"{finding.Code}: limit {finding.Limit}")
        );

    [Theory, MemberData(nameof(Files))]
    public void Questions_that_are_not_built_are_unknown_never_ok(string file)
    {
        JobPlan plan = Plan(file);
        Assert.Equal(Enumerable.Range(1, 10), plan.Questions.Select(question => question.Number));
        Assert.All(
            plan.Questions.Where(question => !question.Computed),
            question => Assert.Equal(Verdict.Unknown, question.Verdict)
        );
        Assert.Contains(plan.Questions, question => question.Computed);
    }

    [Theory, MemberData(nameof(Files))]
    public void The_same_job_at_the_same_moment_gives_the_same_words(string file) =>
        Assert.Equal(
            PlanAnew(file).Findings.Select(finding => finding.ToString()),
            PlanAnew(file).Findings.Select(finding => finding.ToString())
        );

    [Fact]
    public void The_three_jobs_stand_at_three_different_points_of_drying()
    {
        DryingState[] hosts =
        [
            .. Files.Select(row => Plan(row.Data).Drying.Subjects.Single(subject => subject.Id == "host").State),
        ];
        Assert.Equal([DryingState.InDryer, DryingState.ToDry, DryingState.Dried], hosts);
    }

    // Every text that is called a source, anywhere in the answer.
    private static void Collect(
        object? value,
        string where,
        List<(string Where, string Id)> named,
        HashSet<object> seen
    )
    {
        if (
            value is null or string
            || value.GetType().IsPrimitive
            || value.GetType().Namespace == "System"
            || !seen.Add(value)
        )
        {
            return;
        }
        if (value is IEnumerable list)
        {
            int place = 0;
            foreach (object? item in list)
            {
                Collect(item, $"{where}[{place++}]", named, seen);
            }
            return;
        }
        foreach (PropertyInfo property in value.GetType().GetProperties(BindingFlags.Public | BindingFlags.Instance))
        {
            if (property.GetIndexParameters().Length > 0)
            {
                continue;
            }
            object? inner = property.GetValue(value);
            if (inner is string id && property.Name.EndsWith("Source", StringComparison.Ordinal))
            {
                named.Add(($"{where}.{property.Name}", id));
            }
            Collect(inner, $"{where}.{property.Name}", named, seen);
        }
    }
}
