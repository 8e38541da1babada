using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;
using Graftbench.Core.Ledger;
using Graftbench.Core.Mixing;
using Graftbench.Core.Physics.Capillary;
using static System.FormattableString;

namespace Graftbench.Core.Fit.Rules;

/// <summary>Parts underneath, moisture and heats, alloys: at a glance, the answers in full are other questions.</summary>
internal static class SolderRules
{
    /// <summary>Two heights: balls that touch before reflow, and joints that reach once they are molten.</summary>
    public static IEnumerable<Finding> Underside(FitContext context, FitRule rule)
    {
        Chip chip = context.Chip;
        Seat seat = chip.Seat ?? new Seat();
        if (seat.Parts.Count == 0)
        {
            yield return seat.HasParts == YesNo.No
                ? rule.Find(Verdict.Ok, context.Where, "No parts under the chip.", "looked at", "none")
                : rule.Lacks(
                    context.Where,
                    "Whether there are parts under the chip was not looked at.",
                    "Look at its underside, measure what is there, and enter it under question 5."
                );
            yield break;
        }
        double? ball = context.Job.Materials.BallDiameterMm ?? chip.BallDiameterMm;
        if (ball is not { } ballMm || seat is not { PackagePadMm: { } packageMm, BoardPadMm: { } boardMm })
        {
            yield return rule.Lacks(
                context.Where,
                "There are parts under the chip, but balls or wetted diameters are not entered.",
                "Enter ball, pad and land under question 5."
            );
            yield break;
        }
        double dome = seat.DomeHeightMm is > 0 and { } high ? SolderCap.VolumeMm3(high, boardMm / 2) : 0;
        double ballVolume = SolderCap.BallVolumeMm3(ballMm);
        double attachedMm = SolderCap.HeightMm(ballVolume, packageMm / 2);
        double standoffMm = SolderCap.TruncatedSphereHeightMm(ballVolume + dome, packageMm / 2, boardMm / 2);
        foreach (SeatPart part in seat.Parts)
        {
            double stopMm = JointRequests.StopHeightMm(part);
            string where = $"{context.Where}, {part.Name}";
            string limit = Invariant($"attached balls {attachedMm:0.00} mm, molten standoff {standoffMm:0.00} mm");
            string value = Invariant($"stops at {stopMm:0.00} mm");
            yield return stopMm >= attachedMm
                ? rule.Find(
                    Verdict.FixFirst,
                    where,
                    "The part holds the balls off the lands before they melt.",
                    value,
                    limit,
                    "Larger balls or solder on the lands: question 5 says how much.",
                    source: "graftbench-joint-model"
                )
            : stopMm >= standoffMm
                ? rule.Find(
                    Verdict.Warning,
                    where,
                    "The part carries the chip while the solder is molten: joints are stretched.",
                    value,
                    limit,
                    "See question 5 for the chance that every joint forms.",
                    source: "graftbench-joint-model"
                )
            : rule.Find(
                Verdict.Ok,
                where,
                "The part stays clear of the board.",
                value,
                limit,
                source: "graftbench-joint-model"
            );
        }
    }

    /// <summary>Moisture level known, and heats left.</summary>
    public static IEnumerable<Finding> Heats(FitContext context, FitRule rule)
    {
        yield return context.Chip.MoistureLevel == MoistureLevel.Unknown
            ? rule.Lacks(
                context.Where,
                "Its moisture level is not known: question 2 dries it as the most sensitive.",
                "Take the level from the label or data sheet."
            )
            : rule.Find(
                Verdict.Ok,
                context.Where,
                "Its moisture level is known; question 2 says whether it is dry.",
                $"level {context.Chip.MoistureLevel.ToString()[1..].ToLowerInvariant()}"
            );
        HeatLedger ledger = HeatBook.Of(context.Job);
        foreach (HeatAccount account in ledger.Accounts.Where(one => one.Id == context.Chip.Id || one.Id == "host"))
        {
            double after = account.SpentNumber + account.PlannedHighNumber;
            bool within = after <= account.GuidelineNumber;
            string name = account.Id == "host" ? "host board" : context.Where;
            yield return rule.Find(
                within ? Verdict.Ok : Verdict.Warning,
                name,
                within
                    ? "The heats of this job stay within the guideline."
                    : "With this job it has more heats than the guideline.",
                Invariant($"{account.SpentNumber:0.#} had, {account.PlannedHighNumber:0.#} planned"),
                Invariant($"{account.GuidelineNumber:0.#}"),
                within ? null : "See the heat count: weigh the chip's worth against a further heat.",
                "fit.heat-count",
                account.GuidelineSource
            );
        }
    }

    /// <summary>Balls and what is left on the lands.</summary>
    public static IEnumerable<Finding> Alloys(FitContext context, FitRule rule)
    {
        string? ball = context.Job.Materials.BallAlloy ?? context.Chip.BallAlloy;
        string? land = context.Job.Materials.LandAlloy;
        if (ball is null || land is null)
        {
            yield return rule.Lacks(
                context.Where,
                ball is null ? "The alloy of its balls is not entered." : "The alloy left on the lands is not entered.",
                "Enter both under materials: lead meeting bismuth must be told apart before the heat."
            );
            yield break;
        }
        SeatMixMade made = SeatMix.Of(context.Job, context.Chip);
        List<Finding> findings = [.. made.Findings];
        string value = $"{ball} on {land}";
        if (made.Request is { } request && !findings.Exists(finding => finding.Verdict == Verdict.Blocker))
        {
            MixAnswer mixed = MixPlanner.Plan(request with { WithCurves = false });
            findings.AddRange(mixed.Findings);
            value += mixed.FullMelt is { } melt ? Invariant($", molten at {melt.ValueC:0} °C") : "";
        }
        Finding[] heavy = [.. findings.Where(finding => finding.Verdict is Verdict.Blocker or Verdict.FixFirst)];
        bool same = string.Equals(ball.Trim(), land.Trim(), StringComparison.OrdinalIgnoreCase);
        if (heavy.Length > 0)
        {
            foreach (Finding finding in heavy)
            {
                yield return rule.Find(
                    finding.Verdict,
                    context.Where,
                    finding.What,
                    finding.Value ?? value,
                    finding.Limit,
                    finding.Todo,
                    source: finding.Source
                );
            }
            yield break;
        }
        Verdict verdict =
            same ? Verdict.Ok
            : findings.Exists(finding => finding.Verdict == Verdict.Unknown) ? Verdict.Unknown
            : Verdict.Warning;
        yield return rule.Find(
            verdict,
            context.Where,
            verdict switch
            {
                Verdict.Ok => "Balls and lands are of one alloy.",
                Verdict.Unknown => "Two alloys meet, and what they become is not known.",
                _ => "Two alloys meet: the heat plan takes the mixture into account.",
            },
            value,
            todo: same ? null : "See the mixture under question 5 for its melting range.",
            source: same ? rule.Source : "graftbench-computed"
        );
    }
}
