using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>Places and moments in words.</summary>
internal static class Places
{
    /// <summary>Where a joint lies under the chip: <c>lower left corner</c>, <c>left side</c>, <c>middle</c>.</summary>
    public static string OfJoint(HeatPlace joint, RectMm chip)
    {
        (int x, int y) = Third(joint.XMm, joint.YMm, chip);
        return (x, y) switch
        {
            (0, 0) => "middle",
            (_, 0) => x < 0 ? "left side" : "right side",
            (0, _) => y < 0 ? "lower side" : "upper side",
            _ => $"{(y < 0 ? "lower" : "upper")} {(x < 0 ? "left" : "right")} corner",
        };
    }

    /// <summary>Where a probe goes, as a technician finds it.</summary>
    public static string OfProbe(HeatPlace place, RectMm chip)
    {
        if (place.Kind == HeatPlaceKind.BodyTop)
        {
            return "on the chip's top, in the middle";
        }
        bool below = place.ZMm < -0.05;
        string face = below ? "on the board's underside" : "on the board";
        if (chip.Contains(place.XMm, place.YMm))
        {
            string spot = OfJoint(place, chip);
            return below ? $"{face}, under the chip's {spot}" : $"in the gap under the chip, {spot}";
        }
        double left = chip.X0Mm - place.XMm;
        double right = place.XMm - chip.X1Mm;
        double lower = chip.Y0Mm - place.YMm;
        double upper = place.YMm - chip.Y1Mm;
        double offX = Math.Max(left, right);
        double offY = Math.Max(lower, upper);
        string across = left > right ? "left" : "right";
        string along = lower > upper ? "lower" : "upper";
        if (offX > 0 && offY > 0)
        {
            return $"{Math.Sqrt(offX * offX + offY * offY):0} mm off the chip's {along} {across} corner, {face}";
        }
        (int x, int y) = Third(place.XMm, place.YMm, chip);
        if (offX > 0)
        {
            string height = y == 0 ? "at mid-side" : $"near the {(y < 0 ? "lower" : "upper")} corner";
            return $"{offX:0} mm off the chip's {across} side, {height}, {face}";
        }
        string width = x == 0 ? "at mid-side" : $"near the {(x < 0 ? "left" : "right")} corner";
        return $"{offY:0} mm off the chip's {along} side, {width}, {face}";
    }

    /// <summary>Minutes and seconds: <c>3:40</c>.</summary>
    public static string Clock(double timeS)
    {
        int whole = (int)Math.Round(Math.Max(timeS, 0));
        return $"{whole / 60}:{whole % 60:00}";
    }

    private static (int X, int Y) Third(double xMm, double yMm, RectMm chip)
    {
        double u = (xMm - chip.X0Mm) / Math.Max(chip.X1Mm - chip.X0Mm, 1e-6);
        double v = (yMm - chip.Y0Mm) / Math.Max(chip.Y1Mm - chip.Y0Mm, 1e-6);
        return (
            u < 0.3 ? -1
            : u > 0.7 ? 1
            : 0,
            v < 0.3 ? -1
            : v > 0.7 ? 1
            : 0
        );
    }
}
