namespace Graftbench.Vision.Pictures;

/// <summary>A picture in memory, upright: brightness for measuring and, where the file had any, colour.</summary>
/// <remarks>
/// Pixel (column x, row y) lies at index <c>y * WidthPx + x</c>; its centre is at (x, y), so that a place between pixels is
/// a number with a fraction. Rows run down. Brightness is as the file stores it (no gamma is undone), 0 black to 1 white.
/// </remarks>
public sealed class Picture
{
    /// <summary>Takes the buffers as they are, without a copy; nobody may write to them afterwards.</summary>
    /// <param name="widthPx">Width [px], above 0.</param>
    /// <param name="heightPx">Height [px], above 0.</param>
    /// <param name="grey">Brightness 0 to 1, length width·height.</param>
    /// <param name="rgb">Red, green, blue as bytes, length 3·width·height; null for a picture without colour.</param>
    /// <exception cref="ArgumentException">A size is not above 0, or a buffer has another length.</exception>
    public Picture(int widthPx, int heightPx, float[] grey, byte[]? rgb = null)
    {
        ArgumentNullException.ThrowIfNull(grey);
        ArgumentOutOfRangeException.ThrowIfLessThan(widthPx, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(heightPx, 1);
        long pixels = (long)widthPx * heightPx;
        if (grey.Length != pixels || (rgb is not null && rgb.Length != 3 * pixels))
        {
            throw new ArgumentException($"The buffers do not hold {widthPx} by {heightPx} pixels.", nameof(grey));
        }
        WidthPx = widthPx;
        HeightPx = heightPx;
        Grey = grey;
        Rgb = rgb;
    }

    /// <summary>Width [px].</summary>
    public int WidthPx { get; }

    /// <summary>Height [px].</summary>
    public int HeightPx { get; }

    /// <summary>Brightness, 0 black to 1 white.</summary>
    public float[] Grey { get; }

    /// <summary>Red, green and blue, three bytes a pixel; null where the picture has no colour.</summary>
    public byte[]? Rgb { get; }
}
