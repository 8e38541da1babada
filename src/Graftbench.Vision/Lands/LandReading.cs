using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Xray;

namespace Graftbench.Vision.Lands;

/// <summary>What a land is for, by the ball map.</summary>
public enum LandUse
{
    /// <summary>Not known.</summary>
    Unknown,

    /// <summary>Connected to nothing.</summary>
    NoConnect,

    /// <summary>Ground or a supply that many balls feed.</summary>
    FedRail,

    /// <summary>A signal, or a supply with few balls.</summary>
    Signal,
}

/// <summary>How a land looks.</summary>
public enum LandState
{
    /// <summary>Like the others.</summary>
    Present,

    /// <summary>Torn off or lifted: the place looks like bare board, or its metal lies elsewhere.</summary>
    LiftedOrTorn,

    /// <summary>Solder was left uneven on it.</summary>
    UnevenSolder,

    /// <summary>The picture does not tell.</summary>
    CannotJudge,
}

/// <summary>A picture of cleaned lands.</summary>
/// <param name="Picture">The picture; with colour more is seen.</param>
/// <param name="Name">What findings call it.</param>
/// <param name="Field">The ball field.</param>
/// <param name="A1">Where A1 lies in the picture; null where the field itself must tell.</param>
/// <param name="Uses">What lands are for, by ball name; those left out count as unknown.</param>
public sealed record LandRequest(
    Picture Picture,
    string Name,
    BallField Field,
    PictureCorner? A1,
    IReadOnlyDictionary<string, LandUse> Uses
);

/// <summary>One land.</summary>
/// <param name="Name">Name of its ball.</param>
/// <param name="Row">Row from 0.</param>
/// <param name="Column">Column from 0.</param>
/// <param name="XPx">Place [px].</param>
/// <param name="YPx">Place [px].</param>
/// <param name="State">How it looks.</param>
/// <param name="ConfidenceFraction">How sure, 0 to 1; estimated, not a counted chance.</param>
/// <param name="StandsOutRatio">How far it stands out from the board by the others: 1 like them, 0 not at all.</param>
/// <param name="ColourNumber">How far its colour is off the others, in their spreads.</param>
/// <param name="TextureNumber">How uneven its brightness is against the others, in their spreads.</param>
/// <param name="Use">What it is for.</param>
/// <param name="WhyNot">Why it cannot be judged.</param>
public sealed record LandSite(
    string Name,
    int Row,
    int Column,
    double XPx,
    double YPx,
    LandState State,
    double ConfidenceFraction,
    double? StandsOutRatio,
    double? ColourNumber,
    double? TextureNumber,
    LandUse Use,
    string? WhyNot
);

/// <summary>What a picture of cleaned lands says.</summary>
/// <param name="Answer">The answer in one line.</param>
/// <param name="Judged">False: refused as a whole; the findings say why and what to change.</param>
/// <param name="NamesSure">False: the field fits in several ways.</param>
/// <param name="Lands">Each land, row by row.</param>
/// <param name="Findings">Findings, worst first.</param>
public sealed record LandReading(
    string Answer,
    bool Judged,
    bool NamesSure,
    IReadOnlyList<LandSite> Lands,
    IReadOnlyList<Finding> Findings
);
