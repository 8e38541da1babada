using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Mixing;

namespace Graftbench.Core.Heating;

internal sealed partial record JointAlloy
{
    // Two alloys in one joint and every amount entered: what they become together. Null where an amount was assumed, where the
    // model has no figure, and where the mixture is refused.
    private static JointAlloy? ByAmounts(Job job, Alloy ball, Alloy land, bool known, Chip chip, ModelNotes notes)
    {
        if (!SeatMix.Of(job, chip).AmountsKnown)
        {
            return null;
        }
        MixAnswer[] answers =
        [
            .. SeatMix.Uneven(job, chip).Select(one => MixPlanner.Plan(one with { WithCurves = false })),
        ];
        bool usable =
            answers.Length > 0
            && answers.All(one =>
                one.State == MixState.Computed && one.Findings.All(finding => finding.Verdict != Verdict.Blocker)
            );
        if (!usable)
        {
            return null;
        }
        double fullC = answers.Max(one => one.FullMelt!.ValueC);
        double errorDeltaK = answers.Max(one => one.FullMelt!.HighC - one.FullMelt.ValueC);
        double solidusC = answers.Min(one =>
            Math.Floor(10 * Math.Min(one.Solidus!.ValueC, one.Freezing!.End.ValueC)) / 10
        );
        if (ball.Leaded || land.Leaded)
        {
            solidusC = Math.Min(solidusC, ReflowTables.Rework("mix-lead-solidus").Low!.Value);
        }
        // Solder that melts below both of its alloys never needs more than the worse of them, whatever the model's error.
        double worseC = Math.Max(ball.MoltenC, land.MoltenC);
        double moltenC = Math.Ceiling(10 * (fullC + errorDeltaK)) / 10;
        moltenC = fullC <= worseC ? Math.Min(moltenC, worseC) : moltenC;
        string names = $"{ball.Id} meets {land.Id}";
        string solid =
            answers[0].Solid.Count > 0 ? $" The {ball.Id} stays solid; only the solder around it melts." : "";
        notes.Find(
            Verdict.Warning,
            "heat.mixed-alloys",
            $"chip {chip.Id}",
            $"{names}; by the amounts entered first melt {ModelNotes.Show(solidusC)} °C, molten {ModelNotes.Show(moltenC)} °C with the model's error.{solid}",
            names,
            source: "graftbench-computed",
            todo: $"Do not move the board before every joint is below {ModelNotes.Show(answers.Min(one => one.Freezing!.StillC))} °C."
        );
        notes.Add(
            "joint.mix",
            $"{names}: {string.Join(" and ", answers[0].Parts.Select(part => part.Size))}; 99 % liquid at {ModelNotes.Show(Math.Round(fullC, 1))} °C where the lands hold two standard deviations more or less, and {ModelNotes.Show(Math.Round(errorDeltaK, 1))} K for the model.",
            null,
            0,
            false,
            "graftbench-computed"
        );
        return new JointAlloy(ball, solidusC, moltenC, known);
    }
}
