namespace Graftbench.Shared.Vision;

/// <summary>One joint of a made X-ray picture, lengths in mm, z from the middle of the joint.</summary>
internal sealed class MadeJoint
{
    public int Row { get; init; }
    public int Column { get; init; }
    public double XMm { get; set; }
    public double YMm { get; set; }
    public double RadiusMm { get; set; }

    /// <summary>Gap between the lands; the barrel is cut off there.</summary>
    public double HeightMm { get; set; }

    /// <summary>Half axis of the barrel along z; the radius for a truncated ball.</summary>
    public double HalfAxisMm { get; set; }
    public bool Missing { get; set; }
    public List<MadeVoid> Voids { get; } = [];

    /// <summary>Projected area of voids by that of the joint, counted on the rays.</summary>
    public double VoidFraction => JointRays == 0 ? 0 : (double)VoidRays / JointRays;

    /// <summary>The largest single one.</summary>
    public double LargestFraction =>
        JointRays == 0 || Voids.Count == 0 ? 0 : (double)Voids.Max(v => v.Rays) / JointRays;
    public long JointRays { get; set; }
    public long VoidRays { get; set; }
    public double CentreXPx { get; set; }
    public double CentreYPx { get; set; }
}

/// <summary>An ellipsoid of gas; z from the middle of the joint.</summary>
internal sealed class MadeVoid
{
    public required double XMm { get; init; }
    public required double YMm { get; init; }
    public required double ZMm { get; init; }
    public required double RadiusXMm { get; init; }
    public required double RadiusYMm { get; init; }
    public required double RadiusZMm { get; init; }
    public long Rays { get; set; }
}

/// <summary>What a made X-ray picture varies.</summary>
internal sealed record XrayLook
{
    public int Rows { get; init; } = 10;
    public int Columns { get; init; } = 10;
    public double PitchMm { get; init; } = 1.0;
    public double BallMm { get; init; } = 0.6;
    public double PxPerMm { get; init; } = 50;
    public double RotationDeg { get; init; }
    public double ObliqueDeg { get; init; }
    public double ObliqueTowardsDeg { get; init; } = 30;

    /// <summary>Magnification at the right edge less that at the left, by the mean: a board not level.</summary>
    public double KeystoneRatio { get; init; }
    public double BlurPx { get; init; } = 1.0;

    /// <summary>Photons on a pixel of the open field.</summary>
    public double Photons { get; init; } = 20000;
    public double Gradient { get; init; }
    public int Bits { get; init; } = 16;
    public bool Inverted { get; init; }
    public double Gamma { get; init; } = 1;

    /// <summary>Mean share of void area aimed at; 0 for none.</summary>
    public double VoidShare { get; init; } = 0.12;

    /// <summary>Radius of voids by that of the joint, from and to.</summary>
    public double LeastVoidRatio { get; init; } = 0.12;
    public double MostVoidRatio { get; init; } = 0.4;
    public bool Traces { get; init; }
    public bool Vias { get; init; }
    public bool Parts { get; init; }
    public bool BigShadow { get; init; }
    public int MissingNumber { get; init; }
    public int BridgeNumber { get; init; }
    public int EmptyMiddle { get; init; }
    public double SizeScatter { get; init; } = 0.02;
    public double ExtraMarginMm { get; init; }
    public int Seed { get; init; } = 1;

    /// <summary>Attenuation of all energies by this factor.</summary>
    public double Hardness { get; init; } = 1;
}

/// <summary>A made picture and what is true of it.</summary>
internal sealed record MadeXray(
    int WidthPx,
    int HeightPx,
    float[] Grey,
    IReadOnlyList<MadeJoint> Joints,
    IReadOnlyList<((int Row, int Column) A, (int Row, int Column) B)> Bridges
);
