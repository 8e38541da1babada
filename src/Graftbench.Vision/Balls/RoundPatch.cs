using System.Numerics;

namespace Graftbench.Vision.Balls;

/// <summary>Samples around a middle, on rings of a ball's size, and what of them no flat disc can explain.</summary>
/// <remarks>
/// A bare land, a hole, a patch of mask are flat: one brightness inside, any brightness on each ring further out, perhaps a
/// slope across. What is left after all that is taken away is the picture of a solid ball: its highlight, its dark side, the
/// ring that a ring light makes. It is zero for anything flat, however bright and of whatever colour.
/// </remarks>
internal static class RoundPatch
{
    /// <summary>Rings by the radius of a ball.</summary>
    public static readonly double[] Rings = [0.12, 0.3, 0.45, 0.58, 0.72, 0.86, 1.0, 1.14, 1.28];

    /// <summary>Samples on a ring.</summary>
    public const int Angles = 16;

    /// <summary>Rings that lie on any land.</summary>
    public const int InnerRings = 4;

    /// <summary>Samples in all.</summary>
    public static readonly int Count = Rings.Length * Angles;

    private static readonly (float X, float Y)[] Places = MakePlaces();
    private static readonly float[][] Flat = MakeFlat();

    /// <summary>Places of the samples, by the radius.</summary>
    public static IReadOnlyList<(float X, float Y)> PlacesOf => Places;

    private static (float X, float Y)[] MakePlaces()
    {
        (float X, float Y)[] places = new (float X, float Y)[Rings.Length * Angles];
        for (int ring = 0; ring < Rings.Length; ring++)
        {
            for (int k = 0; k < Angles; k++)
            {
                // Every second ring is turned by half an angle, so that samples spread evenly.
                double angle = 2 * Math.PI * (k + (ring % 2) * 0.5) / Angles;
                places[ring * Angles + k] = (
                    (float)(Rings[ring] * Math.Cos(angle)),
                    (float)(Rings[ring] * Math.Sin(angle))
                );
            }
        }
        return places;
    }

    // An orthonormal base of what flat things look like.
    private static float[][] MakeFlat()
    {
        List<float[]> flat = [];
        void Add(Func<int, float> value)
        {
            float[] one = [.. Enumerable.Range(0, Rings.Length * Angles).Select(value)];
            foreach (float[] other in flat)
            {
                float dot = Dot(one, other);
                for (int i = 0; i < one.Length; i++)
                {
                    one[i] -= dot * other[i];
                }
            }
            float size = MathF.Sqrt(Dot(one, one));
            flat.Add([.. one.Select(x => x / size)]);
        }
        Add(i => i / Angles < InnerRings ? 1 : 0);
        for (int ring = InnerRings; ring < Rings.Length; ring++)
        {
            int at = ring;
            Add(i => i / Angles == at ? 1 : 0);
        }
        Add(i => Places[i].X);
        Add(i => Places[i].Y);
        return [.. flat];
    }

    /// <summary>Takes samples.</summary>
    /// <param name="flat">The flat field.</param>
    /// <param name="channel">Which channel.</param>
    /// <param name="x">Middle [px].</param>
    /// <param name="y">Middle [px].</param>
    /// <param name="radiusPx">Radius of a ball [px].</param>
    /// <param name="samples">Filled, length <see cref="Count"/>.</param>
    /// <returns>False where a part is outside of what was seen.</returns>
    public static bool Take(FlatField flat, float[] channel, double x, double y, double radiusPx, Span<float> samples)
    {
        for (int i = 0; i < samples.Length; i++)
        {
            float value = flat.Sample(channel, x + radiusPx * Places[i].X, y + radiusPx * Places[i].Y);
            if (float.IsNaN(value))
            {
                return false;
            }
            samples[i] = value;
        }
        return true;
    }

    /// <summary>Takes away what a flat thing explains.</summary>
    public static void Solid(ReadOnlySpan<float> samples, Span<float> solid)
    {
        samples.CopyTo(solid);
        foreach (float[] one in Flat)
        {
            float dot = Dot(solid, one);
            for (int i = 0; i < solid.Length; i++)
            {
                solid[i] -= dot * one[i];
            }
        }
    }

    /// <summary>Takes away the mean.</summary>
    public static void Centre(Span<float> samples)
    {
        float mean = 0;
        foreach (float one in samples)
        {
            mean += one;
        }
        mean /= samples.Length;
        for (int i = 0; i < samples.Length; i++)
        {
            samples[i] -= mean;
        }
    }

    /// <summary>Sum of products.</summary>
    public static float Dot(ReadOnlySpan<float> a, ReadOnlySpan<float> b)
    {
        Vector<float> sum = Vector<float>.Zero;
        int i = 0;
        for (; i <= a.Length - Vector<float>.Count; i += Vector<float>.Count)
        {
            sum += new Vector<float>(a[i..]) * new Vector<float>(b[i..]);
        }
        float total = Vector.Sum(sum);
        for (; i < a.Length; i++)
        {
            total += a[i] * b[i];
        }
        return total;
    }

    /// <summary>How alike two are, -1 to 1.</summary>
    public static double Likeness(ReadOnlySpan<float> a, ReadOnlySpan<float> b)
    {
        double size = Math.Sqrt((double)Dot(a, a) * Dot(b, b));
        return size > 1e-12 ? Dot(a, b) / size : 0;
    }
}
