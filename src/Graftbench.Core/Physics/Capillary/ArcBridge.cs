namespace Graftbench.Core.Physics.Capillary;

/// <summary>
/// Start value and cross-check only: the meridian taken as one circular arc through both rims. <see cref="LiquidBridge"/> is
/// the model; its force is 0.1 to 2 % away from this one (project fact sheet "seating mechanics", 2.2 and 5.1).
/// </summary>
public static class ArcBridge
{
    private const double Most = 0.9999 * Math.PI;

    /// <summary>Cross-check only: force on the upper circle from the energy of the arc.</summary>
    /// <param name="bridge">The joint.</param>
    /// <param name="gapMm">Gap [mm], above 0.</param>
    /// <returns>Force [mN], positive where the joint carries load; null where no arc holds the volume.</returns>
    /// <remarks>F = −dE/dh at fixed volume, five-point difference over ±1 % of the gap.</remarks>
    public static double? ForceMilliN(BridgeCase bridge, double gapMm)
    {
        ArgumentNullException.ThrowIfNull(bridge);
        Require.FinitePositive(gapMm);
        double step = 0.005 * gapMm;
        Span<double> energy = stackalloc double[4];
        for (int i = 0; i < 4; i++)
        {
            double at = gapMm + step * (i < 2 ? i - 2 : i - 1);
            if (Energy(bridge, at) is not { } value)
            {
                return null;
            }
            energy[i] = value;
        }
        return -(energy[0] - 8 * energy[1] + 8 * energy[2] - energy[3]) / (12 * step);
    }

    /// <summary>Half angle of the arc that encloses a volume; null where none does. Lengths in any one unit.</summary>
    internal static double? HalfAngle(double lower, double upper, double gap, double volume)
    {
        // An hourglass may not reach the axis: its depth is half the chord by the tangent of half the angle.
        double chord = Math.Sqrt(gap * gap + (upper - lower) * (upper - lower));
        double low = -2 * Math.Atan(0.95 * (lower + upper) / chord);
        double high = Most;
        if (Volume(lower, upper, gap, low) > volume || Volume(lower, upper, gap, high) < volume)
        {
            return null;
        }
        double phi = 0;
        for (int i = 0; i < 60 && high - low > 1e-13; i++)
        {
            // Secant where it stays inside, else the middle.
            double at = Volume(lower, upper, gap, phi) - volume;
            (low, high) = at > 0 ? (low, phi) : (phi, high);
            const double Small = 1e-6;
            double slope = (Volume(lower, upper, gap, phi + Small) - volume - at) / Small;
            double next = phi - at / slope;
            if (Math.Abs(next - phi) < 1e-13)
            {
                return next;
            }
            phi = next > low && next < high ? next : (low + high) / 2;
        }
        return phi;
    }

    /// <summary>Start values for the exact meridian.</summary>
    internal static MeridianStart? Start(in BridgeProblem problem, double gap)
    {
        if (HalfAngle(problem.Lower, problem.Upper, gap, problem.Volume) is not { } phi)
        {
            return null;
        }
        double chord = Math.Sqrt(gap * gap + (problem.Upper - problem.Lower) * (problem.Upper - problem.Lower));
        double angle = Math.Atan2(gap, problem.Upper - problem.Lower);
        double curve = 2 * Math.Sin(phi) / chord;
        double length = Math.Abs(phi) < 1e-8 ? chord : chord * phi / Math.Sin(phi);
        double pressure = curve + Math.Sin(angle + phi) / problem.Upper + problem.Bond * gap / 2;
        return new MeridianStart(pressure, angle - phi, length);
    }

    // Frustum plus the segment turned about the axis (Pappus).
    private static double Volume(double lower, double upper, double gap, double phi)
    {
        double chord2 = gap * gap + (upper - lower) * (upper - lower);
        double chord = Math.Sqrt(chord2);
        double segment;
        double moment;
        if (Math.Abs(phi) < 1e-3)
        {
            double p2 = phi * phi;
            segment = chord2 / 4 * phi * (2.0 / 3 + p2 * 4 / 45);
            moment = chord2 * chord / 8 * p2 * (2.0 / 15 + p2 * 2 / 63);
        }
        else
        {
            (double s, double c) = Math.SinCos(phi);
            double radius = chord / (2 * s);
            segment = radius * radius * (phi - s * c);
            moment = radius * radius * radius * (2.0 / 3 * s * s * s - c * (phi - s * c));
        }
        return Math.PI * gap / 3 * (lower * lower + lower * upper + upper * upper)
            + 2 * Math.PI * (segment * (lower + upper) / 2 + moment * gap / chord);
    }

    private static double? Energy(BridgeCase bridge, double gap)
    {
        (double lower, double upper) = (bridge.LowerRadiusMm, bridge.UpperRadiusMm);
        if (HalfAngle(lower, upper, gap, bridge.VolumeMm3) is not { } phi)
        {
            return null;
        }
        double chord = Math.Sqrt(gap * gap + (upper - lower) * (upper - lower));
        double middle = Math.Atan2(gap, upper - lower);
        // Gauss-Legendre over 64 equal parts, 3 points each: the integrand is smooth.
        double area = 0;
        double height = 0;
        const int Parts = 64;
        double length = Math.Abs(phi) < 1e-8 ? chord : chord * phi / Math.Sin(phi);
        double curve = 2 * Math.Sin(phi) / chord;
        for (int i = 0; i < Parts; i++)
        {
            foreach (
                (double at, double weight) in new[]
                {
                    (-0.7745966692414834, 5.0 / 9),
                    (0.0, 8.0 / 9),
                    (0.7745966692414834, 5.0 / 9),
                }
            )
            {
                double s = length * (i + 0.5 + at / 2) / Parts;
                double angle = middle - phi + curve * s;
                // Position on the arc by its chord: no digits lost on a straight one.
                double half = curve * s / 2;
                double reach = Math.Abs(half) < 1e-8 ? s : s * Math.Sin(half) / half;
                double r = lower + reach * Math.Cos(middle - phi + half);
                double z = reach * Math.Sin(middle - phi + half);
                double ds = length / Parts / 2 * weight;
                area += 2 * Math.PI * r * ds;
                height += Math.PI * r * r * Math.Sin(angle) * z * ds;
            }
        }
        return bridge.TensionNPerM * area + bridge.WeightPerVolume * height;
    }
}
