using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Core.Jobs;
using Graftbench.Vision.Answering;
using Graftbench.Vision.BeforeAfter;
using Graftbench.Vision.Lands;
using Graftbench.Vision.Pictures;

namespace Graftbench.Web.Inspecting;

internal static partial class PictureMeasuring
{
    /// <summary>Cleaned lands.</summary>
    public static PictureAnswer Lands(
        JobPicture picture,
        Picture pixels,
        BallField field,
        PictureCorner? corner,
        IReadOnlyDictionary<string, LandUse> uses
    )
    {
        LandReading reading = LandReader.Read(new LandRequest(pixels, picture.Name, field, corner, uses));
        (int, int) size = (pixels.WidthPx, pixels.HeightPx);
        return new PictureAnswer(
            pixels.WidthPx,
            pixels.HeightPx,
            said => SeenPictures.Of(picture.About, picture.Name, size, reading, said)
        );
    }

    // The board after the heat against the picture before it; the chip's own place is expected to change.
    private static PictureAnswer After(JobPicture picture, Picture pixels, Picture? before)
    {
        (int, int) size = (pixels.WidthPx, pixels.HeightPx);
        if (before is null)
        {
            return Said(
                picture,
                size,
                false,
                "There is no picture of the board before the heat.",
                [],
                [
                    Finding(
                        "board.no-before",
                        picture,
                        Verdict.Unknown,
                        "What moved or vanished can only be seen against a picture from before.",
                        "Add a picture of the board from before the heat, from the same side."
                    ),
                ]
            );
        }
        // What is seen is told in the picture after, so that it can be drawn there.
        BoardComparison found = BoardComparer.Compare(new ComparisonRequest(pixels, before, [], []));
        return Said(
            picture,
            size,
            found.Registered,
            found.Answer,
            [
                .. found.Areas.Select(area => new SeenLine(
                    $"changed, {Math.Round(100 * area.ConfidenceFraction)} % sure",
                    [
                        (area.Area.LeftPx, area.Area.TopPx),
                        (area.Area.LeftPx + area.Area.WidthPx, area.Area.TopPx),
                        (area.Area.LeftPx + area.Area.WidthPx, area.Area.TopPx + area.Area.HeightPx),
                        (area.Area.LeftPx, area.Area.TopPx + area.Area.HeightPx),
                    ],
                    true,
                    Verdict.Warning
                )),
            ],
            found.Findings
        );
    }
}
