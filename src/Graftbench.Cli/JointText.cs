using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Joints;

namespace Graftbench.Cli;

/// <summary>Joint answers as a person reads them.</summary>
internal static class JointText
{
    private const int Column = 26;

    /// <summary>A whole package.</summary>
    public static string Of(JointPlan plan)
    {
        Page page = new();
        page.Add($"{plan.Subject}: {plan.Answer}", 2).Add();
        if (plan is { Cold: { } cold, Molten: { } molten, Chance: { } chance })
        {
            page.Add(
                "  cold",
                $"stands at {cold.Plane.GapMm:0.000} mm on {string.Join(", ", cold.Contacts.Take(4))}{(cold.Contacts.Count > 4 ? $" and {cold.Contacts.Count - 4} more" : "")}; {cold.Float10UmNumber} balls float by more than 0.01 mm, {cold.Float50UmNumber} by more than 0.05 mm{(plan.Request.ColdWarpageKnown ? "" : ", taken flat: cold warpage not entered")}",
                Column
            );
            page.Add(
                "  molten",
                $"gap {molten.Plane.GapMm:0.000} mm in the middle{Range(molten)}, {molten.JoinedNumber} joined, {molten.OpenNumber} open at nominal sizes",
                Column
            );
            page.Add(
                "  chance",
                $"every joint forms in {100 * chance.AllJoinedFraction:0.0} ± {200 * chance.AllJoinedErrorFraction:0.0} % of {chance.Trials} drawn packages; {100 * chance.OpenShareFraction:0.000} % of joints open; spill in {100 * chance.SpillFraction:0.0} %, near bridge in {100 * chance.NearBridgeFraction:0.0} %, pulled apart again in {100 * chance.PartedFraction:0.0} %",
                Column
            );
            JointState[] worst =
            [
                .. plan
                    .Joints.Where(joint => joint.OpenFraction > 0)
                    .OrderByDescending(joint => joint.OpenFraction)
                    .Take(6),
            ];
            if (worst.Length > 0)
            {
                page.Add(
                    "  most often open",
                    string.Join(", ", worst.Select(joint => $"{joint.Name} {100 * joint.OpenFraction:0} %")),
                    Column
                );
            }
            if (molten.OnStopsMilliN > 0)
            {
                page.Add(
                    "  parts carry",
                    $"{molten.OnStopsMilliN:0} mN ({string.Join(", ", plan.Stops.Where(stop => stop.ForceMilliN > 0).Take(8).Select(stop => $"{stop.Name} {stop.ForceMilliN:0.0}"))}); weight {molten.LoadMilliN:0} mN",
                    Column
                );
            }
        }
        if (plan.Mixture is { } mixture)
        {
            AlloyText.AddShort(page, mixture);
        }
        if (plan.Need is { } need)
        {
            page.Add().Add("Solder on the lands");
            page.Add($"  {need.Sentence}", 2);
            page.Add($"  From {need.RuleDomeMm:0.00} mm on every land is safe by itself, wherever it lies.", 2);
            foreach (SolderLevel level in need.Levels)
            {
                page.Add(
                    $"  uneven by {level.DomeSpreadPercent:0} %",
                    level.LeastMeanDomeMm is { } least
                        ? $"{least:0.000} mm on average: chance {100 * level.AllJoinedFraction:0.0} ± {200 * level.AllJoinedErrorFraction:0.0} %"
                        : $"cannot be reached; best chance {100 * level.AllJoinedFraction:0.0} % at {level.BestDomeMm:0.00} mm",
                    Column
                );
            }
            page.Add(
                "  in words",
                string.Join(", ", need.Words.Select(word => $"{word.Word} {word.FromMm:0.00}-{word.ToMm:0.00} mm"))
                    + " (common practice, no source)",
                Column
            );
        }
        if (plan.Levers.Count > 0)
        {
            page.Add().Add("What could be changed");
            foreach (JointLever lever in plan.Levers)
            {
                page.Add(
                    $"  {Chance(lever)}  {lever.ReachGainMm:+0.000;-0.000;0.000} mm  {lever.What}. {lever.Cost}.",
                    26
                );
            }
        }
        if (plan.Balls.Count > 0)
        {
            page.Add().Add("Balls");
            foreach (BallChoice choice in plan.Balls.Take(6))
            {
                page.Add(
                    $"  {choice.BallDiameterMm:0.00#} mm",
                    $"{(choice.Suits ? "suits" : "does not suit")}: {choice.Why}; stencil {choice.StencilHoleMm:0.00}, attached {choice.AttachedHeightMm:0.000}, molten {choice.StandoffMm:0.000}, apart {choice.SpacingMm:0.00} mm",
                    Column
                );
            }
            page.Add(
                "  count",
                $"{plan.Count.Balls} balls, {plan.Count.BallMassG:0.000} g; {plan.Count.LandSolderG:0.000} g on the lands",
                Column
            );
        }
        if (plan.Request.Solder.Figures.Count > 0)
        {
            page.Add().Add("Solder while molten (a stated error is drawn once for each package)");
            foreach (SolderFigure figure in plan.Request.Solder.Figures)
            {
                page.Add($"  {figure.What}", $"{figure.Figure} ({figure.Source})", Column);
            }
        }
        page.Add().Add("Findings");
        foreach (Finding finding in plan.Findings)
        {
            page.Add(
                $"  {Say.Verdict(finding.Verdict)}: {finding.What}{(finding.Todo is null ? "" : " → " + finding.Todo)}",
                4
            );
        }
        if (plan.Assumptions.Count > 0)
        {
            page.Add().Add("Assumed");
            foreach (Assumption assumption in plan.Assumptions)
            {
                page.Add($"  {assumption.What} ({assumption.Source})", 4);
            }
        }
        return page.ToString();
    }

    private static string Chance(JointLever lever) =>
        lever.AllJoinedFraction is { } share
            ? $"{100 * share, 5:0.0} ± {200 * (lever.AllJoinedErrorFraction ?? 0):0.0} %"
            : "not computed ";

    private static string Range(MoltenSeat molten) =>
        molten is { LeastGapMm: { } least, MostGapMm: { } most }
            ? $" ({least:0.000} to {most:0.000} over the range of the tension)"
            : "";

    /// <summary>One joint.</summary>
    public static string Of(OneJoint joint)
    {
        Page page = new();
        if (!joint.Solved)
        {
            page.Add($"No shape: {joint.Message} Residual {joint.ResidualRatio:0.0e+0}.", 2);
        }
        else
        {
            if (joint.Spills)
            {
                page.Add("It spills: the surface reaches over the edge of a pad, and such a joint does not stay.")
                    .Add();
            }
            page.Add("gap", $"{joint.GapMm:0.00000} mm", Column);
            page.Add(
                "force on the package",
                $"{joint.ForceMilliN:0.00000} mN ({(joint.ForceMilliN >= 0 ? "carries" : "pulls down")})",
                Column
            );
            page.Add(
                "stiffness",
                $"{-joint.SlopeMilliNPerMm:0.000} mN/mm; sideways {(joint.CentringMilliNPerMm is { } side ? $"{side:0.000} mN/mm" : "none: it does not stand straight")}",
                Column
            );
            page.Add("widest, narrowest", $"{joint.WidestMm:0.0000} mm, {joint.NarrowestMm:0.0000} mm", Column);
            page.Add(
                "angle at the rims",
                $"board {joint.BoardRimDeg:0.0}°, package {joint.PackageRimDeg:0.0}°",
                Column
            );
        }
        page.Add(
            "spills below",
            joint.SpillGapMm is { } spill ? $"{spill:0.0000} mm ({joint.SpillMilliN:0.000} mN)" : "not found",
            Column
        );
        page.Add("breaks above", joint.BreakGapMm is { } breaks ? $"{breaks:0.0000} mm" : "not found", Column);
        page.Add(
            "cross-checks",
            $"cut sphere without load {joint.CutSphereMm:0.0000} mm; arc model {(joint.ArcMilliN is { } arc ? $"{arc:0.0000} mN" : "none")}",
            Column
        );
        return page.ToString();
    }
}
