using Graftbench.Core.Facts;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;
using Graftbench.Core.Reviewing;

namespace Graftbench.Core.Tests.Reviewing;

public sealed class HeatEntriesTests
{
    private static readonly DateTimeOffset At = new(2026, 3, 1, 10, 0, 0, TimeSpan.Zero);

    private static Job Job() =>
        new()
        {
            Format = JobFormat.Name,
            Id = "a",
            Title = "a",
            Host = new Board
            {
                LengthMm = 200,
                WidthMm = 150,
                ThicknessMm = 1.6,
            },
            Chips =
            [
                new Chip
                {
                    Id = "U1",
                    From = ChipPlace.Shelf,
                    To = ChipPlace.Host,
                    BodyLengthMm = 30,
                    BodyWidthMm = 30,
                    BodyThicknessMm = 2,
                },
            ],
        };

    private static RunReview Review(double peakC, bool simulated = false) =>
        RunReviewer.Review(
            new ReviewRequest(Profiles.Log([(0, 25), (200, peakC), (400, 25)], 1) with { Simulated = simulated })
            {
                Task = HeatTask.Place,
                ChipId = "U1",
                Seats = [new ProbeSeat("T1", HeatPlaceKind.BodyTop, null, null)],
                Process = SolderProcess.LeadFree,
                ClassTemperatureC = 245,
            }
        );

    [Fact]
    public void A_heat_is_proposed_for_chip_and_board_and_written_once()
    {
        Job job = Job();
        RunReview review = Review(240);
        IReadOnlyList<ProposedHeat> lines = HeatEntries.Propose(review, job, "run1", At);
        Assert.Equal(["U1", "host"], lines.Select(line => line.Of));
        Assert.Equal(240, lines[0].Heat!.PeakC);
        Assert.Equal(HeatKind.Place, lines[0].Heat!.Kind);
        Assert.Null(lines[1].Heat!.PeakC);
        Job once = HeatEntries.Write(job, "run1", lines);
        Assert.Equal(2, once.History.Heats.Count);
        Assert.Same(once, HeatEntries.Write(once, "run1", lines));
        Assert.Equal(2, HeatEntries.Written(once, "run1").Count);
        Assert.Empty(HeatEntries.Written(once, "run2"));
        HeatLedger ledger = HeatBook.Of(once);
        Assert.Single(ledger.Accounts.Single(account => account.Id == "U1").Spent);
        Assert.True(JobReader.Read(JobFormat.Write(once), At.AddDays(1)).Job is not null);
    }

    [Fact]
    public void A_second_heat_of_the_same_kind_over_the_guideline_wants_a_decision()
    {
        Job job = Job();
        for (int i = 0; i < 4; i++)
        {
            IReadOnlyList<ProposedHeat> lines = HeatEntries.Propose(Review(240), job, $"run{i}", At.AddHours(i));
            if (i == 3)
            {
                Assert.True(lines[0].NeedsDecision);
            }
            job = HeatEntries.Write(job, $"run{i}", lines, "owner, by phone");
        }
        Assert.Equal("owner, by phone", job.History.Heats.Last(heat => heat.Of == "U1").Decision);
    }

    [Fact]
    public void Below_200_C_no_heat_is_counted_and_a_simulation_gives_none()
    {
        Assert.Null(HeatEntries.Propose(Review(180), Job(), "run1", At)[0].Heat);
        Assert.Empty(HeatEntries.Propose(Review(240, simulated: true), Job(), "run1", At));
    }

    [Fact]
    public void Two_runs_are_laid_over_each_other_at_a_crossing()
    {
        RunReview first = Review(240);
        RunReview late = RunReviewer.Review(
            new ReviewRequest(Profiles.Log([(0, 25), (60, 25), (260, 240), (460, 25)], 1)) { Title = "late" }
        );
        RunOverlay overlay = RunOverlay.Of(first, late, 150);
        Assert.Equal(-60, overlay.ShiftS, 3);
        OverlayFigure peak = overlay.Figures.First(pair => pair.First.Key == "peak");
        Assert.Equal(0, peak.Difference!.Value, 6);
        Assert.False(peak.Differs);
        OverlayFigure apart = RunOverlay.Of(first, Review(200), null).Figures.First(pair => pair.First.Key == "peak");
        Assert.True(apart.Differs);
        Assert.Contains("no curve", RunOverlay.Of(first, late, 390).AlignedBy, StringComparison.Ordinal);
    }
}
