using System.CommandLine;
using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Core.Jobs;
using Graftbench.Vision.Balls;
using Graftbench.Vision.Marking;
using Graftbench.Vision.Pictures;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench balls</c>: is every ball there, in pictures of the underside or of the stencil.</summary>
internal static class BallsVerb
{
    private const int MostPictures = 12;

    private static readonly Argument<string[]> Pictures = new("PICTURE")
    {
        Description = "Pictures of one chip: JPEG, PNG, WebP, BMP or GIF.",
        Arity = ArgumentArity.OneOrMore,
    };
    private static readonly Option<double?> Rows = Verb.Number(
        "--rows",
        "Rows of the ball field, empty sites included."
    );
    private static readonly Option<double?> Columns = Verb.Number("--columns", "Columns of the ball field.");
    private static readonly Option<double?> Pitch = Verb.Number("--pitch", "Pitch, in mm.");
    private static readonly Option<double?> Ball = Verb.Number("--ball", "Nominal diameter of the balls, in mm.");
    private static readonly Option<string?> Absent = new("--absent")
    {
        Description = "Sites without a ball: names with commas; F6:K11 for a block.",
        HelpName = "NAMES",
    };
    private static readonly Option<string?> BallListFile = new("--ball-list")
    {
        Description = "File with the names of all balls, instead of --absent.",
        HelpName = "FILE",
    };
    private static readonly Option<string?> Letters = new("--letters")
    {
        Description = "Letters of the rows; ABCDEFGHJKLMNPRTUVWY if left out.",
        HelpName = "LETTERS",
    };
    private static readonly Option<string?> JobFile = new("--job")
    {
        Description = "Job document that has the chip, instead of rows, columns and pitch.",
        HelpName = "FILE",
    };
    private static readonly Option<string?> Chip = new("--chip")
    {
        Description = "Name of the chip in the job; may be left out where it has one.",
        HelpName = "NAME",
    };
    private static readonly Option<string> View = new("--view")
    {
        Description = "From where: bottom (underside, balls up), top (through the package) or stencil.",
        HelpName = "VIEW",
        DefaultValueFactory = _ => "bottom",
    };
    private static readonly Option<string?> A1 = new("--a1")
    {
        Description = "Where A1 lies in the picture: upper-left, upper-right, lower-left or lower-right.",
        HelpName = "CORNER",
    };
    private static readonly Option<string?> Output = new("--output", "-o")
    {
        Description = "Writes the marked picture as PNG; with several pictures a number is added to the name.",
        HelpName = "FILE",
    };
    private static readonly Option<bool> Json = new("--json") { Description = "Prints the answer as JSON." };

    public static Command Create()
    {
        Command verb = new("balls", "Checks in pictures of a chip's underside or stencil whether every ball is there.")
        {
            Pictures,
            Rows,
            Columns,
            Pitch,
            Ball,
            Absent,
            BallListFile,
            Letters,
            JobFile,
            Chip,
            View,
            A1,
            Output,
            Json,
        };
        verb.SetAction((parsed, cancel) => Verb.RunAsync(() => RunAsync(parsed, cancel)));
        return verb.WithExample(
            "graftbench balls underside.jpg --rows 26 --columns 26 --pitch 1.0 --absent A1,K10:R17 -o marked.png",
            "every site by name: present, missing, undersized, off-centre, joined or cannot judge; exit 0: all there, 1: not all sure to be there, 2: bad input"
        );
    }

    private static async Task<int> RunAsync(ParseResult parsed, CancellationToken cancel)
    {
        List<string> wrong = [];
        BallField? field = BallFieldInput.Read(
            new FieldOptions(
                parsed.GetValue(Rows),
                parsed.GetValue(Columns),
                parsed.GetValue(Pitch),
                parsed.GetValue(Ball),
                parsed.GetValue(Absent),
                parsed.GetValue(BallListFile),
                parsed.GetValue(Letters),
                parsed.GetValue(JobFile),
                parsed.GetValue(Chip)
            ),
            wrong
        );
        BallView? view = ViewOf(parsed.GetValue(View)!, wrong);
        PictureCorner? corner = CornerOf(parsed.GetValue(A1), wrong);
        string[] paths = parsed.GetValue(Pictures)!;
        string? output = parsed.GetValue(Output);
        if (paths.Length > MostPictures)
        {
            wrong.Add($"{paths.Length} pictures: at most {MostPictures} are taken together.");
        }
        foreach (string path in paths.Where(_ => output is not null))
        {
            WholeFile.RefuseInput(output!, path);
        }
        List<(string Path, byte[] Bytes)> files = [];
        foreach (string path in paths.Take(MostPictures))
        {
            if (PictureFile.Bytes(path, wrong) is { } bytes)
            {
                files.Add((path, bytes));
            }
        }
        List<BallReport> reports = [];
        List<byte[]> marked = [];
        foreach ((string path, byte[] bytes) in files)
        {
            cancel.ThrowIfCancellationRequested();
            PictureReading reading = PictureReader.Read(bytes, path);
            if (reading.Picture is null)
            {
                wrong.AddRange(reading.Findings.Select(Line));
            }
            else if (wrong.Count == 0)
            {
                BallReport report = BallCheck.Check(
                    reading.Picture,
                    path,
                    new BallRequest(field!, view!.Value, corner)
                );
                reports.Add(report with { Findings = [.. report.Findings, .. reading.Findings] });
                if (output is not null)
                {
                    marked.Add(BallMarking.Png(reading.Picture, report));
                }
            }
        }
        if (wrong.Count > 0)
        {
            throw new BadInputException(string.Join('\n', wrong));
        }
        for (int at = 0; at < marked.Count; at++)
        {
            await WholeFile.WriteAsync(Numbered(output!, at, files.Count), marked[at], cancel);
        }
        BallAnswer answer = BallAnswer.Of(field!, reports);
        Console.Out.Write(parsed.GetValue(Json) ? BallAnswerJson.Write(answer) + "\n" : BallText.Of(field!, answer));
        return answer.AllThere ? ExitCode.Ok : ExitCode.FixFirst;
    }

    private static string Line(Finding finding) =>
        $"{finding.Where}: {finding.What}"
        + (finding.Value is null ? "" : $" Found {finding.Value}.")
        + (finding.Limit is null ? "" : $" Allowed {finding.Limit}.")
        + (finding.Todo is null ? "" : $" {finding.Todo}");

    private static string Numbered(string path, int at, int count) =>
        count == 1
            ? path
            : Path.Combine(
                Path.GetDirectoryName(path) ?? "",
                $"{Path.GetFileNameWithoutExtension(path)}-{at + 1}{Path.GetExtension(path)}"
            );

    private static BallView? ViewOf(string given, List<string> wrong)
    {
        switch (given)
        {
            case "bottom":
                return BallView.Bottom;
            case "top":
                return BallView.Top;
            case "stencil":
                return BallView.Stencil;
            default:
                wrong.Add($"--view {given}: must be bottom, top or stencil.");
                return null;
        }
    }

    private static PictureCorner? CornerOf(string? given, List<string> wrong)
    {
        switch (given)
        {
            case null:
                return null;
            case "upper-left":
                return PictureCorner.UpperLeft;
            case "upper-right":
                return PictureCorner.UpperRight;
            case "lower-left":
                return PictureCorner.LowerLeft;
            case "lower-right":
                return PictureCorner.LowerRight;
            default:
                wrong.Add($"--a1 {given}: must be upper-left, upper-right, lower-left or lower-right.");
                return null;
        }
    }
}
