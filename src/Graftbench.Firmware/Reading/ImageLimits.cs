namespace Graftbench.Firmware.Reading;

/// <summary>How far a reader goes with bytes that nobody vouches for. All are this program's own limits.</summary>
public sealed record ImageLimits
{
    /// <summary>Largest image that is read [bytes].</summary>
    public const int MaxImageBytes = 256 * 1024 * 1024;

    /// <summary>The limits that hold unless others are given.</summary>
    public static ImageLimits Default { get; } = new();

    /// <summary>How deep volumes, files with sections and packed parts may be nested.</summary>
    public int MaxDepth { get; init; } = 16;

    /// <summary>Most bytes that one packed section may give.</summary>
    public int MaxUnpackedSectionBytes { get; init; } = 64 * 1024 * 1024;

    /// <summary>Most bytes that all packed sections of an image may give together.</summary>
    public long MaxUnpackedImageBytes { get; init; } = 256L * 1024 * 1024;

    /// <summary>Most segments in a tree; what comes later stays opaque.</summary>
    public int MaxSegments { get; init; } = 100_000;

    /// <summary>Most findings that are listed; the rest is counted.</summary>
    public int MaxFindings { get; init; } = 1_000;

    /// <summary>Most readable runs that are kept.</summary>
    public int MaxTexts { get; init; } = 500_000;

    /// <summary>Whether packed sections are unpacked. Without it nothing is known about what they hold.</summary>
    public bool Unpack { get; init; } = true;
}
