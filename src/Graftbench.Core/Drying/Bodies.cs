using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Drying;

/// <summary>A body to be dried, with what was assumed about it.</summary>
/// <param name="Ref">Reference on the board, or the chip's id.</param>
/// <param name="Body">The body as table and model see it.</param>
/// <param name="ThicknessKnown">False where the thickness was assumed.</param>
/// <param name="Exposures">Its exposures: its own and those of the board it sits on.</param>
/// <param name="MakersBag">True where a dry bag as the first entry is the maker's.</param>
public sealed record BodyToDry(
    string Ref,
    MoistBody Body,
    bool ThicknessKnown,
    IReadOnlyList<Exposure> Exposures,
    bool MakersBag
)
{
    /// <summary>Thickness assumed where neither body nor height is known [mm].</summary>
    public const double AssumedThicknessMm = 2.0;

    /// <summary>A chip as a body.</summary>
    /// <param name="chip">The chip.</param>
    /// <param name="exposures">Its exposures.</param>
    public static BodyToDry Of(Chip chip, IReadOnlyList<Exposure> exposures) =>
        new(
            chip.Id,
            new MoistBody(
                chip.MoistureLevel,
                chip.BodyThicknessMm,
                chip.BodyLengthMm,
                chip.BodyWidthMm,
                BallGrid: true,
                chip.InternalPlanes,
                chip.StackedDie,
                chip.SubstrateThicknessMm
            ),
            ThicknessKnown: true,
            exposures,
            MakersBag: chip.From == ChipPlace.Shelf
        );

    /// <summary>A part as a body; null for a kind that takes up no moisture or of which that is not known.</summary>
    /// <param name="part">The part.</param>
    /// <param name="exposures">Exposures of its board.</param>
    public static BodyToDry? Of(Part part, IReadOnlyList<Exposure> exposures)
    {
        if (part.TakenOff || PartKinds.Of(part.Kind).MoistureSensitive != YesNo.Yes)
        {
            return null;
        }
        double? thicknessMm = part.BodyThicknessMm ?? part.HeightMm;
        MoistBody body = new(
            part.MoistureLevel,
            thicknessMm ?? AssumedThicknessMm,
            part.LengthMm,
            part.WidthMm,
            part.Kind == PartKind.BallGridPackage,
            part.InternalPlanes,
            part.StackedDie
        );
        return new BodyToDry(part.Ref, body, part.BodyThicknessMm is not null, exposures, MakersBag: false);
    }
}
