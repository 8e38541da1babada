using Graftbench.Core.Findings;
using Graftbench.Vision.Balls;
using Graftbench.Vision.Xray;
using static System.FormattableString;

namespace Graftbench.Vision.Answering;

/// <summary>Lays what persons say over what picture readers found, and says what counts.</summary>
public static partial class SeenPictures
{
    private const string Practice = "common-practice";
    private const int MostNamed = 12;

    private static readonly HashSet<string> SaidBySites =
    [
        "balls.missing",
        "balls.undersized",
        "balls.off-centre",
        "balls.joined",
        "balls.cannot-judge",
        "balls.stray",
        "xray.missing",
        "xray.joined",
        "xray.odd-shape",
        "xray.stray",
        "xray.unknown",
        "xray.void",
        "xray.void-unknown",
        "lands.torn",
        "lands.uneven",
        "lands.unknown",
    ];

    /// <summary>A picture of balls.</summary>
    /// <param name="kind">Balls or stencil.</param>
    /// <param name="about">What it is about.</param>
    /// <param name="report">What the reader found.</param>
    /// <param name="said">What persons say, by name of the site.</param>
    public static SeenPicture Of(
        PictureKind kind,
        string about,
        BallReport report,
        IReadOnlyDictionary<string, string> said
    )
    {
        ArgumentNullException.ThrowIfNull(report);
        ArgumentNullException.ThrowIfNull(said);
        double radius = report.Pose is { } pose ? Math.Max(3, pose.BallRadiusPitchRatio * pose.PitchPx) : 8;
        List<SeenSite> sites =
        [
            .. report.Sites.Select(site =>
                Site(
                    kind,
                    site.Name,
                    (site.Row, site.Column),
                    (site.XPx, site.YPx, radius),
                    ClassText.Id(site.Class),
                    site.ConfidenceFraction,
                    Measured(site),
                    said
                )
            ),
            .. report.Strays.Select(
                (stray, i) =>
                    Site(
                        kind,
                        Spot(i),
                        (-1, -1),
                        (stray.XPx, stray.YPx, radius),
                        "stray",
                        stray.ConfidenceFraction,
                        $"between {string.Join(", ", stray.Near)}",
                        said
                    )
            ),
        ];
        return Counted(
            kind,
            report.Picture,
            about,
            report.Judged,
            (report.WidthPx, report.HeightPx),
            sites,
            report.Findings,
            "balls"
        );
    }

    /// <summary>An X-ray picture.</summary>
    /// <param name="about">What it is about.</param>
    /// <param name="name">Name of the picture.</param>
    /// <param name="size">Width and height [px].</param>
    /// <param name="reading">What the reader found.</param>
    /// <param name="said">What persons say, by name of the joint.</param>
    public static SeenPicture Of(
        string about,
        string name,
        (int WidthPx, int HeightPx) size,
        XrayReading reading,
        IReadOnlyDictionary<string, string> said
    )
    {
        ArgumentNullException.ThrowIfNull(reading);
        ArgumentNullException.ThrowIfNull(said);
        double usual = reading is { PxPerMm: { } scale, JointDiameterMm: { } diameter } ? scale * diameter / 2 : 8;
        List<SeenSite> sites =
        [
            .. reading.Joints.Select(joint =>
                Site(
                    PictureKind.Xray,
                    joint.Name,
                    (joint.Row, joint.Column),
                    (joint.XPx, joint.YPx, joint.RadiusPx ?? usual),
                    Word(joint, reading),
                    joint.ConfidenceFraction,
                    Measured(joint),
                    said
                )
            ),
            .. reading.Strays.Select(
                (stray, i) =>
                    Site(
                        PictureKind.Xray,
                        Spot(i),
                        (-1, -1),
                        (stray.XPx, stray.YPx, stray.DiameterPx / 2),
                        "stray",
                        Math.Clamp(stray.LevelRatio, 0, 1),
                        $"near {stray.Near}",
                        said
                    )
            ),
        ];
        SeenPicture seen = Counted(
            PictureKind.Xray,
            name,
            about,
            reading.Judged,
            size,
            sites,
            reading.Findings,
            "joints"
        );
        double? most = reading.Joints.Max(joint => joint.VoidPercent);
        return seen with
        {
            // Whose limit it is stands with the figure.
            Findings =
            [
                .. seen.Findings.Select(finding =>
                    finding.Code == "picture.voids"
                        ? finding with
                        {
                            Value = most is { } worst ? Invariant($"up to {worst:0.0} %") : null,
                            Limit = Invariant(
                                $"{reading.Limit.AreaPercent:0.##} % of a joint's area ({reading.Limit.Title}, {reading.Limit.Revision})"
                            ),
                            Source = reading.Limit.Source,
                        }
                        : finding
                ),
            ],
            Lines =
            [
                .. reading.Joints.SelectMany(joint =>
                    joint.Outline.Count > 2
                        ? new[]
                        {
                            new SeenLine(
                                joint.Name,
                                [.. joint.Outline.Select(point => (point.XPx, point.YPx))],
                                true,
                                null
                            ),
                        }
                        : []
                ),
            ],
        };
    }

    private static string Spot(int i) => Invariant($"spot {i + 1}");

    private static SeenSite Site(
        PictureKind kind,
        string name,
        (int Row, int Column) at,
        (double X, double Y, double Radius) place,
        string found,
        double confidence,
        string? detail,
        IReadOnlyDictionary<string, string> said
    )
    {
        bool spot = at.Row < 0;
        return new SeenSite(
            name,
            at.Row,
            at.Column,
            place.X,
            place.Y,
            place.Radius,
            SiteSigns.Find(kind, spot, found)!,
            confidence,
            detail,
            SiteSigns.Find(kind, spot, said.GetValueOrDefault(name))
        );
    }

    private static SeenPicture Counted(
        PictureKind kind,
        string name,
        string about,
        bool judged,
        (int WidthPx, int HeightPx) size,
        List<SeenSite> sites,
        IReadOnlyList<Finding> read,
        string what
    )
    {
        if (!judged)
        {
            return new SeenPicture(
                kind,
                name,
                about,
                false,
                read.Count > 0
                    ? $"This picture cannot be judged: {Small(read[0].What)}"
                    : "This picture cannot be judged.",
                size.WidthPx,
                size.HeightPx,
                sites,
                Finding.WorstFirst(read)
            );
        }
        // Sites are told below as they count now; what the reader says of the picture as a whole stays.
        List<Finding> findings =
        [
            .. read.Where(finding => !IsOfSites(finding))
                .Select(finding => finding with { Where = $"{about}, {finding.Where}" }),
        ];
        foreach (
            IGrouping<SiteSign, SeenSite> group in sites
                .GroupBy(site => site.Counts)
                .Where(group => group.Key.Verdict != Verdict.Ok)
        )
        {
            List<SeenSite> of = [.. group];
            findings.Add(
                new Finding(
                    group.Key.Verdict,
                    $"picture.{group.Key.Id}",
                    $"{about}: {Named(of)}",
                    Invariant(
                        $"{of.Count} of {sites.Count} {(of.Count == 1 ? "place is" : "places are")} {group.Key.Words}."
                    ),
                    of[0].Detail is { } detail && of.Count == 1 ? detail : null,
                    Source: Practice,
                    Todo: Todo(group.Key, what)
                )
            );
        }
        List<SeenSite> otherwise = [.. sites.Where(site => site.Said is not null && site.Said != site.Found)];
        if (otherwise.Count > 0)
        {
            findings.Add(
                new Finding(
                    Verdict.Warning,
                    "picture.person",
                    $"{about}: {Named(otherwise)}",
                    Invariant(
                        $"A person judged {otherwise.Count} {(otherwise.Count == 1 ? "place" : "places")} otherwise than the picture reader; the person's word counts, both stay in the record."
                    ),
                    Source: Practice
                )
            );
        }
        int good = sites.Count(site => site.Row >= 0 && site.Counts.Verdict == Verdict.Ok);
        int all = sites.Count(site => site.Row >= 0);
        if (findings.Count == 0 || Finding.Worst(findings) > Verdict.FixFirst && good == all)
        {
            findings.Add(
                new Finding(
                    Verdict.Ok,
                    "picture.all",
                    about,
                    Invariant($"All {all} {what} are there, as they should be."),
                    Source: Practice
                )
            );
        }
        return new SeenPicture(
            kind,
            name,
            about,
            true,
            Line(sites, good, all, what),
            size.WidthPx,
            size.HeightPx,
            sites,
            Finding.WorstFirst(findings)
        );
    }

    private static string Line(List<SeenSite> sites, int good, int all, string what)
    {
        IEnumerable<string> others = sites
            .Where(site => site.Counts.Verdict != Verdict.Ok)
            .GroupBy(site => site.Counts)
            .OrderBy(group => group.Key.Verdict)
            .Select(group =>
                Invariant(
                    $"{group.Count()} {(group.Key.Id == "cannot-judge" ? "to look at yourself" : group.Key.Words)}"
                )
            );
        string rest = string.Join(", ", others);
        return Invariant($"{good} of {all} {what} as they should be{(rest.Length > 0 ? ": " : "")}{rest}.");
    }

    // Findings that repeat what sites say one by one.
    private static bool IsOfSites(Finding finding) =>
        finding.Verdict == Verdict.Ok || SaidBySites.Contains(finding.Code);

    private static string Named(List<SeenSite> sites) =>
        string.Join(", ", sites.Take(MostNamed).Select(site => site.Name))
        + (sites.Count > MostNamed ? Invariant($" and {sites.Count - MostNamed} more") : "");

    private static string Todo(SiteSign sign, string what) =>
        sign.Id switch
        {
            "cannot-judge" => "Look at these places yourself and say what is there, or take a better picture.",
            "voids" =>
                "Decide by the ball map: a heat may lessen voids and may not. A signal or a power pad that carries heat weighs more.",
            "odd" => "Look at these joints from the side or at another angle.",
            "lifted-or-torn" => "Look each up in the ball map: not connected - note it; a signal - repair it or stop.",
            "uneven-solder" => "Wick them level, or enter the solder that is left where the joint seat is computed.",
            "stray" => "Take loose solder off before the next step.",
            _ when what == "joints" =>
                "Decide before power: a joint that is missing or joined is not mended by waiting.",
            _ => "Mend these balls before the chip is placed: a heat is spent otherwise.",
        };

    private static string Word(JointReading joint, XrayReading reading) =>
        joint.State switch
        {
            JointSight.Missing => "missing",
            JointSight.Joined => "joined",
            JointSight.CannotJudge => "cannot-judge",
            _ when joint.VoidPercent is null => "cannot-judge",
            _ when joint.VoidPercent > reading.Limit.AreaPercent => "voids",
            // A limit inside the uncertainty is never kept.
            _ when joint.VoidPercent + joint.VoidUncertaintyPercent > reading.Limit.AreaPercent => "cannot-judge",
            JointSight.Odd => "odd",
            _ => "present",
        };

    private static string? Measured(SiteFinding site) =>
        site.Why
        ?? string.Join(
            ", ",
            new[]
            {
                site.JoinedWith.Count > 0 ? $"with {string.Join(", ", site.JoinedWith)}" : null,
                site.DiameterMm is { } mm ? Invariant($"{mm:0.00} mm across") : null,
                site.OffsetMm is { } off ? Invariant($"{off:0.00} mm off") : null,
            }.OfType<string>()
        );

    private static string? Measured(JointReading joint) =>
        string.Join(
            ", ",
            new[]
            {
                joint.WhyNot,
                joint.JoinedWith.Count > 0 ? $"with {string.Join(", ", joint.JoinedWith)}" : null,
                joint.VoidPercent is { } voids
                    ? Invariant(
                        $"voids {voids:0.0} ± {joint.VoidUncertaintyPercent ?? 0:0.0} % of its area, the largest {joint.LargestVoidPercent ?? 0:0.0} %"
                    )
                    : null,
            }.OfType<string>()
        );

    private static string Small(string sentence) =>
        sentence.Length > 1 ? char.ToLowerInvariant(sentence[0]) + sentence[1..] : sentence;
}
