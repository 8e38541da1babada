using CsCheck;
using Graftbench.Vision.Planes;
using Graftbench.Vision.Xray;

namespace Graftbench.Vision.Tests.Xray;

/// <summary>The pieces behind a void's area, each against geometry computed another way.</summary>
public class VoidModelTests
{
    // A sphere's shadow drawn pixel by pixel and blurred on a grid, not by the curve that is tested.
    [Theory]
    [InlineData(4, 1.0)]
    [InlineData(6, 1.5)]
    [InlineData(12, 1.5)]
    [InlineData(9, 3.0)]
    [InlineData(3, 1.5)]
    public void The_area_of_a_blurred_sphere_is_that_of_its_shadow(double radius, double blur)
    {
        (double low, double high) = Contours(radius, blur, half: int.MaxValue);
        Assert.Equal(Math.PI * radius * radius, BubbleShape.Area(low, high, blur), 0.06 * Math.PI * radius * radius);
    }

    [Fact]
    public void A_void_with_upright_walls_is_not_made_larger()
    {
        // Flat between lands: cut off at a fifth of the sphere's half height.
        (double low, double high) = Contours(14, 0.7, half: 3);
        Assert.Equal(Math.PI * 14 * 14, BubbleShape.Area(low, high, 0.7), 0.05 * Math.PI * 14 * 14);
    }

    [Fact]
    public void A_larger_contour_never_means_a_smaller_void() =>
        Gen.Select(Gen.Double[0.5, 200], Gen.Double[0, 1], Gen.Double[0.3, 4])
            .Sample(
                (low, share, blur) =>
                    Assert.True(
                        BubbleShape.Area(low * 1.05, low * 1.05 * share, blur)
                            >= BubbleShape.Area(low, low * share, blur) - 1e-9
                    )
            );

    [Fact]
    public void The_edge_of_a_faint_lens_is_steepest_0765_blurs_inside()
    {
        // The maximum of ∫ φ(x − v²) dv lies at 0.765 (quadrature in another program): slope of a root, blurred.
        (double inside, double half) = EdgeModel.Look(1, 400, 0.01);
        Assert.Equal(0.765, inside, 0.06);
        Assert.Equal(1.465, half, 0.06);
    }

    [Fact]
    public void A_darker_lens_has_its_edge_nearer_to_the_outline() =>
        Assert.True(EdgeModel.Look(1.5, 15, 3).InsidePx < EdgeModel.Look(1.5, 15, 0.3).InsidePx);

    [Theory]
    [InlineData(0.8)]
    [InlineData(1.5)]
    [InlineData(3)]
    public void Blur_comes_back_from_the_width_of_the_edge(double blur)
    {
        (_, double half) = EdgeModel.Look(blur, 20, 1.2);
        Assert.Equal(blur, EdgeModel.Solve(half, 20, 1.2, 0.5).BlurPx, 0.05 * blur);
    }

    [Theory]
    [InlineData(0.0)]
    [InlineData(0.2)]
    [InlineData(0.4)]
    public void Solid_solder_is_found_above_a_tail_of_voids(double share)
    {
        Random random = new(2);
        float[] values =
        [
            .. Enumerable
                .Range(0, 4000)
                .Select(i =>
                    (float)(
                        (i < share * 4000 ? 0.9 - 0.6 * random.NextDouble() : 1)
                        + 0.02 * Shared.Vision.XrayMaker.Normal(random)
                    )
                ),
        ];
        Assert.Equal(1, ThicknessProfile.Solid(values), 0.012);
    }

    [Fact]
    public void An_outline_of_a_made_ellipse_comes_back()
    {
        const int Size = 120;
        float[] grey = new float[Size * Size];
        for (int y = 0; y < Size; y++)
        {
            for (int x = 0; x < Size; x++)
            {
                double q = Math.Sqrt(Math.Pow((x - 60.3) / 30, 2) + Math.Pow((y - 58.8) / 26, 2));
                grey[y * Size + x] = (float)Math.Clamp((1 - q) * 14 + 0.5, 0, 1);
            }
        }
        JointOutline outline = JointOutline.Follow(new Plane(Size, Size, grey).Blurred(0.8), 58, 60, 25, 50)!;
        Assert.Equal(60.3, outline.XPx, 0.1);
        Assert.Equal(58.8, outline.YPx, 0.1);
        Assert.Equal(Math.PI * 30 * 26, outline.AreaPx2, 0.02 * Math.PI * 30 * 26);
        Assert.Equal(30.0 / 26 - 1, outline.EllipticityRatio, 0.02);
    }

    [Fact]
    public void Empty_surroundings_have_no_outline() =>
        Assert.Null(JointOutline.Follow(new Plane(60, 60, new float[3600]), 30, 30, 10, 20));

    private static (double Low, double High) Contours(double radius, double blur, int half)
    {
        const int Fine = 4;
        int size = (int)(2 * (radius + 4 * blur) * Fine) | 1;
        float[] values = new float[size * size];
        for (int k = 0; k < values.Length; k++)
        {
            double x = (k % size - size / 2) / (double)Fine;
            double y = (k / size - size / 2) / (double)Fine;
            double left = radius * radius - x * x - y * y;
            values[k] = left > 0 ? (float)Math.Min(half, 2 * Math.Sqrt(left)) : 0;
        }
        float[] soft = new Plane(size, size, values).Blurred(blur * Fine).Values;
        float peak = soft.Max();
        return (
            soft.Count(value => value >= BubbleShape.LowShare * peak) / (double)(Fine * Fine),
            soft.Count(value => value >= BubbleShape.HighShare * peak) / (double)(Fine * Fine)
        );
    }
}
