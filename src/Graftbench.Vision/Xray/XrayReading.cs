using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Vision.Pictures;

namespace Graftbench.Vision.Xray;

/// <summary>What to read voids from.</summary>
/// <param name="Picture">The X-ray picture.</param>
/// <param name="Name">What findings call it.</param>
/// <param name="Field">The ball field.</param>
/// <param name="View">From where it was taken.</param>
/// <param name="Limit">The limit that counts.</param>
/// <param name="A1">Where A1 lies in the picture; null where the field itself must tell.</param>
public sealed record XrayRequest(
    Picture Picture,
    string Name,
    BallField Field,
    BallView View,
    VoidLimit Limit,
    PictureCorner? A1 = null
);

/// <summary>What an X-ray picture says of a package's joints.</summary>
/// <param name="Answer">The answer in one line.</param>
/// <param name="Judged">False: the picture was refused as a whole, and the findings say why and what to change.</param>
/// <param name="NamesSure">False: the field fits in several ways, so that names of balls may belong to others.</param>
/// <param name="JointsBright">Whether joints are bright in the picture (an inverted one).</param>
/// <param name="PxPerMm">Scale in the middle of the field; null where refused.</param>
/// <param name="JointDiameterMm">Usual diameter of a joint's shadow [mm].</param>
/// <param name="BlurPx">Blur of picture and reading together, standard deviation [px].</param>
/// <param name="NoiseRatio">Noise of a pixel in a joint, by the joint's attenuation.</param>
/// <param name="Sharpened">Whether the picture was sharpened: edges carry a halo.</param>
/// <param name="Limit">The limit that counted.</param>
/// <param name="Joints">Each joint of the field, row by row.</param>
/// <param name="Strays">Dark spots between joints.</param>
/// <param name="Findings">Findings, worst first.</param>
/// <param name="CannotPromise">What no flat X-ray picture can promise; part of every answer.</param>
public sealed record XrayReading(
    string Answer,
    bool Judged,
    bool NamesSure,
    bool JointsBright,
    double? PxPerMm,
    double? JointDiameterMm,
    double? BlurPx,
    double? NoiseRatio,
    bool Sharpened,
    VoidLimit Limit,
    IReadOnlyList<JointReading> Joints,
    IReadOnlyList<StraySpot> Strays,
    IReadOnlyList<Finding> Findings,
    string CannotPromise
)
{
    /// <summary>Code of the finding that every answer carries.</summary>
    public const string NotPromisedCode = "xray.not-promised";

    /// <summary>What no flat X-ray picture can promise.</summary>
    public const string NeverPromised =
        "A flat X-ray picture cannot promise that a joint is sound: a head-in-pillow joint and a crack look like a good "
        + "joint in it. Void figures say nothing about them.";
}
