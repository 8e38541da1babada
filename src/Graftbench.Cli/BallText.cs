using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Vision.Balls;
using static System.FormattableString;

namespace Graftbench.Cli;

/// <summary>The answer about balls as a person reads it.</summary>
internal static class BallText
{
    private const int MostListed = 60;

    public static string Of(BallField field, BallAnswer answer)
    {
        Page page = new();
        page.Add(
            answer.Sites.Count == 0 ? "Not judged."
            : answer.AllThere ? Invariant($"All {answer.Sites.Count} balls are there.")
            : Invariant(
                $"{answer.CountOf(SiteClass.Present)} of {answer.Sites.Count} balls are there for sure; {Rest(answer)}."
            )
        );
        foreach (BallReport picture in answer.Pictures.Where(picture => picture.Pose is not null))
        {
            page.Add(
                Invariant(
                    $"{picture.Picture}: {picture.View.ToString().ToLowerInvariant()} view, {picture.Pose!.PitchPx:0.0} pixels from ball to ball, balls {2 * picture.Pose.BallRadiusPitchRatio * field.PitchMm:0.00} mm by the pitch, A1 at {picture.Pose.CornersPx[0].XPx:0}, {picture.Pose.CornersPx[0].YPx:0}."
                ),
                4
            );
        }
        page.Add();
        foreach (Finding finding in answer.Findings)
        {
            page.Add($"{Say.Verdict(finding.Verdict)}: {finding.What}", 4);
            if (finding.Value is not null || finding.Limit is not null)
            {
                page.Add($"    {finding.Value}{(finding.Limit is null ? "" : $", limit {finding.Limit}")}", 6);
            }
            if (finding.Todo is not null)
            {
                page.Add($"    → {finding.Todo}", 6);
            }
        }
        SiteAnswer[] listed = [.. answer.Sites.Where(site => site.Class != SiteClass.Present)];
        if (listed.Length > 0)
        {
            page.Add();
            foreach (SiteAnswer site in listed.Take(MostListed))
            {
                page.Add(site.Name, Line(site), 7);
            }
            if (listed.Length > MostListed)
            {
                page.Add(Invariant($"... and {listed.Length - MostListed} more; --json has all."));
            }
        }
        return page.ToString();
    }

    private static string Line(SiteAnswer site)
    {
        SiteFinding? seen = site.Seen.OfType<SiteFinding>().FirstOrDefault(one => one.Class == site.MachineClass);
        string sure =
            site.Class == SiteClass.CannotJudge ? "" : Invariant($", {100 * site.ConfidenceFraction:0} % sure");
        string size = seen?.SizeRatio is { } ratio ? Invariant($", {100 * ratio:0} % of the usual diameter") : "";
        string off = seen?.OffsetMm is { } offset ? Invariant($", {offset:0.00} mm off") : "";
        string joined = seen is { JoinedWith.Count: > 0 } ? $" with {string.Join(", ", seen.JoinedWith)}" : "";
        string where = seen is null ? "" : Invariant($", at {seen.XPx:0}, {seen.YPx:0}");
        return $"{ClassText.Of(site.Class)}{joined}{sure}{size}{off}{where}{(site.Why is null ? "" : $": {site.Why}")}";
    }

    private static string Rest(BallAnswer answer) =>
        string.Join(
            ", ",
            new[]
            {
                SiteClass.Missing,
                SiteClass.Joined,
                SiteClass.Undersized,
                SiteClass.OffCentre,
                SiteClass.CannotJudge,
            }
                .Where(one => answer.CountOf(one) > 0)
                .Select(one => Invariant($"{answer.CountOf(one)} {ClassText.Of(one)}"))
                .Append(Invariant($"{answer.Pictures.Sum(picture => picture.Strays.Count)} stray"))
        );
}
