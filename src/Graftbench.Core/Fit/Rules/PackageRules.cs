using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using static System.FormattableString;

namespace Graftbench.Core.Fit.Rules;

/// <summary>Outline, neighbours and the two ball lists.</summary>
internal static class PackageRules
{
    /// <summary>Same body, pitch and field as the chip that is replaced, and no neighbour in the way.</summary>
    public static IEnumerable<Finding> Outline(FitContext context, FitRule rule)
    {
        Chip chip = context.Chip;
        if (context.Replaced is { } old)
        {
            foreach (Finding finding in Against(rule, context.Where, chip, old))
            {
                yield return finding;
            }
        }
        else if (context.Request.HostMap is null)
        {
            yield return rule.Lacks(
                context.Where,
                "The job has no chip that this one replaces, and no list of the board's lands.",
                "Enter the chip that leaves the host, or the ball list that the board is made for."
            );
        }
        foreach (Finding finding in Neighbours(context, rule))
        {
            yield return finding;
        }
    }

    private static IEnumerable<Finding> Against(FitRule rule, string where, Chip chip, Chip old)
    {
        string oldName = $"chip {old.Id}";
        double bodyMm = FitFacts.Limit("body-difference").Value;
        if (
            Math.Abs(chip.BodyLengthMm - old.BodyLengthMm) > bodyMm
            || Math.Abs(chip.BodyWidthMm - old.BodyWidthMm) > bodyMm
        )
        {
            yield return rule.Find(
                Verdict.Blocker,
                where,
                "The body has another outline than the chip that it replaces.",
                Invariant($"{chip.BodyLengthMm:0.##} by {chip.BodyWidthMm:0.##} mm"),
                Invariant($"{old.BodyLengthMm:0.##} by {old.BodyWidthMm:0.##} mm, {bodyMm:0.#} mm apart at most"),
                "Check both drawings: another outline is as a rule another package."
            );
        }
        else
        {
            yield return rule.Find(
                Verdict.Ok,
                where,
                $"The body has the outline of {oldName}.",
                Invariant($"{chip.BodyLengthMm:0.##} by {chip.BodyWidthMm:0.##} mm"),
                Invariant($"{old.BodyLengthMm:0.##} by {old.BodyWidthMm:0.##} mm")
            );
        }
        (string What, double? Mine, double? Theirs, double Apart, string Unit)[] figures =
        [
            ("pitch", chip.PitchMm, old.PitchMm, FitFacts.Limit("pitch-difference").Value, " mm"),
            ("number of rows", chip.Rows, old.Rows, 0, ""),
            ("number of columns", chip.Columns, old.Columns, 0, ""),
            ("number of balls", chip.BallCount, old.BallCount, 0, ""),
        ];
        foreach ((string what, double? mine, double? theirs, double apart, string unit) in figures)
        {
            if (mine is { } here && theirs is { } there)
            {
                if (Math.Abs(here - there) > apart)
                {
                    yield return rule.Find(
                        Verdict.Blocker,
                        where,
                        $"The {what} is not that of {oldName}.",
                        Invariant($"{here:0.###}{unit}"),
                        Invariant($"{there:0.###}{unit}"),
                        "Check both drawings: this chip has other lands."
                    );
                }
            }
            else
            {
                yield return rule.Lacks(
                    where,
                    $"The {what} of {(mine is null ? where : oldName)} is not entered.",
                    "Enter it for both chips, counted on the chip or from its drawing."
                );
            }
        }
    }

    private static IEnumerable<Finding> Neighbours(FitContext context, FitRule rule)
    {
        if (ChipSites.At(context.Job, context.Chip, ChipPlace.Host) is not { } site)
        {
            yield return rule.Lacks(
                context.Where,
                "Its place on the host is not entered: neighbours were not looked at.",
                "Enter the place on the board map."
            );
            yield break;
        }
        RectMm body = Body(context.Chip, site);
        // What was beside the old body cannot be in the way of one that is no larger.
        bool larger =
            context.Replaced is not { } old
            || context.Chip.BodyLengthMm > old.BodyLengthMm
            || context.Chip.BodyWidthMm > old.BodyWidthMm;
        double lookMm = FitFacts.Limit("neighbour-gap").Value;
        foreach (
            Part part in context.Job.Host.Parts.Where(part =>
                part is { TakenOff: false, Side: BoardSide.Top, XMm: not null, YMm: not null, LengthMm: not null }
                && part.Ref != context.Replaced?.Id
            )
        )
        {
            double gapMm = Gap(NeighbourBlocks.Outline(part), body);
            double? underMm = context.Chip.StandoffMm;
            string where = $"host board, {part.Ref}";
            if (gapMm <= 0 && part.HeightMm is { } height && underMm is { } standoff && height < standoff)
            {
                yield return rule.Find(
                    Verdict.Warning,
                    where,
                    "The part lies under the body and is lower than its joints.",
                    Invariant($"{height:0.##} mm high"),
                    Invariant($"{standoff:0.##} mm under the body"),
                    "See question 5: it may hold the chip up while the solder is molten.",
                    "fit.neighbour"
                );
            }
            else if (gapMm <= 0 && larger)
            {
                yield return rule.Find(
                    Verdict.Blocker,
                    where,
                    part.HeightMm is null
                        ? "The part lies under the body, and its height is not known."
                        : "The part lies under the body and is higher than its joints.",
                    part.HeightMm is { } high ? Invariant($"{high:0.##} mm high") : null,
                    underMm is { } mm ? Invariant($"{mm:0.##} mm under the body") : "height of the joints not entered",
                    "Move the part, or take another chip; check its place on the board map first.",
                    "fit.neighbour"
                );
            }
            else if (gapMm > 0 && gapMm < lookMm && larger)
            {
                yield return rule.Find(
                    Verdict.Warning,
                    where,
                    "The part stands close to the body.",
                    Invariant($"{gapMm:0.##} mm"),
                    Invariant($"{lookMm:0.##} mm"),
                    "Place by the lands, not by the body, and look at the gap before the heat.",
                    "fit.neighbour",
                    FitFacts.Limit("neighbour-gap").Source
                );
            }
        }
    }

    private static RectMm Body(Chip chip, ChipSite site) =>
        NeighbourBlocks.Outline(
            new Part
            {
                Ref = chip.Id,
                Kind = PartKind.BallGridPackage,
                XMm = site.XMm,
                YMm = site.YMm,
                LengthMm = chip.BodyLengthMm,
                WidthMm = chip.BodyWidthMm,
                RotationDeg = site.RotationDeg,
            }
        );

    private static double Gap(RectMm a, RectMm b) =>
        Math.Max(Math.Max(a.X0Mm - b.X1Mm, b.X0Mm - a.X1Mm), Math.Max(a.Y0Mm - b.Y1Mm, b.Y0Mm - a.Y1Mm));

    /// <summary>Which way round the two lists lie.</summary>
    public static IEnumerable<Finding> Orientation(FitContext context, FitRule rule)
    {
        if (context.Comparison is not { } comparison)
        {
            return Lists(context, rule);
        }
        // What is doubtful in a list that can be used: a row I, a row without balls, a port without one.
        return context.Request.MapFindings.Concat(comparison.Findings.Where(IsTurn));
    }

    /// <summary>Ball by ball, what each is for.</summary>
    public static IEnumerable<Finding> Balls(FitContext context, FitRule rule)
    {
        if (context.Comparison is not { } comparison)
        {
            // What is missing was said by the rule before.
            yield return rule.Lacks("ball lists", "The balls could not be compared.", "Give both ball lists.");
            yield break;
        }
        foreach (Finding finding in comparison.Findings.Where(finding => !IsTurn(finding)))
        {
            yield return finding;
        }
        foreach (FoundRail rail in context.Rails.Where(rail => rail.Joined.Count > 1))
        {
            double[] set =
            [
                .. rail
                    .Joined.Select(name =>
                        context.Gives.Rails.FirstOrDefault(one =>
                            string.Equals(one.Name, name, StringComparison.OrdinalIgnoreCase)
                        )
                    )
                    .Select(one => one?.SetV ?? double.NaN)
                    .Distinct(),
            ];
            bool same = set.Length == 1 && double.IsFinite(set[0]);
            yield return rule.Find(
                same ? Verdict.FixFirst : Verdict.Blocker,
                $"{context.Where}, {rail.Needed.Name}",
                "The chip joins rails that are apart on the board.",
                string.Join(", ", rail.Joined),
                same ? Invariant($"all set to {set[0]:0.###} V") : "one rail",
                same
                    ? "Two regulators on one rail fight: find out whether both may feed it."
                    : "Do not place it: regulators of different rails would feed each other.",
                "fit.rails-joined"
            );
        }
    }

    private static bool IsTurn(Finding finding) =>
        finding.Code is "fit.list-mirrored" or "fit.list-turned" or "fit.list-shifted"
        || finding.Code.StartsWith("fit.turn", StringComparison.Ordinal);

    private static IEnumerable<Finding> Lists(FitContext context, FitRule rule)
    {
        foreach (Finding finding in context.Request.MapFindings)
        {
            yield return finding;
        }
        if (context.Request.MapFindings.Any(finding => finding.Verdict is not (Verdict.Ok or Verdict.Warning)))
        {
            yield break;
        }
        (string missing, string whose) = (context.Request.HostMap, context.Request.ChipMap) switch
        {
            (null, null) => (
                "There is no ball list of the chip and none of what the board is made for.",
                "Add the ball lists of chip and board"
            ),
            (null, _) => (
                "There is no ball list of what the board is made for.",
                "Add the ball list of what the board is made for"
            ),
            _ => ("There is no ball list of the chip.", "Add the chip's ball list"),
        };
        yield return rule.Lacks(
            "ball lists",
            missing,
            $"{whose}: a boundary-scan description, a buffer model, or a table with ball and signal."
        );
    }
}
