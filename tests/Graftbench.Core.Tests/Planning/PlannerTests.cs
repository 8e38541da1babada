using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Core.Tests.Drying;

namespace Graftbench.Core.Tests.Planning;

public class PlannerTests
{
    private static JobPlan Plan(Job job) => Planner.Plan(job, SampleJob.Now);

    private static Job Sample =>
        SampleJob.Job(SampleJob.Board(SampleJob.Body("U5"), SampleJob.Of("BT1", PartKind.CoinCell)), SampleJob.Chip());

    [Fact]
    public void Ten_questions_of_which_only_the_built_one_is_answered()
    {
        JobPlan plan = Plan(Sample);

        Assert.Equal(Enumerable.Range(1, 10), plan.Questions.Select(question => question.Number));
        Assert.Equal([2], plan.Questions.Where(question => question.Computed).Select(question => question.Number));
        Assert.All(
            plan.Questions.Where(question => !question.Computed),
            question => Assert.Equal(Verdict.Unknown, question.Verdict)
        );
    }

    [Fact]
    public void Every_source_that_an_answer_names_is_in_the_source_table() =>
        Assert.All(Plan(Sample).SourceIds, id => Assert.NotNull(ReferenceShelf.FindSource(id)));

    [Fact]
    public void Findings_come_worst_first()
    {
        IReadOnlyList<Finding> findings = Plan(Sample).Findings;

        Assert.Equal(findings.Select(finding => finding.Verdict).Order(), findings.Select(finding => finding.Verdict));
        Assert.Equal(Verdict.Blocker, findings[0].Verdict);
    }

    [Fact]
    public void No_authority_is_something_to_fix_first()
    {
        JobPlan plan = Plan(Sample with { Machine = new Machine() });

        Assert.Contains(
            plan.Findings,
            finding => finding is { Code: "intake.no-authority", Verdict: Verdict.FixFirst }
        );
    }

    [Fact]
    public void A_waiver_with_words_turns_a_finding_into_a_warning_that_keeps_them()
    {
        EvidenceEntry waiver = new()
        {
            At = SampleJob.Now.AddHours(-1),
            Who = "M. Brandt",
            Kind = EvidenceKind.Waiver,
            Waives = "drying.not-dry",
            WaivesWhere = "host board",
            Note = "Scrap board, practice only",
        };
        IReadOnlyList<Finding> findings = Plan(Sample with { Evidence = [waiver] }).Findings;
        IReadOnlyList<Finding> wordless = Plan(Sample with { Evidence = [waiver with { Note = "" }] }).Findings;

        Assert.Contains(
            findings,
            finding => finding is { Code: "drying.not-dry", Where: "host board", Verdict: Verdict.Warning }
        );
        // The donor board was not waived.
        Assert.Contains(
            findings,
            finding => finding is { Code: "drying.not-dry", Where: "donor board", Verdict: Verdict.FixFirst }
        );
        Assert.Contains(
            findings,
            finding =>
                finding.What.Contains("Set aside by M. Brandt, 2026-11-20: Scrap board", StringComparison.Ordinal)
        );
        Assert.Contains(wordless, finding => finding is { Code: "drying.not-dry", Verdict: Verdict.FixFirst });
    }

    [Fact]
    public void Lithium_cautions_come_with_a_cell_only()
    {
        bool Lithium(Job job) =>
            Plan(job).Cautions.Any(caution => caution.Hazard.Contains("ithium", StringComparison.Ordinal));

        Assert.True(Lithium(Sample));
        Assert.False(Lithium(SampleJob.Job(SampleJob.Board(SampleJob.Body("U5")), SampleJob.Chip())));
    }

    [Fact]
    public void The_same_job_and_moment_give_the_same_plan()
    {
        string first = System.Text.Json.JsonSerializer.Serialize(Plan(Sample), JobFormat.Json);

        Assert.Equal(first, System.Text.Json.JsonSerializer.Serialize(Plan(Sample), JobFormat.Json));
    }

    [Fact]
    public void Every_generated_job_can_be_planned()
    {
        Random random = new(20261120);
        for (int i = 0; i < 300; i++)
        {
            Job job = RandomJob(random);
            JobPlan plan = Plan(job);
            Assert.All(plan.Drying.Subjects, subject => Assert.True(subject.AdviceH is null or >= 0));
            Assert.DoesNotContain(
                "NaN",
                System.Text.Json.JsonSerializer.Serialize(plan, JobFormat.Json),
                StringComparison.Ordinal
            );
        }
    }

    private static Job RandomJob(Random random)
    {
        T Pick<T>()
            where T : struct, Enum => Enum.GetValues<T>()[random.Next(Enum.GetValues<T>().Length)];
        double? Maybe(double low, double high) => random.Next(3) == 0 ? null : low + random.NextDouble() * (high - low);
        Part[] parts = Enumerable
            .Range(0, random.Next(12))
            .Select(i => new Part
            {
                Ref = $"P{i}",
                Kind = Pick<PartKind>(),
                BodyThicknessMm = Maybe(0.3, 6),
                HeightMm = Maybe(0.3, 20),
                LengthMm = Maybe(1, 40),
                WidthMm = Maybe(1, 40),
                MoistureLevel = Pick<MoistureLevel>(),
                InternalPlanes = Pick<YesNo>(),
                StackedDie = Pick<YesNo>(),
                BakeLimitC = Maybe(40, 200),
                TakenOff = random.Next(4) == 0,
            })
            .ToArray();
        Chip chip = SampleJob.Chip(from: random.Next(2) == 0 ? ChipPlace.Donor : ChipPlace.Shelf) with
        {
            BodyThicknessMm = 0.4 + 5 * random.NextDouble(),
            MoistureLevel = Pick<MoistureLevel>(),
            InternalPlanes = Pick<YesNo>(),
            StackedDie = Pick<YesNo>(),
            BodyLengthMm = 5 + 40 * random.NextDouble(),
            SubstrateThicknessMm = random.Next(2) == 0 ? 0.2 : null,
        };
        List<Exposure> exposures = [];
        double atH = -600;
        while (atH < 0 && random.Next(6) > 0)
        {
            double toH = Math.Min(0, atH + 200 * random.NextDouble());
            exposures.Add(
                SampleJob.In(
                    random.Next(2) == 0 ? "host" : chip.Id,
                    Pick<ExposurePlace>(),
                    atH,
                    toH,
                    Maybe(15, 130),
                    Maybe(0, 100)
                )
            );
            atH = toH + (random.Next(2) == 0 ? 0 : random.NextDouble());
        }
        Job job = SampleJob.Job(
            SampleJob.Board(parts) with
            {
                Laminate = Pick<LaminateKind>(),
                SolidPlanes = Pick<YesNo>(),
            },
            chip
        );
        return job with
        {
            Bench = new Bench { RoomC = Maybe(5, 40), RoomHumidityPercent = Maybe(5, 95) },
            Dryer = new Dryer
            {
                SetC = Maybe(25, 125),
                SpreadDeltaK = Maybe(0, 20),
                WarmUpMin = Maybe(0, 60),
                Air = Pick<DryerAir>(),
                HumidityPercent = Maybe(0, 50),
            },
            History = new History { Exposures = exposures },
            Wishes = new Wishes { HottestBodyC = Maybe(150, 260) },
        };
    }
}
