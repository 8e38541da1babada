namespace Graftbench.Vision.Pictures;

/// <summary>How much of a picture file is taken in. All are this program's own limits.</summary>
public static class PictureLimits
{
    /// <summary>Largest file [bytes].</summary>
    public const int MaxBytes = 64 * 1024 * 1024;

    /// <summary>Most pixels of a plain JPEG: its decoder can leave out detail while it reads, so that memory stays bounded.</summary>
    public const long MaxJpegPixels = 250_000_000;

    /// <summary>Most pixels of any other picture: it must be decoded whole, four to eight bytes a pixel.</summary>
    public const long MaxPixels = 50_000_000;

    /// <summary>Most pixels that are kept. A larger JPEG is decoded in a smaller scale, another picture is averaged down.</summary>
    public const long MaxKeptPixels = 25_000_000;

    /// <summary>Longest side that is taken [px].</summary>
    public const int MaxSidePx = 32_000;
}
