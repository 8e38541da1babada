using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Edges;

/// <summary>A straight edge in a picture, found near a rough line.</summary>
/// <param name="FromPx">Where it starts: beside the rough line's start.</param>
/// <param name="ToPx">Where it ends.</param>
/// <param name="UncertaintyPx">Two standard deviations of its place across, anywhere between its ends [px].</param>
/// <param name="OnLineFraction">Share of the places along it where the edge lies on the line.</param>
/// <param name="RoughPx">Spread of those places about the line [px].</param>
/// <param name="StepNumber">Change of brightness over the edge, median, 0 to 1; positive where it gets brighter to the right of the way from start to end.</param>
public sealed record EdgeLine(
    PicturePoint FromPx,
    PicturePoint ToPx,
    double UncertaintyPx,
    double OnLineFraction,
    double RoughPx,
    double StepNumber
)
{
    /// <summary>Share of places that must lie on the line for it to count.</summary>
    public const double EnoughFraction = 0.4;

    private const int MostPlaces = 160;
    private const double LeastStep = 0.015;

    // Fainter than this it may be a shade or a reflection.
    private const double LeastWholeStep = 0.035;

    /// <summary>Finds the edge.</summary>
    /// <param name="grey">Brightness.</param>
    /// <param name="from">Start of the rough line.</param>
    /// <param name="to">End of the rough line.</param>
    /// <param name="reachPx">How far to either side it may lie [px].</param>
    /// <returns>The edge; null where nothing straight stands out.</returns>
    internal static EdgeLine? Find(Plane grey, PicturePoint from, PicturePoint to, double reachPx)
    {
        double dx = to.XPx - from.XPx;
        double dy = to.YPx - from.YPx;
        double length = Math.Sqrt(dx * dx + dy * dy);
        if (!(length >= 12) || !(reachPx >= 2))
        {
            return null;
        }
        EdgeLine? best = null;
        double bestWorth = 0;
        // Both ways of the step: the one that more of the way agrees on, and more strongly, is the edge.
        foreach (int sign in (int[])[1, -1])
        {
            EdgeLine? found = Try(grey, from, dx / length, dy / length, length, reachPx, sign);
            double worth = found is null ? 0 : found.OnLineFraction * Math.Sqrt(Math.Abs(found.StepNumber));
            if (found is not null && worth > bestWorth)
            {
                bestWorth = worth;
                best = found;
            }
        }
        return best;
    }

    /// <summary>Where two lines cross; null for parallel ones.</summary>
    public static PicturePoint? Crossing(EdgeLine a, EdgeLine b)
    {
        ArgumentNullException.ThrowIfNull(a);
        ArgumentNullException.ThrowIfNull(b);
        double ax = a.ToPx.XPx - a.FromPx.XPx;
        double ay = a.ToPx.YPx - a.FromPx.YPx;
        double bx = b.ToPx.XPx - b.FromPx.XPx;
        double by = b.ToPx.YPx - b.FromPx.YPx;
        double cross = ax * by - ay * bx;
        if (Math.Abs(cross) < 1e-6 * Math.Sqrt((ax * ax + ay * ay) * (bx * bx + by * by)))
        {
            return null;
        }
        double t = ((b.FromPx.XPx - a.FromPx.XPx) * by - (b.FromPx.YPx - a.FromPx.YPx) * bx) / cross;
        return new PicturePoint(a.FromPx.XPx + t * ax, a.FromPx.YPx + t * ay);
    }

    private static EdgeLine? Try(
        Plane grey,
        PicturePoint from,
        double ux,
        double uy,
        double length,
        double reachPx,
        int sign
    )
    {
        int places = Math.Clamp((int)(length / 2), 6, MostPlaces);
        double strip = length / places;
        int averaged = Math.Clamp((int)strip, 1, 7);
        List<(double T, double Off, double Step)> candidates = [];
        const double StepPx = 0.5;
        int steps = (int)(2 * reachPx / StepPx) + 1;
        double[] profile = new double[steps];
        double[] rise = new double[steps];
        for (int k = 0; k < places; k++)
        {
            double t = (k + 0.5) * strip;
            Array.Clear(profile);
            for (int a = 0; a < averaged; a++)
            {
                double along = t + (a - (averaged - 1) / 2.0);
                for (int i = 0; i < steps; i++)
                {
                    double off = i * StepPx - reachPx;
                    // To the right of the way, with rows running down.
                    profile[i] +=
                        grey.At(from.XPx + along * ux - off * uy, from.YPx + along * uy + off * ux) / averaged;
                }
            }
            Rises(profile, rise, sign);
            AddPeaks(candidates, t, rise, reachPx, StepPx);
        }
        return Fit(candidates, from, ux, uy, length, places, reachPx, sign);
    }

    // Rise over three pixels either side, so that noise of single pixels does not count.
    private static void Rises(double[] profile, double[] rise, int sign)
    {
        const int Half = 3;
        for (int i = 0; i < profile.Length; i++)
        {
            double before = 0;
            double after = 0;
            for (int k = 1; k <= Half; k++)
            {
                before += profile[Math.Max(0, i - k)];
                after += profile[Math.Min(profile.Length - 1, i + k)];
            }
            rise[i] = i < Half || i >= profile.Length - Half ? 0 : sign * (after - before) / Half;
        }
    }

    private static void AddPeaks(
        List<(double T, double Off, double Step)> candidates,
        double t,
        double[] rise,
        double reachPx,
        double stepPx
    )
    {
        // The strongest few: the edge is not always the strongest where a ball shines.
        const int MostPeaks = 4;
        List<(int At, double Rise)> peaks = [];
        for (int i = 1; i < rise.Length - 1; i++)
        {
            if (rise[i] > LeastStep && rise[i] >= rise[i - 1] && rise[i] > rise[i + 1])
            {
                peaks.Add((i, rise[i]));
            }
        }
        double strongest = peaks.Count == 0 ? 0 : peaks.Max(peak => peak.Rise);
        foreach ((int at, double value) in peaks.OrderByDescending(peak => peak.Rise).Take(MostPeaks))
        {
            if (value < 0.3 * strongest)
            {
                continue;
            }
            double curve = rise[at - 1] - 2 * value + rise[at + 1];
            double shift = curve < 0 ? Math.Clamp(0.5 * (rise[at - 1] - rise[at + 1]) / curve, -1, 1) : 0;
            candidates.Add((t, (at + shift) * stepPx - reachPx, value));
        }
    }

    private static EdgeLine? Fit(
        List<(double T, double Off, double Step)> candidates,
        PicturePoint from,
        double ux,
        double uy,
        double length,
        int places,
        double reachPx,
        int sign
    )
    {
        if (candidates.Count < Math.Max(5, places / 4))
        {
            return null;
        }
        // Every pair of a coarse choice votes; the line with most weight beside it wins. No chance is involved.
        double near = Math.Max(1, 0.05 * reachPx);
        (double A, double B, double Votes) best = (0, 0, 0);
        int stride = Math.Max(1, candidates.Count / 60);
        for (int i = 0; i < candidates.Count; i += stride)
        {
            for (int j = i + stride; j < candidates.Count; j += stride)
            {
                double run = candidates[j].T - candidates[i].T;
                if (run < 0.25 * length)
                {
                    continue;
                }
                double b = (candidates[j].Off - candidates[i].Off) / run;
                double a = candidates[i].Off - b * candidates[i].T;
                if (Math.Abs(a) > reachPx || Math.Abs(a + b * length) > reachPx)
                {
                    continue;
                }
                double votes = 0;
                double lastT = double.NaN;
                foreach ((double t, double off, double step) in candidates)
                {
                    double q = (off - a - b * t) / near;
                    if (Math.Abs(q) < 1 && t != lastT)
                    {
                        // Nearer to the clicked line weighs more.
                        double far = off / reachPx;
                        votes += (1 - q * q) * Math.Sqrt(step) * (1.2 - far * far);
                        lastT = t;
                    }
                }
                if (votes > best.Votes)
                {
                    best = (a, b, votes);
                }
            }
        }
        return best.Votes > 0 ? Refine(candidates, best.A, best.B, from, ux, uy, length, places, near, sign) : null;
    }

    private static EdgeLine? Refine(
        List<(double T, double Off, double Step)> candidates,
        double a,
        double b,
        PicturePoint from,
        double ux,
        double uy,
        double length,
        int places,
        double near,
        int sign
    )
    {
        double scale = near;
        int on = 0;
        double rough = near;
        for (int round = 0; round < 6; round++)
        {
            double sw = 0;
            double st = 0;
            double stt = 0;
            double so = 0;
            double sto = 0;
            List<double> off = [];
            double lastT = double.NaN;
            foreach ((double t, double o, double _) in candidates)
            {
                double q = (o - a - b * t) / (1.5 * scale);
                if (Math.Abs(q) >= 1 || t == lastT)
                {
                    continue;
                }
                lastT = t;
                double w = Math.Pow(1 - q * q, 2);
                sw += w;
                st += w * t;
                stt += w * t * t;
                so += w * o;
                sto += w * t * o;
                off.Add(o - a - b * t);
            }
            double determinant = sw * stt - st * st;
            if (off.Count < 4 || determinant <= 1e-9)
            {
                return null;
            }
            b = (sw * sto - st * so) / determinant;
            a = (so - b * st) / sw;
            on = off.Count;
            rough = Math.Max(0.05, Ranks.NormalByDeviation * Ranks.Median(off.Select(Math.Abs)));
            scale = Math.Clamp(2.5 * rough, 0.6, near);
        }
        double fraction = (double)on / places;
        double[] steps =
        [
            .. candidates.Where(one => Math.Abs(one.Off - a - b * one.T) < 1.5 * scale).Select(one => one.Step),
        ];
        double step = steps.Length == 0 ? 0 : Ranks.Median(steps);
        if (fraction < EnoughFraction || step < LeastWholeStep)
        {
            return null;
        }
        // At an end of a fitted line the error is twice that of its middle; neighbours share noise, hence half of them count.
        double uncertainty = 2 * 2 * rough / Math.Sqrt(Math.Max(2, on / 2.0)) + 0.1;
        PicturePoint At(double t)
        {
            double o = a + b * t;
            return new PicturePoint(from.XPx + t * ux - o * uy, from.YPx + t * uy + o * ux);
        }
        return new EdgeLine(At(0), At(length), uncertainty, fraction, rough, sign * step);
    }
}
