namespace Graftbench.Web.NewJob;

/// <summary>Board sizes of open standards to start a job from.</summary>
/// <param name="Id">Name in the form.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="LengthMm">Extent in x [mm].</param>
/// <param name="WidthMm">Extent in y [mm].</param>
/// <param name="ThicknessMm">Usual thickness [mm].</param>
internal sealed record BoardSize(string Id, string Title, double LengthMm, double WidthMm, double ThicknessMm)
{
    /// <summary>All sizes, smallest first. The thickness is the usual one, to be measured.</summary>
    public static IReadOnlyList<BoardSize> All { get; } =
    [
        new("card-100x160", "Card, 160 × 100 mm (IEC 60297, 3U)", 160, 100, 1.6),
        new("mini-170x170", "170 × 170 mm", 170, 170, 1.6),
        new("card-233x160", "Double card, 160 × 233.35 mm (IEC 60297, 6U)", 160, 233.35, 1.6),
        new("micro-244x244", "244 × 244 mm", 244, 244, 1.6),
        new("full-305x244", "305 × 244 mm", 305, 244, 1.6),
    ];
}
