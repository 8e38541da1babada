using Graftbench.Vision.Pictures;

namespace Graftbench.Vision.Balls;

/// <summary>One level of a pyramid: brightness, and by how much it is smaller than the picture.</summary>
/// <param name="WidthPx">Width [px].</param>
/// <param name="HeightPx">Height [px].</param>
/// <param name="Grey">Brightness.</param>
/// <param name="ScaleNumber">Pixels of the picture for one of this level: 1, 2, 4 ...</param>
internal sealed record GreyLevel(int WidthPx, int HeightPx, float[] Grey, int ScaleNumber)
{
    /// <summary>Place in the picture of a place in this level.</summary>
    public double ToPicturePx(double atPx) => (atPx + 0.5) * ScaleNumber - 0.5;

    /// <summary>Place in this level of a place in the picture.</summary>
    public double FromPicturePx(double atPx) => (atPx + 0.5) / ScaleNumber - 0.5;
}

/// <summary>A picture in halves of its size, each pixel the mean of four.</summary>
internal static class GreyPyramid
{
    private const int SmallestSidePx = 80;

    public static List<GreyLevel> Of(Picture picture)
    {
        List<GreyLevel> levels = [new(picture.WidthPx, picture.HeightPx, picture.Grey, 1)];
        while (Math.Min(levels[^1].WidthPx, levels[^1].HeightPx) >= 2 * SmallestSidePx)
        {
            levels.Add(Half(levels[^1]));
        }
        return levels;
    }

    private static GreyLevel Half(GreyLevel from)
    {
        int w = from.WidthPx / 2;
        int h = from.HeightPx / 2;
        float[] grey = new float[w * h];
        for (int y = 0; y < h; y++)
        {
            ReadOnlySpan<float> upper = from.Grey.AsSpan(2 * y * from.WidthPx, from.WidthPx);
            ReadOnlySpan<float> lower = from.Grey.AsSpan((2 * y + 1) * from.WidthPx, from.WidthPx);
            for (int x = 0; x < w; x++)
            {
                grey[y * w + x] = (upper[2 * x] + upper[2 * x + 1] + lower[2 * x] + lower[2 * x + 1]) / 4;
            }
        }
        return new GreyLevel(w, h, grey, 2 * from.ScaleNumber);
    }
}
