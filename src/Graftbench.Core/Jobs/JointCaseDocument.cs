using System.ComponentModel;

namespace Graftbench.Core.Jobs;

/// <summary>One package over its lands, as a document of its own.</summary>
[Description("One package over its lands: will every joint form, and how much solder must be left on the lands.")]
public sealed record JointCaseDocument
{
    [Description("Document format; always graftbench-joints-1.")]
    [Text(32, Pattern = "^graftbench-joints-1$", PatternInWords = "the text graftbench-joints-1")]
    public required string Format { get; init; }

    [Description("What the case is.")]
    [Text(200)]
    public string? Name { get; init; }

    [Description("Pitch of the balls.")]
    [Allowed(0.2, 2.54, Unit = "mm")]
    public double? PitchMm { get; init; }

    [Description("Rows of the ball field, empty sites included.")]
    [Allowed(1, 100)]
    public int? Rows { get; init; }

    [Description("Columns of the ball field, empty sites included.")]
    [Allowed(1, 100)]
    public int? Columns { get; init; }

    [Description("Diameter of the balls before they are attached.")]
    [Allowed(0.05, 1.5, Unit = "mm")]
    public double? BallDiameterMm { get; init; }

    [Description("Alloy of the balls.")]
    [Text(40)]
    public string? BallAlloy { get; init; }

    [Description("Alloy left on or put on the lands.")]
    [Text(40)]
    public string? LandAlloy { get; init; }

    [Description("What decides how it seats.")]
    public required Seat Seat { get; init; }

    [Description("Packages to draw for the chances.")]
    [Allowed(100, 100000)]
    public int Trials { get; init; } = 2000;
}
