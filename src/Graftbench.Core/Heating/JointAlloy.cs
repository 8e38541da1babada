using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Heating;

/// <summary>What the joints of a heat are made of, as far as the job says.</summary>
/// <param name="Main">Alloy of the balls; SAC305 where it is not known.</param>
/// <param name="SolidusC">First melt of the joint [°C]; where two alloys meet that of the mixture, or the lower one where amounts are not known.</param>
/// <param name="MoltenC">Every joint molten [°C]; where two alloys meet full melt of the mixture and its error, or the higher one where amounts are not known.</param>
/// <param name="Known">False where the alloy was assumed.</param>
internal sealed partial record JointAlloy(Alloy Main, double SolidusC, double MoltenC, bool Known)
{
    private const string Fallback = "SAC305";

    public SolderProcess Process => ProcessOf(Main);

    public static SolderProcess ProcessOf(Alloy alloy) => alloy.Leaded ? SolderProcess.TinLead : SolderProcess.LeadFree;

    public static JointAlloy Of(Job job, HeatTask task, Chip chip, ModelNotes notes)
    {
        (string? ball, string? land) = task switch
        {
            HeatTask.Place => (job.Materials.BallAlloy ?? chip.BallAlloy, job.Materials.LandAlloy),
            HeatTask.AttachBalls => (job.Materials.BallAlloy ?? chip.BallAlloy, chip.BallAlloy),
            _ => (chip.BallAlloy, null),
        };
        Alloy? main = Resolve(ball, chip, notes);
        if (main is null && string.IsNullOrWhiteSpace(ball))
        {
            notes.Find(
                Verdict.Unknown,
                "heat.alloy-unknown",
                $"chip {chip.Id}",
                $"The alloy of the balls is not entered; the heat is planned for {Fallback}, which melts higher than tin-lead.",
                source: "job-file",
                todo: "Enter the alloy of the balls (materials, or the chip itself)."
            );
        }
        Alloy used = main ?? Alloys.Find(Fallback)!;
        notes.Add(
            "joint.alloy",
            $"Balls of {used.Id}: melts from {ModelNotes.Show(used.SolidusC)} °C, fully molten at {ModelNotes.Show(used.MoltenC)} °C{(main is null ? ", assumed" : "")}.",
            null,
            0,
            main is not null,
            main is null ? "graftbench-estimate" : used.Source
        );
        Alloy? other = Resolve(land, chip, notes);
        return other is null || other.Id == used.Id
            ? new JointAlloy(used, used.SolidusC, used.MoltenC, main is not null)
            : (task == HeatTask.Place ? ByAmounts(job, used, other, main is not null, chip, notes) : null)
                ?? Mixed(used, other, main is not null, chip, notes);
    }

    // Two alloys in one joint and amounts not known: first melt at the lower end, fully molten at the higher.
    private static JointAlloy Mixed(Alloy ball, Alloy land, bool known, Chip chip, ModelNotes notes)
    {
        bool lead = ball.Leaded || land.Leaded;
        bool bismuth = ball.BismuthPercent > 0 || land.BismuthPercent > 0;
        double solidusC = Math.Min(ball.SolidusC, land.SolidusC);
        string names = $"{ball.Id} meets {land.Id}";
        if (lead && bismuth)
        {
            ReworkTemperature soft = ReflowTables.Rework("mix-lead-bismuth-solidus");
            solidusC = Math.Min(solidusC, soft.Low!.Value);
            notes.Find(
                Verdict.Blocker,
                "heat.lead-meets-bismuth",
                $"chip {chip.Id}",
                $"{names}: lead with bismuth is partly liquid from {ModelNotes.Show(solidusC)} °C on.",
                $"{names}",
                $"{ModelNotes.Show(solidusC)} °C",
                soft.Source,
                "Take another alloy, or clean the lands until less than 0.1 % lead is left in the joint."
            );
        }
        else if (lead)
        {
            ReworkTemperature mix = ReflowTables.Rework("mix-lead-solidus");
            solidusC = Math.Min(solidusC, mix.Low!.Value);
        }
        double moltenC = Math.Max(ball.MoltenC, land.MoltenC);
        if (!(lead && bismuth))
        {
            notes.Find(
                Verdict.Warning,
                "heat.mixed-alloys",
                $"chip {chip.Id}",
                $"{names}, and how much of each is not entered; held to the worse of both: first melt {ModelNotes.Show(solidusC)} °C, molten {ModelNotes.Show(moltenC)} °C.",
                names,
                source: "graftbench-computed",
                todo: "Do not move the board until it is below the first melt. Clean the lands well, or enter ball, lands and the height of the solder on them: the mixture is then computed."
            );
        }
        notes.Add(
            "joint.mix",
            $"{names}: first melt {ModelNotes.Show(solidusC)} °C, fully molten {ModelNotes.Show(moltenC)} °C, the worse of both.",
            null,
            0,
            false,
            "graftbench-computed"
        );
        return new JointAlloy(ball, solidusC, moltenC, known);
    }

    private static Alloy? Resolve(string? name, Chip chip, ModelNotes notes)
    {
        if (string.IsNullOrWhiteSpace(name))
        {
            return null;
        }
        if (Alloys.Find(name) is Alloy alloy)
        {
            return alloy;
        }
        notes.Find(
            Verdict.FixFirst,
            "heat.alloy-not-in-table",
            $"chip {chip.Id}",
            $"The alloy {name} is not in the table; the nearest name is {Alloys.Nearest(name).Id}.",
            name,
            source: "job-file",
            todo: $"Enter an alloy of the table, {Alloys.Nearest(name).Id} if that is meant."
        );
        return null;
    }
}
