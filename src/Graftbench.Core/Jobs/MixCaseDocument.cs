using System.ComponentModel;

namespace Graftbench.Core.Jobs;

/// <summary>Solders that meet in one joint, as a document of its own.</summary>
[Description("Solders that meet in one joint: what they become, where the joint melts and when it is frozen.")]
public sealed record MixCaseDocument
{
    [Description("Document format; always graftbench-alloy-1.")]
    [Text(32, Pattern = "^graftbench-alloy-1$", PatternInWords = "the text graftbench-alloy-1")]
    public required string Format { get; init; }

    [Description("What the case is.")]
    [Text(200)]
    public string? Name { get; init; }

    [Description("Temperature that the coldest joint reaches.")]
    [Allowed(60, 450, Unit = "°C")]
    public double? PeakC { get; init; }

    [Description("Solder that goes into the joint: ball, what is left on the lands, paste, wire.")]
    [AtMost(20)]
    public required IReadOnlyList<MixPartDocument> Parts { get; init; }
}

/// <summary>One solder of a joint. Its amount is said in one way: by mass, or by the sizes of a ball, a layer, a dome or paste.</summary>
[Description(
    "One solder of a joint. Its amount is said in one way: by mass, or by the sizes of a ball, a layer, a dome or paste."
)]
public sealed record MixPartDocument
{
    [Description("What it is: ball, land, paste, wire.")]
    [Text(40)]
    public string? Name { get; init; }

    [Description("Alloy of the alloy table, or symbols with % by mass that add up to 100: Sn50Pb50.")]
    [Text(40, MinLength = 1)]
    public required string Alloy { get; init; }

    [Description("Mass.")]
    [Allowed(0.00001, 10000, Unit = "mg")]
    public double? MassMg { get; init; }

    [Description("Diameter of a ball before attaching.")]
    [Allowed(0.05, 1.5, Unit = "mm")]
    public double? BallDiameterMm { get; init; }

    [Description("Diameter that solder wets on a land, with layerMm or domeMm.")]
    [Allowed(0.05, 5, Unit = "mm")]
    public double? LandDiameterMm { get; init; }

    [Description("Thickness of the flat layer left on the land; wicked lands keep 0.005 to 0.025.")]
    [Allowed(0.0005, 0.2, Unit = "mm")]
    public double? LayerMm { get; init; }

    [Description("Height of the dome left on the land.")]
    [Allowed(0.001, 1, Unit = "mm")]
    public double? DomeMm { get; init; }

    [Description("Diameter of the stencil's hole for paste, with stencilMm.")]
    [Allowed(0.05, 5, Unit = "mm")]
    public double? ApertureMm { get; init; }

    [Description("Thickness of the stencil.")]
    [Allowed(0.02, 1, Unit = "mm")]
    public double? StencilMm { get; init; }

    [Description("Metal of the paste by volume, what stays in the stencil taken off.")]
    [Allowed(5, 100, Unit = "%")]
    public double? MetalPercent { get; init; }
}
