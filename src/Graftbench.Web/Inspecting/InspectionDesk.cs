using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Fit;
using Graftbench.Core.Inspection;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Store;
using Graftbench.Vision.Answering;
using Graftbench.Vision.Balls;
using Graftbench.Vision.Lands;
using Graftbench.Vision.Marking;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.SideView;
using Graftbench.Vision.Xray;
using Graftbench.Web.Desk;
using Graftbench.Web.Fitting;
using Graftbench.Web.Imaging;
using Graftbench.Web.Seating;

namespace Graftbench.Web.Inspecting;

/// <summary>What a picture reader made of a file; corrections are laid over it afterwards.</summary>
/// <param name="WidthPx">Width as looked at, 0 where it could not be read [px].</param>
/// <param name="HeightPx">Height as looked at [px].</param>
/// <param name="Seen">What counts, given what persons say by name of the site.</param>
public sealed record PictureAnswer(
    int WidthPx,
    int HeightPx,
    Func<IReadOnlyDictionary<string, string>, SeenPicture> Seen
);

/// <summary>Looks at the pictures of jobs, each once for the same bytes and question, one at a time so that memory stays bounded.</summary>
/// <param name="store">Where the pictures lie.</param>
/// <param name="joints">What gap the joint seat expects.</param>
/// <param name="fit">Ball lists: which sites have a ball, what lands carry.</param>
/// <param name="book">Lines of records.</param>
public sealed class InspectionDesk(BenchStore store, JointDesk joints, FitDesk fit, RecordBook book) : IDisposable
{
    private readonly AnswerMemo<PictureAnswer> answers = new(48);
    private readonly AnswerMemo<byte[]> shown = new(12);
    private readonly Lock oneAtATime = new();

    // For pages of many jobs, which wait for nothing.
    private readonly PlanDesk<PictureAnswer> background = new("look at a picture");

    /// <summary>Rises with every picture that was looked at in the background.</summary>
    public int Version => background.Version;

    /// <summary>Pictures of a job, oldest first.</summary>
    public IReadOnlyList<JobPicture> Pictures(string jobId) => book.Of(jobId, JobPicture.Of);

    /// <summary>The picture for the screen; null where it cannot be read.</summary>
    public byte[]? Jpeg(JobPicture picture)
    {
        ArgumentNullException.ThrowIfNull(picture);
        byte[] made = shown.Get(
            picture.Sha256,
            () =>
            {
                lock (oneAtATime)
                {
                    return Read(picture).Picture is { } read ? ShownPicture.Jpeg(read) : [];
                }
            }
        );
        return made.Length > 0 ? made : null;
    }

    /// <summary>The picture with its marks, persons' words included; null where it cannot be read or judged.</summary>
    public byte[]? Marked(Job job, JobPicture picture)
    {
        SeenPicture seen = Seen(job, picture);
        lock (oneAtATime)
        {
            return seen.Judged && Read(picture).Picture is { } pixels ? SeenMarking.Png(pixels, seen) : null;
        }
    }

    /// <summary>Why a file cannot be taken as a picture, and what to do; null where it can.</summary>
    public string? WhyNot(byte[] file, string name)
    {
        lock (oneAtATime)
        {
            PictureReading read = PictureReader.Read(file, name);
            return read.Picture is not null ? null
                : read.Findings is [{ } first, ..]
                    ? $"{first.What} {first.Value} {first.Limit} {first.Todo}".Replace(
                        "  ",
                        " ",
                        StringComparison.Ordinal
                    )
                : "It is no picture that can be read here.";
        }
    }

    /// <summary>What a picture says, looked at here and now where it was not.</summary>
    public SeenPicture Seen(Job job, JobPicture picture)
    {
        ArgumentNullException.ThrowIfNull(job);
        ArgumentNullException.ThrowIfNull(picture);
        return answers.Get(Key(job, picture), () => Look(job, picture)).Seen(picture.Said);
    }

    /// <summary>The answer to question 6 for a page that waits for nothing; null without pictures, or while one is looked at.</summary>
    public QuestionSummary? Summary(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        List<SeenPicture> seen = [];
        bool waits = false;
        foreach (JobPicture picture in Pictures(job.Id).Where(picture => !picture.SetAside))
        {
            string key = Key(job, picture);
            if (answers.Find(key) is { } known)
            {
                seen.Add(known.Seen(picture.Said));
            }
            else if (background.Request(key, (_, _) => answers.Get(key, () => Look(job, picture))).Plan is { } made)
            {
                seen.Add(made.Seen(picture.Said));
            }
            else
            {
                waits = true;
            }
        }
        return waits ? null : InspectionQuestion.Answer(seen);
    }

    /// <summary>The answer to question 6, with every picture looked at here and now.</summary>
    public QuestionSummary? Answer(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        return InspectionQuestion.Answer([
            .. Pictures(job.Id).Where(picture => !picture.SetAside).Select(picture => Seen(job, picture)),
        ]);
    }

    /// <summary>Stops what runs in the background.</summary>
    public void Dispose() => background.Dispose();

    private PictureReading Read(JobPicture picture)
    {
        byte[] bytes = store.FindFile(picture.Sha256)?.Bytes ?? throw store.WhyNoFile("A picture", picture.Sha256);
        return PictureReader.Read(bytes, picture.Name);
    }

    // A picture may hold anything: what it breaks must stay with it, never take the other pictures of the job along.
    private PictureAnswer Look(Job job, JobPicture picture)
    {
        try
        {
            return LookAt(job, picture);
        }
        catch (Exception fault)
            when (fault is not (StoreException or OperationCanceledException or OutOfMemoryException))
        {
            return Refused(
                picture,
                (0, 0),
                [
                    new Finding(
                        Verdict.Unknown,
                        "picture.fault",
                        picture.About,
                        $"This picture could not be looked at: a fault of this program ({fault.GetType().Name}).",
                        Source: "common-practice",
                        Todo: "Set it aside, and take another picture."
                    ),
                ]
            );
        }
    }

    private PictureAnswer LookAt(Job job, JobPicture picture)
    {
        lock (oneAtATime)
        {
            PictureReading read = Read(picture);
            if (read.Picture is not { } pixels)
            {
                return Refused(picture, (0, 0), read.Findings);
            }
            (int, int) size = (pixels.WidthPx, pixels.HeightPx);
            return picture.Kind switch
            {
                PictureKind.Balls or PictureKind.Stencil or PictureKind.Xray or PictureKind.Lands => OfField(
                    job,
                    picture,
                    pixels,
                    size
                ),
                _ => PictureMeasuring.Look(job, picture, pixels, BeforeOf(job, picture), Expected(job, picture)),
            };
        }
    }

    private PictureAnswer OfField(Job job, JobPicture picture, Picture pixels, (int WidthPx, int HeightPx) size)
    {
        Chip? chip = job.Chips.FirstOrDefault(one => one.Id == picture.Chip);
        ChipField known = chip is null
            ? new ChipField(null, "The job has no such chip any more.")
            : ChipFields.Of(chip, fit.List(chip.BallList, $"chip {chip.Id}")?.Map);
        if (known.Field is not { } field)
        {
            return Refused(
                picture,
                size,
                [
                    new Finding(
                        Verdict.Unknown,
                        "picture.field",
                        picture.About,
                        known.Missing!,
                        Source: "common-practice",
                        Todo: "Complete the chip in the job, then open this picture again."
                    ),
                ]
            );
        }
        switch (picture.Kind)
        {
            case PictureKind.Xray:
                XrayReading xray = XrayReader.Read(
                    new XrayRequest(
                        pixels,
                        picture.Name,
                        field,
                        picture.View,
                        InspectionFacts.FindVoidLimit(picture.VoidLimit ?? InspectionFacts.UsualVoidLimit)
                            ?? InspectionFacts.FindVoidLimit(InspectionFacts.UsualVoidLimit)!,
                        Corner(picture.A1)
                    )
                );
                return new PictureAnswer(
                    size.WidthPx,
                    size.HeightPx,
                    said => SeenPictures.Of(picture.About, picture.Name, size, xray, said)
                );
            case PictureKind.Lands:
                return PictureMeasuring.Lands(picture, pixels, field, Corner(picture.A1), Uses(job, chip!));
            default:
                BallReport balls = BallCheck.Check(
                    pixels,
                    picture.Name,
                    new BallRequest(field, picture.View, Corner(picture.A1))
                );
                return new PictureAnswer(
                    size.WidthPx,
                    size.HeightPx,
                    said => SeenPictures.Of(picture.Kind, picture.About, balls, said)
                );
        }
    }

    // Lands are the board's: its own list tells what they carry, else that of the chip that goes there.
    private IReadOnlyDictionary<string, LandUse> Uses(Job job, Chip chip) =>
        (fit.List(FitPlanner.HostList(job, chip), "host") ?? fit.List(chip.BallList, $"chip {chip.Id}"))?.Map is { } map
            ? LandUses.Of(map)
            : new Dictionary<string, LandUse>(StringComparer.Ordinal);

    private ExpectedStandoff? Expected(Job job, JobPicture picture) =>
        picture is { Kind: PictureKind.Side, Chip: { } chip }
            ? ExpectedStandoff.Of(joints.Status(job, chip).Plan)
            : null;

    // The picture of the board before the heat that an "after" is held against: the last one before it.
    private Picture? BeforeOf(Job job, JobPicture picture) =>
        picture.Kind == PictureKind.After
        && Pictures(job.Id).LastOrDefault(one => one is { Kind: PictureKind.Before, SetAside: false }) is { } before
            ? Read(before).Picture
            : null;

    internal static PictureAnswer Refused(
        JobPicture picture,
        (int WidthPx, int HeightPx) size,
        IReadOnlyList<Finding> findings
    ) =>
        new(
            size.WidthPx,
            size.HeightPx,
            _ => new SeenPicture(
                picture.Kind,
                picture.Name,
                picture.About,
                false,
                findings.Count > 0 ? findings[0].What : "This picture cannot be judged.",
                size.WidthPx,
                size.HeightPx,
                [],
                findings
            )
        );

    private static PictureCorner? Corner(string? name) =>
        Enum.GetValues<PictureCorner>()
            .Where(corner => Forms.FieldWords.NameOf(corner) == name)
            .Select(corner => (PictureCorner?)corner)
            .FirstOrDefault();

    private string Key(Job job, JobPicture picture)
    {
        Chip? chip = job.Chips.FirstOrDefault(one => one.Id == picture.Chip);
        string before =
            picture.Kind == PictureKind.After
                ? Pictures(job.Id).LastOrDefault(one => one is { Kind: PictureKind.Before, SetAside: false })?.Sha256
                    ?? ""
                : "";
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{picture.Sha256}|{picture.Name}|{picture.Kind}|{picture.View}|{picture.A1}|{picture.VoidLimit}|{picture.Chip}|{chip?.Rows}|{chip?.Columns}|{chip?.PitchMm}|{chip?.BallDiameterMm}|{chip?.BallCount}|{chip?.Seat?.EmptyRows}|{chip?.Seat?.EmptyColumns}|{chip?.Seat?.BoardPadMm}|{before}|{picture.Side}|{string.Join(',', picture.Places.OrderBy(one => one.Key, StringComparer.Ordinal).Select(one => $"{one.Key}={string.Join(' ', one.Value)}"))}|{string.Join(',', picture.LengthsMm.OrderBy(one => one.Key, StringComparer.Ordinal).Select(one => $"{one.Key}={one.Value}"))}|{Expected(job, picture)}|{chip?.BodyLengthMm}|{chip?.BodyWidthMm}|{chip?.BodyThicknessMm}|{chip?.BallList}|{(chip is null ? null : FitPlanner.HostList(job, chip))}"
        );
    }
}
