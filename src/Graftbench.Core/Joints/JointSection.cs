namespace Graftbench.Core.Joints;

/// <summary>A cut through one row of joints, to scale.</summary>
/// <param name="YMm">Place of the row [mm].</param>
/// <param name="Joints">Joints of the row, from the left.</param>
/// <param name="Stops">Parts near the row.</param>
/// <param name="PackageLine">Plane of the package's pads along the cut.</param>
public sealed record JointSection(
    double YMm,
    IReadOnlyList<SectionJoint> Joints,
    IReadOnlyList<SectionStop> Stops,
    IReadOnlyList<SectionPoint> PackageLine
);

/// <summary>One joint of a cut.</summary>
/// <param name="Index">Place in the answer's list of joints.</param>
/// <param name="Name">Name of the ball.</param>
/// <param name="XMm">Place along the cut [mm].</param>
/// <param name="Joined">Whether it is one body; else the first outline is the ball and the second the land's solder.</param>
/// <param name="Outlines">Closed outlines, each a right half mirrored to the left.</param>
public sealed record SectionJoint(
    int Index,
    string Name,
    double XMm,
    bool Joined,
    IReadOnlyList<IReadOnlyList<SectionPoint>> Outlines
);

/// <summary>A part in a cut.</summary>
/// <param name="Name">Name of the part.</param>
/// <param name="XMm">Middle along the cut [mm].</param>
/// <param name="TopZMm">Height of the package's pad plane over it [mm].</param>
/// <param name="BottomZMm">Its lowest point above the lands [mm].</param>
public sealed record SectionStop(string Name, double XMm, double TopZMm, double BottomZMm);

/// <summary>A point of a cut.</summary>
/// <param name="XMm">Along the cut [mm].</param>
/// <param name="ZMm">Above the plane of the lands [mm].</param>
public readonly record struct SectionPoint(double XMm, double ZMm);
