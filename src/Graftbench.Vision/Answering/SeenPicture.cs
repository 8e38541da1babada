using Graftbench.Core.Findings;

namespace Graftbench.Vision.Answering;

/// <summary>What a picture of a job shows.</summary>
public enum PictureKind
{
    /// <summary>The underside of the chip with its balls.</summary>
    Balls,

    /// <summary>Balls in the stencil, before they are melted on.</summary>
    Stencil,

    /// <summary>The cleaned lands of the board.</summary>
    Lands,

    /// <summary>The body on its lands, before the heat.</summary>
    Placed,

    /// <summary>One side of the soldered package.</summary>
    Side,

    /// <summary>An X-ray picture of the joints.</summary>
    Xray,

    /// <summary>The board before the heat.</summary>
    Before,

    /// <summary>The board after the heat.</summary>
    After,
}

/// <summary>Shape that stands on a site, so that no colour has to be told apart.</summary>
public enum SiteMark
{
    /// <summary>Thin ring: as it should be.</summary>
    Ring,

    /// <summary>Cross: nothing there.</summary>
    Cross,

    /// <summary>Ring in a square: too small, or full of voids.</summary>
    RingInSquare,

    /// <summary>Square: not as it should be.</summary>
    Square,

    /// <summary>Double ring: run together with a neighbour.</summary>
    DoubleRing,

    /// <summary>Diamond: cannot be judged.</summary>
    Diamond,

    /// <summary>Triangle: between sites.</summary>
    Triangle,
}

/// <summary>What a site may be, with the sign that stands on it: letter and shape, never colour alone.</summary>
/// <param name="Id">Its name: <c>missing</c>.</param>
/// <param name="Letter">Letter on the picture; empty for a good site.</param>
/// <param name="Words">What a person reads.</param>
/// <param name="Verdict">What it means.</param>
/// <param name="Mark">Its shape.</param>
public sealed record SiteSign(string Id, string Letter, string Words, Verdict Verdict, SiteMark Mark);

/// <summary>A site of a picture: what the picture reader found and what a person says.</summary>
/// <param name="Name">Name of the ball, or of the spot.</param>
/// <param name="Row">Row from 0; -1 for a spot between sites.</param>
/// <param name="Column">Column from 0; -1 for a spot between sites.</param>
/// <param name="XPx">Place in the picture [px].</param>
/// <param name="YPx">Place in the picture [px].</param>
/// <param name="RadiusPx">How large it is drawn [px].</param>
/// <param name="Found">What the picture reader found.</param>
/// <param name="ConfidenceFraction">How sure it is, 0 to 1.</param>
/// <param name="Detail">What was measured, in words; null for nothing.</param>
/// <param name="Said">What a person says; null where nobody did.</param>
public sealed record SeenSite(
    string Name,
    int Row,
    int Column,
    double XPx,
    double YPx,
    double RadiusPx,
    SiteSign Found,
    double ConfidenceFraction,
    string? Detail,
    SiteSign? Said
)
{
    /// <summary>What counts: the person's word, else the reader's. Both stay in the record.</summary>
    public SiteSign Counts => Said ?? Found;
}

/// <summary>A picture that was looked at.</summary>
/// <param name="Kind">What it shows.</param>
/// <param name="Name">Name of its file.</param>
/// <param name="About">What it is about: <c>chip U1</c>, <c>host board</c>.</param>
/// <param name="Judged">False where the picture does not tell; the findings say what to change.</param>
/// <param name="Answer">What it says in one line.</param>
/// <param name="WidthPx">Width [px].</param>
/// <param name="HeightPx">Height [px].</param>
/// <param name="Sites">Sites, row by row, then spots between them; empty where there are none.</param>
/// <param name="Findings">Findings, corrections counted, worst first.</param>
public sealed record SeenPicture(
    PictureKind Kind,
    string Name,
    string About,
    bool Judged,
    string Answer,
    int WidthPx,
    int HeightPx,
    IReadOnlyList<SeenSite> Sites,
    IReadOnlyList<Finding> Findings
)
{
    /// <summary>Lines that are drawn over the picture, in words and points [px].</summary>
    public IReadOnlyList<SeenLine> Lines { get; init; } = [];

    /// <summary>What it means.</summary>
    public Verdict Verdict => Judged ? Finding.Worst(Findings) : Verdict.Unknown;
}

/// <summary>A line or outline drawn over a picture.</summary>
/// <param name="Words">What it is.</param>
/// <param name="Points">Its points in the picture [px].</param>
/// <param name="Closed">Whether it closes.</param>
/// <param name="Verdict">What it means; null for a line that means nothing by itself.</param>
public sealed record SeenLine(
    string Words,
    IReadOnlyList<(double XPx, double YPx)> Points,
    bool Closed,
    Verdict? Verdict
);
