using Graftbench.Vision.Lattice;
using Graftbench.Vision.Pictures;

namespace Graftbench.Vision.Balls;

/// <summary>The field as seen straight from above: every step of the lattice has the same number of pixels.</summary>
/// <remarks>Node (i, j) lies at pixel ((i - FirstI) · StepPx, (j - FirstJ) · StepPx).</remarks>
internal sealed class FlatField
{
    /// <summary>Most pixels of a flat field.</summary>
    public const long MaxPixels = 16_000_000;

    private FlatField(int widthPx, int heightPx, int firstI, int firstJ, int stepPx)
    {
        WidthPx = widthPx;
        HeightPx = heightPx;
        FirstI = firstI;
        FirstJ = firstJ;
        StepPx = stepPx;
        Grey = new float[widthPx * heightPx];
        Red = new float[widthPx * heightPx];
        Blue = new float[widthPx * heightPx];
        Seen = new bool[widthPx * heightPx];
    }

    public int WidthPx { get; }
    public int HeightPx { get; }
    public int FirstI { get; }
    public int FirstJ { get; }

    /// <summary>Pixels of a step.</summary>
    public int StepPx { get; }
    public float[] Grey { get; }

    /// <summary>Red less green by brightness.</summary>
    public float[] Red { get; }

    /// <summary>Blue less green by brightness.</summary>
    public float[] Blue { get; }
    public bool[] Seen { get; }

    public double XPx(double i) => (i - FirstI) * StepPx;

    public double YPx(double j) => (j - FirstJ) * StepPx;

    /// <summary>Draws the nodes from (firstI, firstJ) to (lastI, lastJ).</summary>
    public static FlatField Draw(
        Picture picture,
        List<GreyLevel> levels,
        PlaneMap map,
        (int I, int J) first,
        (int I, int J) last,
        int stepPx
    )
    {
        int w = (last.I - first.I) * stepPx + 1;
        int h = (last.J - first.J) * stepPx + 1;
        FlatField flat = new(w, h, first.I, first.J, stepPx);
        (double u, double v, _) = map.StepAt((first.I + last.I) / 2.0, (first.J + last.J) / 2.0);
        double perPixel = Math.Min(u, v) / stepPx;
        GreyLevel level = levels[
            Math.Clamp((int)Math.Floor(Math.Log2(Math.Max(perPixel, 1)) + 0.3), 0, levels.Count - 1)
        ];
        for (int y = 0; y < h; y++)
        {
            for (int x = 0; x < w; x++)
            {
                (double px, double py) = map.ToPicture(first.I + (double)x / stepPx, first.J + (double)y / stepPx);
                flat.Take(picture, level, px, py, y * w + x);
            }
        }
        return flat;
    }

    private void Take(Picture picture, GreyLevel level, double px, double py, int at)
    {
        double lx = level.FromPicturePx(px);
        double ly = level.FromPicturePx(py);
        if (!(lx >= 0 && ly >= 0 && lx <= level.WidthPx - 1.001 && ly <= level.HeightPx - 1.001))
        {
            return;
        }
        int x = (int)lx;
        int y = (int)ly;
        float fx = (float)(lx - x);
        float fy = (float)(ly - y);
        int k = y * level.WidthPx + x;
        float upper = level.Grey[k] + fx * (level.Grey[k + 1] - level.Grey[k]);
        float lower =
            level.Grey[k + level.WidthPx] + fx * (level.Grey[k + level.WidthPx + 1] - level.Grey[k + level.WidthPx]);
        float grey = upper + fy * (lower - upper);
        Grey[at] = grey;
        Seen[at] = true;
        if (picture.Rgb is { } rgb)
        {
            int cx = Math.Clamp((int)(px + 0.5), 0, picture.WidthPx - 1);
            int cy = Math.Clamp((int)(py + 0.5), 0, picture.HeightPx - 1);
            int c = 3 * (cy * picture.WidthPx + cx);
            float scale = 1 / (255 * (grey + 0.08f));
            Red[at] = (rgb[c] - rgb[c + 1]) * scale;
            Blue[at] = (rgb[c + 2] - rgb[c + 1]) * scale;
        }
    }

    /// <summary>Brightness at a place, NaN outside of what was seen.</summary>
    public float At(double x, double y) => Sample(Grey, x, y);

    /// <summary>A channel at a place, between pixels by straight lines; NaN outside of what was seen.</summary>
    public float Sample(float[] channel, double x, double y)
    {
        int ix = (int)Math.Floor(x);
        int iy = (int)Math.Floor(y);
        if (ix < 0 || iy < 0 || ix >= WidthPx - 1 || iy >= HeightPx - 1)
        {
            return float.NaN;
        }
        int k = iy * WidthPx + ix;
        if (!(Seen[k] && Seen[k + 1] && Seen[k + WidthPx] && Seen[k + WidthPx + 1]))
        {
            return float.NaN;
        }
        float fx = (float)(x - ix);
        float fy = (float)(y - iy);
        float upper = channel[k] + fx * (channel[k + 1] - channel[k]);
        float lower = channel[k + WidthPx] + fx * (channel[k + WidthPx + 1] - channel[k + WidthPx]);
        return upper + fy * (lower - upper);
    }
}
