using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Xray;

/// <summary>Looks for solder from one joint to the next.</summary>
/// <remarks>
/// A bridge is a ridge along the whole way between two outlines: at each place darker than both of its sides. A step of
/// another part's shadow is darker than one side only; a trace is a ridge too, but thin in copper.
/// </remarks>
internal static class BridgeFinder
{
    /// <summary>Attenuation of the ridge's lowest place by that of a whole joint.</summary>
    /// <param name="soft">Attenuation, blurred.</param>
    /// <param name="a">One joint.</param>
    /// <param name="b">The other.</param>
    /// <param name="level">Attenuation of a whole joint.</param>
    public static double RidgeRatio(Plane soft, JointOutline a, JointOutline b, double level)
    {
        double dx = b.XPx - a.XPx;
        double dy = b.YPx - a.YPx;
        double length = Math.Sqrt(dx * dx + dy * dy);
        if (length < 1)
        {
            return 0;
        }
        double ux = dx / length;
        double uy = dy / length;
        double from = a.At(ux, uy);
        double to = length - b.At(-ux, -uy);
        double gap = to - from;
        if (gap < 1)
        {
            // Outlines meet: look at the middle all the same.
            from = length / 2 - 0.5;
            to = length / 2 + 0.5;
        }
        double r = Math.Min(a.RadiusPx, b.RadiusPx);
        const int Along = 9;
        const int Across = 13;
        double best = 0;
        // The ridge may lie off the line of centres, and may be wide.
        for (int half = 1; half <= 3; half++)
        {
            double side = r * 0.32 * half + 1;
            for (int k = 0; k < Across; k++)
            {
                double off = r * 0.55 * (2.0 * k / (Across - 1) - 1);
                double least = double.MaxValue;
                for (int i = 0; i < Along && least > best; i++)
                {
                    double t = from + (to - from) * (0.12 + 0.76 * i / (Along - 1));
                    double cx = a.XPx + t * ux - off * uy;
                    double cy = a.YPx + t * uy + off * ux;
                    double middle = soft.At(cx, cy);
                    double left = soft.At(cx - side * uy, cy + side * ux);
                    double right = soft.At(cx + side * uy, cy - side * ux);
                    least = Math.Min(least, middle - Math.Max(left, right));
                }
                best = Math.Max(best, least);
            }
        }
        return level > 0 ? best / level : 0;
    }
}
