using System.Text;
using Graftbench.Core.Insight;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Insight;

public class CaseReadingTests
{
    private static readonly DateTimeOffset Now = new(2026, 11, 1, 12, 0, 0, TimeSpan.Zero);

    [Fact]
    public void A_job_on_the_bench_is_open_and_in_no_rate() =>
        Assert.Equal(CaseOutcome.Open, Of(Job()).Outcome(Now, 30));

    [Theory]
    [InlineData("2026-09-01T10:00:00Z", CaseOutcome.Worked)]
    [InlineData("2026-10-20T10:00:00Z", CaseOutcome.TooEarly)]
    public void A_job_that_was_handed_over_counts_once_it_was_watched(string at, CaseOutcome expected) =>
        Assert.Equal(expected, Of(HandedOver(at)).Outcome(Now, 30));

    [Fact]
    public void A_job_handed_over_on_an_unknown_day_is_in_no_rate() =>
        Assert.Equal(CaseOutcome.NotDated, Of(Job() with { Stage = JobStage.HandedOver }).Outcome(Now, 30));

    [Theory]
    [InlineData("2026-08-10T10:00:00Z", CaseOutcome.CameBack)]
    [InlineData("2026-09-20T10:00:00Z", CaseOutcome.Worked)]
    public void A_return_counts_where_it_came_within_the_days_of_watching(string back, CaseOutcome expected)
    {
        Job job = HandedOver("2026-08-01T10:00:00Z") with { Stage = JobStage.Returned };
        InsightCase found = Of(job, new RecordFacts(Now, null, At(back)));
        Assert.Equal(expected, found.Outcome(Now, 30));
        Assert.True(found.Span(Now)!.Value.CameBack);
    }

    [Fact]
    public void A_return_lately_is_counted_no_sooner_than_a_success() =>
        Assert.Equal(
            CaseOutcome.TooEarly,
            Of(
                    HandedOver("2026-10-20T10:00:00Z") with
                    {
                        Stage = JobStage.Returned,
                    },
                    new RecordFacts(Now, null, At("2026-10-22T10:00:00Z"))
                )
                .Outcome(Now, 30)
        );

    [Fact]
    public void A_second_hand_over_leaves_the_first_return_on_record()
    {
        RecordFacts facts = new(Now, At("2026-07-01T10:00:00Z"), At("2026-07-15T10:00:00Z"));
        InsightCase found = Of(HandedOver("2026-08-01T10:00:00Z"), facts);
        Assert.Equal(CaseOutcome.CameBack, found.Outcome(Now, 30));
        Assert.Equal(14, found.Span(Now)!.Value.AfterDays, 9);
    }

    [Fact]
    public void Returned_by_mistake_and_set_back_is_no_return()
    {
        RecordFacts facts = new(Now, null, At("2026-08-15T10:00:00Z"));
        Assert.Equal(CaseOutcome.Worked, Of(HandedOver("2026-08-01T10:00:00Z"), facts).Outcome(Now, 30));
    }

    [Fact]
    public void A_fault_closed_without_a_cause_did_not_work_until_it_is_handed_over()
    {
        RecordFacts facts = new(Now, null, null, At("2026-08-15T10:00:00Z"));
        Assert.Equal(CaseOutcome.DidNotWork, Of(Job(), facts).Outcome(Now, 30));
        Assert.Equal(CaseOutcome.Open, Of(Job() with { Result = WorkResult.Works }, facts).Outcome(Now, 30));
        Assert.Equal(CaseOutcome.Worked, Of(HandedOver("2026-09-01T10:00:00Z"), facts).Outcome(Now, 30));
    }

    [Fact]
    public void Handed_back_as_it_was_did_not_work()
    {
        InsightCase found = Of(HandedOver("2026-09-01T10:00:00Z") with { Result = WorkResult.DoesNotWork });
        Assert.Equal(CaseOutcome.DidNotWork, found.Outcome(Now, 30));
        Assert.Null(found.Span(Now));
    }

    [Theory]
    [InlineData("SAC305", null, AlloyFamily.LeadFree)]
    [InlineData("Sn63Pb37", "Sn63Pb37", AlloyFamily.Leaded)]
    [InlineData("SAC305", "Sn63Pb37", AlloyFamily.Mixed)]
    [InlineData("SAC305", "Sn42Bi58", AlloyFamily.Mixed)]
    [InlineData("Sn42Bi58", "Sn42Bi58", AlloyFamily.LowMelting)]
    [InlineData("secret sauce", "SAC305", AlloyFamily.Unknown)]
    [InlineData(null, "SAC305", AlloyFamily.Unknown)]
    public void Solder_is_told_by_balls_and_lands(string? balls, string? lands, AlloyFamily expected) =>
        Assert.Equal(
            expected,
            Of(
                Job() with
                {
                    Materials = new Materials { BallAlloy = balls, LandAlloy = lands },
                }
            ).Groups.Alloy
        );

    [Theory]
    [InlineData(null, LandSolder.Unknown)]
    [InlineData(0.0, LandSolder.Bare)]
    [InlineData(0.02, LandSolder.Thin)]
    [InlineData(0.05, LandSolder.Thick)]
    public void Solder_on_the_lands_is_told_by_its_height(double? heightMm, LandSolder expected) =>
        Assert.Equal(
            expected,
            Of(Chip(chip => chip with { Seat = new Seat { DomeHeightMm = heightMm } })).Groups.Lands
        );

    // Full melt of SAC305: 220 °C by data/alloys.csv.
    [Theory]
    [InlineData(229.9, PeakBand.Low)]
    [InlineData(230.0, PeakBand.Middle)]
    [InlineData(245.0, PeakBand.Middle)]
    [InlineData(245.1, PeakBand.High)]
    [InlineData(null, PeakBand.Unknown)]
    public void The_peak_is_told_above_full_melt(double? peakC, PeakBand expected)
    {
        Job job = Job() with
        {
            Materials = new Materials { BallAlloy = "SAC305" },
            History = new History
            {
                Heats =
                [
                    Heat("host", HeatKind.Again, "2026-08-01T10:00:00Z", 300),
                    Heat("host", HeatKind.Lift, "2026-08-01T11:00:00Z", 300),
                    Heat("host", HeatKind.Place, "2026-08-02T10:00:00Z", peakC),
                ],
            },
        };
        Assert.Equal(expected, Of(job).Groups.Peak);
    }

    [Theory]
    [InlineData(1.27, 352, "pitch 1 mm and more, 201 to 600 balls")]
    [InlineData(0.4, 200, "pitch below 0.5 mm, up to 200 balls")]
    [InlineData(0.8, null, "")]
    public void The_part_is_told_by_pitch_and_balls(double pitchMm, int? balls, string expected) =>
        Assert.Equal(expected, Of(Chip(chip => chip with { PitchMm = pitchMm, BallCount = balls })).Groups.PartClass);

    [Fact]
    public void A_source_of_donors_is_what_stands_before_the_first_mark()
    {
        Job job = Chip(chip => chip with { From = ChipPlace.Donor });
        Job from = job with { Donor = job.Host with { Origin = "Spares stock  of a closed plant, bought; burnt" } };
        Assert.Equal("Spares stock of a closed plant", Of(from).Groups.DonorSource);
        Assert.Equal(CaseReading.FromShelf, Of(Job()).Groups.DonorSource);
    }

    [Fact]
    public void Without_heats_or_history_nobody_knows_about_the_drying() =>
        Assert.Equal(DriedBefore.Unknown, Of(Job()).Groups.Dried);

    // A loose level-3 chip on a thin board: 125 °C for two days before the first heat is more than any row asks for.
    [Theory]
    [InlineData(48, false, DriedBefore.AsAdvised)]
    [InlineData(1, false, DriedBefore.Part)]
    [InlineData(1, true, DriedBefore.Waived)]
    public void Drying_is_looked_at_as_it_stood_before_the_first_heat(int hours, bool waived, DriedBefore expected)
    {
        DateTimeOffset heat = At("2026-08-10T10:00:00Z");
        Exposure Bake(string of) =>
            new()
            {
                Of = of,
                Place = ExposurePlace.Bake,
                From = heat.AddHours(-1 - hours),
                To = heat.AddHours(-1),
                TemperatureC = 125,
                HumidityPercent = 1,
            };
        Job job = Chip(chip => chip with { MoistureLevel = MoistureLevel.L3 });
        job = job with
        {
            Dryer = new Dryer
            {
                SetC = 125,
                SpreadDeltaK = 0,
                WarmUpMin = 0,
                Air = DryerAir.Stated,
                HumidityPercent = 1,
            },
            History = new History
            {
                Exposures = [Bake("host"), Bake("U1")],
                Heats = [Heat("host", HeatKind.Place, "2026-08-10T10:00:00Z", 240)],
            },
            Evidence = waived
                ?
                [
                    new EvidenceEntry
                    {
                        At = heat,
                        Who = "T",
                        Kind = EvidenceKind.Waiver,
                        Note = "Owner in a hurry.",
                        Waives = "drying.not-dry",
                        WaivesWhere = "host board",
                    },
                ]
                : [],
        };
        Assert.Equal(expected, Of(job).Groups.Dried);
    }

    [Fact]
    public void Time_and_cost_are_added_up_by_step()
    {
        Job job = Job() with
        {
            Shop = new Shop { Currency = "EUR" },
            Work =
            [
                new WorkEntry { What = WorkStep.Lift, SpentMin = 20 },
                new WorkEntry { What = WorkStep.Parts, Cost = 12.5 },
                new WorkEntry
                {
                    What = WorkStep.Lift,
                    SpentMin = 15,
                    Cost = 1,
                },
            ],
        };
        InsightCase found = Of(job);
        Assert.Equal("EUR", found.Currency);
        Assert.Equal([new StepSpent(WorkStep.Lift, 35, 1), new StepSpent(WorkStep.Parts, null, 12.5)], found.Spent);
    }

    private static InsightCase Of(Job job, RecordFacts? facts = null) =>
        CaseReading.Of(job, 1, facts ?? new RecordFacts(Now.AddDays(-60)));

    private static Heat Heat(string of, HeatKind kind, string at, double? peakC) =>
        new()
        {
            Of = of,
            Kind = kind,
            At = At(at),
            PeakC = peakC,
        };

    private static DateTimeOffset At(string text) =>
        DateTimeOffset.Parse(text, System.Globalization.CultureInfo.InvariantCulture);

    private static Job HandedOver(string at) =>
        Job() with
        {
            Stage = JobStage.HandedOver,
            Handover = new HandoverNote { HandedOverAt = At(at) },
        };

    private static Job Chip(Func<Chip, Chip> change) => Job() with { Chips = [change(Job().Chips[0])] };

    private static Job Job()
    {
        JobReading reading = JobReader.Read(
            Encoding.UTF8.GetBytes(
                """
                {
                  "format": "graftbench-job-1", "id": "case", "title": "A case", "openedAt": "2026-06-01T08:00:00Z",
                  "host": { "lengthMm": 120, "widthMm": 80, "thicknessMm": 1.6 },
                  "chips": [{ "id": "U1", "from": "shelf", "to": "host",
                    "bodyLengthMm": 17, "bodyWidthMm": 17, "bodyThicknessMm": 1.4 }]
                }
                """
            ),
            Now
        );
        return reading.Job!;
    }
}
