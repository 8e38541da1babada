using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Core.Jobs;
using Graftbench.Vision.Answering;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Placing;
using Graftbench.Vision.Planes;
using Graftbench.Vision.SideView;
using static System.FormattableString;

namespace Graftbench.Web.Inspecting;

/// <summary>A place that is to be clicked in a picture, or a length that goes with it.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Words">What is clicked or measured.</param>
/// <param name="Needed">Whether it must be there.</param>
public sealed record AskedPlace(string Id, string Words, bool Needed = true);

/// <summary>Pictures in which a person marks places: the side of a package, a body on its lands.</summary>
internal static partial class PictureMeasuring
{
    private const double SharpestRowMm = 1e-3;
    private const string Practice = "common-practice";

    /// <summary>Places that a kind of picture needs, in the order in which they are clicked.</summary>
    public static IReadOnlyList<AskedPlace> Places(PictureKind kind) =>
        kind switch
        {
            PictureKind.Side =>
            [
                new("package-left", "package, lower edge, left corner"),
                new("package-right", "package, lower edge, right corner"),
                new("board-left", "board's surface below the left corner"),
                new("board-right", "board's surface below the right corner"),
                new("known-from", "known length, one end"),
                new("known-to", "known length, other end"),
            ],
            PictureKind.Placed =>
            [
                new("corner-1", "body, corner A1"),
                new("corner-2", "body, next corner clockwise"),
                new("corner-3", "body, next corner clockwise"),
                new("corner-4", "body, last corner"),
                new("mark-1", "mark 1 on the board"),
                new("mark-2", "mark 2 on the board"),
                new("mark-3", "mark 3 on the board", false),
                new("mark-4", "mark 4 on the board", false),
            ],
            _ => [],
        };

    /// <summary>Lengths that go with them [mm].</summary>
    public static IReadOnlyList<AskedPlace> Lengths(PictureKind kind) =>
        kind switch
        {
            PictureKind.Side => [new("known", "known length: thickness or edge of the body")],
            PictureKind.Placed =>
            [
                .. Enumerable
                    .Range(1, 4)
                    .SelectMany(i =>
                        new AskedPlace[]
                        {
                            new(Invariant($"mark-{i}-x"), Invariant($"mark {i} from the board's left edge"), i < 3),
                            new(Invariant($"mark-{i}-y"), Invariant($"mark {i} from the board's lower edge"), i < 3),
                        }
                    ),
            ],
            _ => [],
        };

    /// <summary>What such a picture says.</summary>
    public static PictureAnswer Look(
        Job job,
        JobPicture picture,
        Picture pixels,
        Picture? before,
        ExpectedStandoff? expected
    )
    {
        (int, int) size = (pixels.WidthPx, pixels.HeightPx);
        if (picture.Kind == PictureKind.Before)
        {
            return Said(picture, size, true, "Kept to be compared with the board after the heat.", [], []);
        }
        if (picture.Kind == PictureKind.After)
        {
            return After(picture, pixels, before);
        }
        List<string> missing =
        [
            .. Places(picture.Kind)
                .Where(one => one.Needed && !picture.Places.ContainsKey(one.Id))
                .Select(one => one.Words),
            .. Lengths(picture.Kind)
                .Where(one => one.Needed && !picture.LengthsMm.ContainsKey(one.Id))
                .Select(one => one.Words),
        ];
        if (missing.Count > 0)
        {
            return Said(
                picture,
                size,
                false,
                Invariant($"Mark the places first: {missing.Count} still to be given."),
                [],
                [
                    Finding(
                        "picture.to-mark",
                        picture,
                        Verdict.Unknown,
                        $"Not measured yet: {missing[0]} and what follows it.",
                        "Mark the places in the picture and give the lengths."
                    ),
                ]
            );
        }
        try
        {
            return picture.Kind == PictureKind.Side ? Side(picture, pixels, expected) : Placed(job, picture, pixels);
        }
        catch (ArgumentException wrong)
        {
            return Said(
                picture,
                size,
                false,
                "The places do not go together.",
                [],
                [Finding("picture.places", picture, Verdict.Unknown, Plain(wrong), "Mark the places again.")]
            );
        }
    }

    private static PictureAnswer Side(JobPicture picture, Picture pixels, ExpectedStandoff? expected)
    {
        PicturePoint At(string id) => Point(picture, id);
        SideViewReading reading = SideViewReader.Measure(
            new SideViewRequest(
                pixels,
                picture.Side ?? "one side",
                At("package-left"),
                At("package-right"),
                At("board-left"),
                At("board-right"),
                new KnownLength(At("known-from"), At("known-to"), picture.LengthsMm["known"])
            )
        );
        SeatReading seat = SeatCheck.Of([reading], expected);
        string gaps = string.Join(
            ", ",
            reading.Gaps.Select(gap => Invariant($"{gap.GapMm:0.000} ± {gap.UncertaintyMm:0.000}"))
        );
        return Said(
            picture,
            (pixels.WidthPx, pixels.HeightPx),
            reading.Judged,
            reading.Judged
                ? $"Gap at left corner, middle, right corner: {gaps} mm. {seat.Answer}"
                : $"Cannot be judged: {reading.WhyNot}.",
            [
                Line(picture, "package's edge", "package-left", "package-right"),
                Line(picture, "board's edge", "board-left", "board-right"),
                Line(picture, "known length", "known-from", "known-to"),
            ],
            [.. seat.Findings, Finding("side.caveat", picture, Verdict.Warning, reading.Caveat, null)]
        );
    }

    private static PictureAnswer Placed(Job job, JobPicture picture, Picture pixels)
    {
        Chip? chip = job.Chips.FirstOrDefault(one => one.Id == picture.Chip);
        ChipField known = chip is null
            ? new ChipField(null, "The job has no such chip any more.")
            : ChipFields.Of(chip);
        ChipSite? site = chip is null ? null : ChipSites.At(job, chip, ChipPlace.Host);
        if (chip is null || known.Field is not { } field || site is null || chip.Seat?.BoardPadMm is not { } land)
        {
            string missing =
                known.Missing
                ?? (
                    site is null
                        ? "The job does not say where on the host the chip belongs."
                        : "The job does not say how wide the lands are (seat: what solder wets on the board)."
                );
            return Said(
                picture,
                (pixels.WidthPx, pixels.HeightPx),
                false,
                missing,
                [],
                [Finding("picture.placing", picture, Verdict.Unknown, missing, "Complete the chip in the job.")]
            );
        }
        BoardMark[] marks =
        [
            .. Enumerable
                .Range(1, 4)
                .Where(i =>
                    picture.Places.ContainsKey(Invariant($"mark-{i}"))
                    && picture.LengthsMm.ContainsKey(Invariant($"mark-{i}-x"))
                    && picture.LengthsMm.ContainsKey(Invariant($"mark-{i}-y"))
                )
                .Select(i => new BoardMark(
                    Point(picture, Invariant($"mark-{i}")),
                    picture.LengthsMm[Invariant($"mark-{i}-x")],
                    picture.LengthsMm[Invariant($"mark-{i}-y")]
                )),
        ];
        PlacingReading reading = PlacingCheck.Check(
            new PlacingRequest(
                [.. Enumerable.Range(1, 4).Select(i => Point(picture, Invariant($"corner-{i}")))],
                chip.BodyLengthMm,
                chip.BodyWidthMm,
                site.XMm,
                site.YMm,
                site.RotationDeg,
                marks,
                Math.Max(SharpestRowMm, (field.Columns - 1) * field.PitchMm),
                Math.Max(SharpestRowMm, (field.Rows - 1) * field.PitchMm),
                land,
                BodyHeightMm: chip.BodyThicknessMm + (chip.StandoffMm ?? chip.BallDiameterMm ?? 0),
                Picture: pixels
            )
        );
        return Said(
            picture,
            (pixels.WidthPx, pixels.HeightPx),
            reading.Judged,
            reading.Answer,
            [new SeenLine("body", [.. reading.Corners.Select(corner => (corner.XPx, corner.YPx))], true, null)],
            reading.Findings
        );
    }

    private static PicturePoint Point(JobPicture picture, string id) =>
        picture.Places[id] is [double x, double y]
            ? new PicturePoint(x, y)
            : throw new ArgumentException($"{id} is no place.", nameof(picture));

    private static SeenLine Line(JobPicture picture, string words, string from, string to)
    {
        PicturePoint a = Point(picture, from);
        PicturePoint b = Point(picture, to);
        return new SeenLine(words, [(a.XPx, a.YPx), (b.XPx, b.YPx)], false, null);
    }

    private static Finding Finding(string code, JobPicture picture, Verdict verdict, string what, string? todo) =>
        new(verdict, code, picture.About, what, Source: Practice, Todo: todo);

    private static PictureAnswer Said(
        JobPicture picture,
        (int WidthPx, int HeightPx) size,
        bool judged,
        string answer,
        IReadOnlyList<SeenLine> lines,
        IReadOnlyList<Finding> findings
    ) =>
        new(
            size.WidthPx,
            size.HeightPx,
            _ => new SeenPicture(
                picture.Kind,
                picture.Name,
                picture.Side is { } side ? $"{picture.About}, {side}" : picture.About,
                judged,
                answer,
                size.WidthPx,
                size.HeightPx,
                [],
                Core.Findings.Finding.WorstFirst(findings)
            )
            {
                Lines = lines,
            }
        );

    // Without the name of the parameter, which says nothing to a technician.
    private static string Plain(ArgumentException wrong)
    {
        int at = wrong.Message.IndexOf(" (Parameter", StringComparison.Ordinal);
        return at > 0 ? wrong.Message[..at] : wrong.Message;
    }
}
