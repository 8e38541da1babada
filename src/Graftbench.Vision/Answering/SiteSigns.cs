using Graftbench.Core.Findings;

namespace Graftbench.Vision.Answering;

/// <summary>What sites may be, by the kind of picture. The letters are those of the words.</summary>
public static class SiteSigns
{
    private static readonly SiteSign Present = new("present", "", "there, as it should be", Verdict.Ok, SiteMark.Ring);
    private static readonly SiteSign Unclear = new(
        "cannot-judge",
        "?",
        "cannot be judged from this picture",
        Verdict.Unknown,
        SiteMark.Diamond
    );
    private static readonly SiteSign Missing = new("missing", "M", "missing", Verdict.FixFirst, SiteMark.Cross);
    private static readonly SiteSign Joined = new(
        "joined",
        "J",
        "joined to a neighbour",
        Verdict.FixFirst,
        SiteMark.DoubleRing
    );
    private static readonly SiteSign Stray = new(
        "stray",
        "S",
        "solder where there should be none",
        Verdict.FixFirst,
        SiteMark.Triangle
    );
    private static readonly SiteSign Nothing = new("nothing", "", "nothing that matters", Verdict.Ok, SiteMark.Ring);

    private static readonly SiteSign[] Balls =
    [
        Present,
        Missing,
        new("undersized", "U", "too small", Verdict.FixFirst, SiteMark.RingInSquare),
        new("off-centre", "O", "off its place", Verdict.FixFirst, SiteMark.Square),
        Joined,
        Unclear,
    ];

    private static readonly SiteSign[] Lands =
    [
        Present,
        new("lifted-or-torn", "L", "lifted or torn off", Verdict.FixFirst, SiteMark.Cross),
        new("uneven-solder", "N", "solder left uneven", Verdict.FixFirst, SiteMark.Square),
        Unclear,
    ];

    private static readonly SiteSign[] Joints =
    [
        Present,
        new("voids", "V", "voids over the limit", Verdict.FixFirst, SiteMark.RingInSquare),
        Missing,
        Joined,
        new("odd", "O", "odd in size or shape", Verdict.Warning, SiteMark.Square),
        Unclear,
    ];

    private static readonly SiteSign[] Spots = [Stray, Nothing, Unclear];

    /// <summary>What a site of such a picture may be; empty where it has no sites.</summary>
    /// <param name="kind">Kind of picture.</param>
    /// <param name="spot">Whether it is a spot between sites.</param>
    public static IReadOnlyList<SiteSign> Of(PictureKind kind, bool spot = false) =>
        kind switch
        {
            PictureKind.Balls or PictureKind.Stencil => spot ? Spots : Balls,
            PictureKind.Lands => Lands,
            PictureKind.Xray => spot ? Spots : Joints,
            _ => [],
        };

    /// <summary>A sign by its name; null where such a picture has none of it.</summary>
    public static SiteSign? Find(PictureKind kind, bool spot, string? id) =>
        Of(kind, spot).FirstOrDefault(sign => sign.Id == id);
}
