using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;

namespace Graftbench.Vision.Balls;

/// <summary>What a person says about a site, against or with the machine.</summary>
/// <param name="Name">Name of the ball.</param>
/// <param name="Class">What it is.</param>
/// <param name="Who">Who says so.</param>
/// <param name="At">When.</param>
/// <param name="Note">Why, if written.</param>
public sealed record SiteCorrection(string Name, SiteClass Class, string Who, DateTimeOffset At, string? Note = null);

/// <summary>One site with everything that is known about it.</summary>
/// <param name="Name">Name of the ball.</param>
/// <param name="Row">Row from 0.</param>
/// <param name="Column">Column from 0.</param>
/// <param name="Class">What counts: the person's last word, else the machine's.</param>
/// <param name="MachineClass">What all pictures together say.</param>
/// <param name="ConfidenceFraction">How sure the machine is.</param>
/// <param name="Why">Why the machine cannot judge it; null otherwise.</param>
/// <param name="Seen">What each picture says, in their order; null where it was not judged there.</param>
/// <param name="Corrections">What persons said, oldest first; nothing is taken away.</param>
public sealed record SiteAnswer(
    string Name,
    int Row,
    int Column,
    SiteClass Class,
    SiteClass MachineClass,
    double ConfidenceFraction,
    string? Why,
    IReadOnlyList<SiteFinding?> Seen,
    IReadOnlyList<SiteCorrection> Corrections
);

/// <summary>What one or more pictures of a chip say about its balls, with what a person said.</summary>
/// <param name="Pictures">What each picture says.</param>
/// <param name="Sites">All sites with a ball by the list; empty where no picture could be judged.</param>
/// <param name="Findings">Worst first.</param>
public sealed record BallAnswer(
    IReadOnlyList<BallReport> Pictures,
    IReadOnlyList<SiteAnswer> Sites,
    IReadOnlyList<Finding> Findings
)
{
    /// <summary>Whether every site surely has its ball and no stray lies about.</summary>
    public bool AllThere =>
        Sites.Count > 0
        && Sites.All(site => site.Class == SiteClass.Present)
        && Pictures.All(picture => picture.Strays.Count == 0);

    /// <summary>How many sites count as a class.</summary>
    public int CountOf(SiteClass one) => Sites.Count(site => site.Class == one);

    /// <summary>Puts pictures of one chip and corrections together.</summary>
    /// <remarks>
    /// Verdicts that agree add up: what remains of doubt is the product of the doubts. Verdicts that differ leave the site
    /// undecided, whatever their confidence. A correction never removes what the machine said.
    /// </remarks>
    /// <param name="field">The ball field, the same for all pictures.</param>
    /// <param name="pictures">What each picture says.</param>
    /// <param name="corrections">What persons said, in any order; names outside of the list are told in a finding.</param>
    public static BallAnswer Of(
        BallField field,
        IReadOnlyList<BallReport> pictures,
        IReadOnlyList<SiteCorrection>? corrections = null
    )
    {
        ArgumentNullException.ThrowIfNull(field);
        ArgumentNullException.ThrowIfNull(pictures);
        SiteCorrection[] said = [.. (corrections ?? []).OrderBy(one => one.At)];
        List<SiteAnswer> sites = [];
        if (pictures.Any(picture => picture.Judged) || said.Length > 0)
        {
            Dictionary<string, SiteFinding>[] seen =
            [
                .. pictures.Select(picture => picture.Sites.ToDictionary(site => site.Name)),
            ];
            foreach ((int row, int column) in field.Sites())
            {
                sites.Add(Site(field, row, column, seen, said));
            }
        }
        return new BallAnswer(pictures, sites, FindingsOf(field, pictures, sites, said));
    }

    private static SiteAnswer Site(
        BallField field,
        int row,
        int column,
        Dictionary<string, SiteFinding>[] pictures,
        SiteCorrection[] said
    )
    {
        string name = field.NameOf(row, column);
        SiteFinding?[] seen = [.. pictures.Select(picture => picture.GetValueOrDefault(name))];
        SiteFinding[] judged = [.. seen.OfType<SiteFinding>().Where(site => site.Class != SiteClass.CannotJudge)];
        SiteClass[] classes = [.. judged.Select(site => site.Class).Distinct()];
        SiteClass machine = classes.Length == 1 ? classes[0] : SiteClass.CannotJudge;
        double doubt = judged.Aggregate(1.0, (rest, site) => rest * (1 - site.ConfidenceFraction));
        string? why = classes.Length switch
        {
            1 => null,
            0 => seen.OfType<SiteFinding>().Select(site => site.Why).FirstOrDefault(one => one is not null)
                ?? "No picture shows it.",
            _ =>
                $"The pictures contradict each other: {string.Join(", ", judged.Select(site => ClassText.Of(site.Class)))}.",
        };
        SiteCorrection[] own = [.. said.Where(one => field.SiteOf(one.Name) is { } site && site == (row, column))];
        return new SiteAnswer(
            name,
            row,
            column,
            own.Length > 0 ? own[^1].Class : machine,
            machine,
            classes.Length == 1 ? 1 - doubt : 0,
            why,
            seen,
            own
        );
    }

    private static IReadOnlyList<Finding> FindingsOf(
        BallField field,
        IReadOnlyList<BallReport> pictures,
        List<SiteAnswer> sites,
        SiteCorrection[] said
    )
    {
        List<Finding> findings = [.. pictures.SelectMany(picture => picture.Findings.Where(one => !IsOfSites(one)))];
        string[] strange =
        [
            .. said.Where(one => field.SiteOf(one.Name) is not { } site || !field.Has(site.Row, site.Column))
                .Select(one => one.Name),
        ];
        if (strange.Length > 0)
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "balls.correction-name",
                    "corrections",
                    "Corrections name sites that the list has no ball for; they were left out.",
                    string.Join(", ", strange.Take(20))
                )
            );
        }
        if (sites.Count > 0)
        {
            SiteFinding[] counted =
            [
                .. sites.Select(site => new SiteFinding(
                    site.Name,
                    site.Row,
                    site.Column,
                    0,
                    0,
                    site.Class,
                    site.ConfidenceFraction,
                    null,
                    null,
                    null,
                    [],
                    null
                )),
            ];
            findings.AddRange(
                PictureFindings.Summary("chip", [.. counted], [.. pictures.SelectMany(picture => picture.Strays)])
            );
        }
        return Finding.WorstFirst(findings);
    }

    // What was said of the sites of one picture is said again of all of them together.
    private static bool IsOfSites(Finding finding) =>
        finding.Code
            is "balls.missing"
                or "balls.joined"
                or "balls.undersized"
                or "balls.off-centre"
                or "balls.cannot-judge"
                or "balls.stray"
                or "balls.all-present";
}
