using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Heating;

/// <summary>The limits and goals that a plan for one heat is held to, each with whose limit it is.</summary>
/// <remarks>
/// Place: joints, body, neighbours and board. Lift: every joint molten is enough; the chip's own limits are hard unless it is
/// scrap, the board's limits are soft where the board is the donor. Attach balls: the loose chip alone.
/// </remarks>
public static class HeatLimitsOf
{
    private const double JointScaleDeltaK = 5;
    private const double TimeScaleS = 15;
    private const double RampScaleKPerS = 0.4;
    private const double SpreadScaleDeltaK = 2;
    private const double HeatingScaleS = 15;

    /// <summary>Limits of one heat.</summary>
    /// <param name="job">The job.</param>
    /// <param name="task">What the heat is for.</param>
    /// <param name="model">The model that was built for it.</param>
    /// <returns>Limits; empty where there is no model.</returns>
    public static IReadOnlyList<HeatLimit> Of(Job job, HeatTask task, BoardHeatModel model)
    {
        string? chipId = model.Places.FirstOrDefault(place => place.Kind == HeatPlaceKind.BodyTop)?.Part;
        Chip? chip = job.Chips.FirstOrDefault(one => one.Id == chipId);
        if (!model.Usable || chip is null)
        {
            return [];
        }
        JointAlloy alloy = JointAlloy.Of(job, task, chip, new ModelNotes());
        List<HeatLimit> limits = [];
        AddJoints(limits, job.Wishes.Heat, task, alloy, model);
        AddBody(limits, chip, alloy);
        if (task != HeatTask.AttachBalls)
        {
            bool keeps = task == HeatTask.Place || chip.From != ChipPlace.Donor;
            Board board = keeps ? job.Host : job.Donor ?? job.Host;
            limits.AddRange(NeighbourLimitList.Of(job, board, keeps, model));
            limits.Add(Underside(board, keeps));
        }
        if (job.Wishes.Heat.MaxHeatingS is double mostS)
        {
            limits.Add(
                new HeatLimit(
                    HeatLimitKind.HeatingTime,
                    null,
                    "Heating, up to switching off",
                    mostS,
                    "s",
                    HeatingScaleS,
                    Hard: false,
                    Confidence.Seen,
                    "job-file",
                    "As wished in the job."
                )
            );
        }
        return limits;
    }

    private static void AddJoints(
        List<HeatLimit> limits,
        HeatWishes wishes,
        HeatTask task,
        JointAlloy alloy,
        BoardHeatModel model
    )
    {
        bool lift = task == HeatTask.Lift;
        ReworkTemperature margin = ReflowTables.Rework(lift ? "joint-margin-lift" : "joint-margin");
        double marginDeltaK = (lift ? null : wishes.JointMarginDeltaK) ?? margin.Low!.Value;
        bool wished = !lift && wishes.JointMarginDeltaK is not null;
        limits.Add(
            new HeatLimit(
                HeatLimitKind.ColdestJointPeak,
                null,
                "Coldest joint at its peak",
                model.MoltenC + marginDeltaK,
                "°C",
                JointScaleDeltaK,
                Hard: true,
                wished ? Confidence.Seen : margin.Confidence,
                wished ? "job-file" : margin.Source,
                $"{ModelNotes.Show(model.MoltenC)} °C, where {alloy.Main.Id} is fully molten{(alloy.Known ? "" : " (alloy assumed)")}, and {ModelNotes.Show(marginDeltaK)} K {(wished ? "as wished in the job" : "of margin")}."
            )
        );
        ReworkTemperature molten = ReflowTables.Rework(
            task switch
            {
                HeatTask.Lift => "molten-time-lift",
                HeatTask.AttachBalls => "molten-time-attach",
                _ => "molten-time",
            }
        );
        double? wishedS = lift ? null : wishes.MoltenS;
        limits.Add(
            new HeatLimit(
                HeatLimitKind.MoltenTimeLeast,
                null,
                "Coldest joint above full melt",
                wishedS ?? molten.Low!.Value,
                "s",
                TimeScaleS,
                Hard: false,
                wishedS is null ? molten.Confidence : Confidence.Seen,
                wishedS is null ? molten.Source : "job-file",
                wishedS is null ? Sentence(molten.Note) : "As wished in the job."
            )
        );
        if (lift)
        {
            return;
        }
        AddHottest(limits, alloy, model);
        ReworkTemperature spread = ReflowTables.Rework("joint-spread");
        limits.Add(
            new HeatLimit(
                HeatLimitKind.JointSpread,
                null,
                "Difference across the joints at peak",
                wishes.JointSpreadDeltaK ?? spread.High!.Value,
                "K",
                SpreadScaleDeltaK,
                Hard: false,
                wishes.JointSpreadDeltaK is null ? spread.Confidence : Confidence.Seen,
                wishes.JointSpreadDeltaK is null ? spread.Source : "job-file",
                wishes.JointSpreadDeltaK is null ? "The usual aim." : "As wished in the job."
            )
        );
    }

    private static void AddHottest(List<HeatLimit> limits, JointAlloy alloy, BoardHeatModel model)
    {
        ReworkTemperature hottest =
            alloy.Process == SolderProcess.TinLead
                ? ReflowTables.Rework("joint", SolderProcess.TinLead)
                : ReflowTables.Rework("joint-hottest", SolderProcess.LeadFree);
        // A high-lead column never melts here, and a mix may have to go higher than tin-lead alone.
        if (hottest.High!.Value <= model.MoltenC + JointScaleDeltaK)
        {
            hottest = ReflowTables.Rework("joint-hottest", SolderProcess.LeadFree);
        }
        if (hottest.High!.Value <= model.MoltenC)
        {
            return;
        }
        limits.Add(
            new HeatLimit(
                HeatLimitKind.HottestJointPeak,
                null,
                "Hottest joint at its peak",
                hottest.High.Value,
                "°C",
                JointScaleDeltaK,
                Hard: false,
                hottest.Confidence,
                hottest.Source,
                hottest.Note.Length == 0 ? "Published for joints of this solder." : hottest.Note
            )
        );
    }

    private static void AddBody(List<HeatLimit> limits, Chip chip, JointAlloy alloy)
    {
        bool hard = chip.To != ChipPlace.Scrap;
        SolderProcess built =
            chip.BallAlloy is string name && Alloys.Find(name) is Alloy own ? JointAlloy.ProcessOf(own) : alloy.Process;
        ReflowClassAnswer tc = ReflowClass.Of(
            built,
            chip.BodyThicknessMm,
            chip.BodyLengthMm * chip.BodyWidthMm * chip.BodyThicknessMm
        );
        bool maker = chip.PeakLimitC < tc.ClassTemperatureC;
        string title = $"{chip.Id} body";
        limits.Add(
            new HeatLimit(
                HeatLimitKind.BodyPeak,
                "body top",
                title + ", top centre",
                maker ? chip.PeakLimitC!.Value : tc.ClassTemperatureC,
                "°C",
                JointScaleDeltaK,
                hard,
                maker ? Confidence.Seen : tc.Confidence,
                maker ? "job-file" : tc.Source,
                maker ? "The chip's own peak limit, as entered in the job." : tc.Why + Higher(chip.PeakLimitC)
            )
        );
        Add(HeatLimitKind.MoltenTimeMost, "molten-most", "above the class's liquidus", TimeScaleS);
        Add(HeatLimitKind.BodyRise, "rise-most", "rise", RampScaleKPerS);
        Add(HeatLimitKind.BodyFall, "fall-most", "fall from peak to liquidus", RampScaleKPerS);
        Add(HeatLimitKind.TimeToPeak, "to-peak-most", "from the start to its peak", HeatingScaleS);

        void Add(HeatLimitKind kind, string item, string what, double scale)
        {
            ReflowProfileRow row = ReflowTables.Profiled(item, built);
            limits.Add(
                new HeatLimit(
                    kind,
                    "body top",
                    $"{title}, {what}",
                    row.Value,
                    row.Unit,
                    scale,
                    hard,
                    row.Confidence,
                    row.Source,
                    $"{row.Title}: {ModelNotes.Show(row.Value)} {row.Unit} (J-STD-020)."
                )
                {
                    AboveC = kind is HeatLimitKind.MoltenTimeMost or HeatLimitKind.BodyFall
                        ? ReflowTables.Profiled("liquidus", built).Value
                        : null,
                }
            );
        }

        static string Higher(double? peakLimitC) =>
            peakLimitC is double more
                ? $" The chip's own limit of {ModelNotes.Show(more)} °C is not below it, so the class counts."
                : "";
    }

    private static HeatLimit Underside(Board board, bool keeps)
    {
        LaminateClass laminate = Laminates.Of(board.Laminate);
        ReworkTemperature row = ReflowTables.Rework(
            !keeps ? "underside-least"
            : laminate.T260Min is not null ? "underside-t260"
            : "underside"
        );
        return new HeatLimit(
            HeatLimitKind.UndersidePeak,
            "underside",
            "Board under the chip, underside",
            row.High!.Value,
            "°C",
            JointScaleDeltaK,
            keeps && row.Hard,
            row.Confidence,
            row.Source,
            keeps && laminate.T260Min is double minutes
                ? $"{laminate.Title}: {ModelNotes.Show(minutes)} min at 260 °C before it comes apart."
                : Sentence(row.Note)
        );
    }

    private static string Sentence(string note) => note.Length == 0 ? "Published figure." : note;
}
