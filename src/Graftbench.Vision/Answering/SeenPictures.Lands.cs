using Graftbench.Vision.Lands;

namespace Graftbench.Vision.Answering;

public static partial class SeenPictures
{
    /// <summary>A picture of lands.</summary>
    /// <param name="about">What it is about.</param>
    /// <param name="name">Name of the picture.</param>
    /// <param name="size">Width and height [px].</param>
    /// <param name="reading">What the reader found.</param>
    /// <param name="said">What persons say, by name of the land.</param>
    public static SeenPicture Of(
        string about,
        string name,
        (int WidthPx, int HeightPx) size,
        LandReading reading,
        IReadOnlyDictionary<string, string> said
    )
    {
        ArgumentNullException.ThrowIfNull(reading);
        ArgumentNullException.ThrowIfNull(said);
        double radius = Math.Max(4, 0.3 * Step(reading.Lands));
        List<SeenSite> sites =
        [
            .. reading.Lands.Select(land =>
                Site(
                    PictureKind.Lands,
                    land.Name,
                    (land.Row, land.Column),
                    (land.XPx, land.YPx, radius),
                    land.State switch
                    {
                        LandState.Present => "present",
                        LandState.LiftedOrTorn => "lifted-or-torn",
                        LandState.UnevenSolder => "uneven-solder",
                        _ => "cannot-judge",
                    },
                    land.ConfidenceFraction,
                    land.WhyNot,
                    said
                )
            ),
        ];
        return Counted(PictureKind.Lands, name, about, reading.Judged, size, sites, reading.Findings, "lands");
    }

    // Distance of neighbours in a row, for the size of marks.
    private static double Step(IReadOnlyList<LandSite> lands)
    {
        for (int i = 1; i < lands.Count; i++)
        {
            if (lands[i].Row == lands[i - 1].Row && lands[i].Column == lands[i - 1].Column + 1)
            {
                return Math.Sqrt(
                    Math.Pow(lands[i].XPx - lands[i - 1].XPx, 2) + Math.Pow(lands[i].YPx - lands[i - 1].YPx, 2)
                );
            }
        }
        return 24;
    }
}
