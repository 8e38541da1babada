using Graftbench.Core.Findings;

namespace Graftbench.Core.Reviewing;

/// <summary>How a figure was come by.</summary>
public enum FigureBasis
{
    /// <summary>Read off a probe.</summary>
    Measured,

    /// <summary>Estimated from the probes and the model.</summary>
    Estimated,

    /// <summary>Of the schedule.</summary>
    Schedule,
}

/// <summary>A figure of a run, with how far off it may be.</summary>
/// <param name="Key">Stable name: <c>peak</c>, <c>above</c>, <c>rise</c>.</param>
/// <param name="Subject">What it is about: <c>coldest joint</c>, <c>probe T1</c>, <c>U1 body</c>.</param>
/// <param name="Title">What a person reads: <c>time above 217 °C</c>.</param>
/// <param name="Basis">How it was come by.</param>
/// <param name="By">Channel that it was read off, or what it was estimated with.</param>
/// <param name="Value">Best value, in <paramref name="Unit"/>; null where it cannot be told.</param>
/// <param name="Low">Lower end; null where there is none.</param>
/// <param name="High">Upper end; null where nothing bounds it.</param>
/// <param name="Unit"><c>°C</c>, <c>K</c>, <c>K/s</c> or <c>s</c>.</param>
/// <param name="AtLeast">Whether part of it was not seen, so that it is at least so much.</param>
public sealed record ReviewFigure(
    string Key,
    string Subject,
    string Title,
    FigureBasis Basis,
    string By,
    double? Value,
    double? Low,
    double? High,
    string Unit,
    bool AtLeast
);

/// <summary>A figure held against a limit.</summary>
/// <param name="Figure">The figure.</param>
/// <param name="Limit">The limit, in the figure's unit.</param>
/// <param name="LimitIsLeast">Whether the figure has to be at least the limit, else at most.</param>
/// <param name="Hard">Whether passing it does harm that counts.</param>
/// <param name="Planned">What the plan had; null without one.</param>
/// <param name="Source">Whose limit: source id.</param>
/// <param name="Why">Where the number comes from, one sentence.</param>
/// <param name="Verdict">How it stands.</param>
public sealed record ReviewCheck(
    ReviewFigure Figure,
    double Limit,
    bool LimitIsLeast,
    bool Hard,
    double? Planned,
    string Source,
    string Why,
    Verdict Verdict
);
