using System.CommandLine;
using System.Text.Json;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Core.Planning;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Xray;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench voids</c>: voids, joined, missing and odd joints in an X-ray picture.</summary>
internal static class VoidsVerb
{
    private const string StandardInput = "-";

    public static Command Create()
    {
        Argument<string> file = new("PICTURE")
        {
            Description = "The X-ray picture (PNG of 8 or 16 bits, JPEG and others).",
        };
        Option<int> rows = Side("--rows", "Rows of the ball field.");
        Option<int> columns = Side("--columns", "Columns of the ball field.");
        Option<double?> pitch = Verb.Number("--pitch", "Pitch of the balls, in mm.");
        Option<int> emptyRows = new("--empty-rows")
        {
            Description = "Rows without balls in the middle.",
            HelpName = "NUMBER",
        };
        Option<int> emptyColumns = new("--empty-columns")
        {
            Description = "Columns without balls in the middle.",
            HelpName = "NUMBER",
        };
        Option<string> view = new("--view")
        {
            Description = "Side the picture was taken from.",
            DefaultValueFactory = _ => "top",
        };
        view.AcceptOnlyFromAmong("top", "bottom");
        Option<string?> a1 = new("--a1")
        {
            Description = "Corner of the picture where A1 lies; needed where the field looks the same turned.",
        };
        a1.AcceptOnlyFromAmong("upper-left", "upper-right", "lower-right", "lower-left");
        Option<string> criterion = new("--criterion")
        {
            Description = "Limit for void area, with its revision.",
            DefaultValueFactory = _ => InspectionFacts.UsualVoidLimit,
        };
        criterion.AcceptOnlyFromAmong([.. InspectionFacts.VoidLimits.Select(limit => limit.Name)]);
        Option<string?> marked = new("--output", "-o")
        {
            Description = "Writes the picture with every joint marked (PNG).",
            HelpName = "FILE",
        };
        Option<bool> json = new("--json") { Description = "Prints the answer as JSON." };
        Command verb = new("voids", "Reads voids, joined, missing and odd joints from an X-ray picture.")
        {
            file,
            rows,
            columns,
            pitch,
            emptyRows,
            emptyColumns,
            view,
            a1,
            criterion,
            marked,
            json,
        };
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(async () =>
                {
                    string path = parsed.GetValue(file)!;
                    string? output = parsed.GetValue(marked);
                    if (output is not null)
                    {
                        WholeFile.RefuseInput(output, path);
                    }
                    BallField field = Field(
                        parsed.GetValue(rows),
                        parsed.GetValue(columns),
                        parsed.GetValue(emptyRows),
                        parsed.GetValue(emptyColumns),
                        parsed.GetValue(pitch)
                    );
                    XrayRequest request = new(
                        Read(path),
                        path == StandardInput ? "standard input" : path,
                        field,
                        parsed.GetValue(view) == "bottom" ? BallView.Bottom : BallView.Top,
                        InspectionFacts.FindVoidLimit(parsed.GetValue(criterion)!)!,
                        Corner(parsed.GetValue(a1))
                    );
                    XrayReading reading = XrayReader.Read(request, cancel);
                    if (output is not null)
                    {
                        await WholeFile.WriteAsync(output, XrayMarking.Png(request.Picture, reading), cancel);
                    }
                    Console.Out.Write(
                        parsed.GetValue(json)
                            ? JsonSerializer.Serialize(reading, PlanJson.Options) + "\n"
                            : VoidsText.Of(reading)
                    );
                    // What cannot be judged is no good news either.
                    return
                        !reading.Judged
                        || reading.Findings.Any(one =>
                            one.Verdict <= Verdict.FixFirst
                            || (one.Verdict == Verdict.Unknown && one.Code != XrayReading.NotPromisedCode)
                        )
                        ? ExitCode.FixFirst
                        : ExitCode.Ok;
                })
        );
        return verb.WithExample(
            "graftbench voids joints.png --rows 16 --columns 16 --pitch 0.8 --a1 upper-left -o marked.png",
            "every joint against 25 % void area; exit 0: every joint is there and inside the limit, 1: some are not or cannot be judged, 2: bad input"
        );
    }

    private static Option<int> Side(string name, string description)
    {
        Option<int> option = new(name)
        {
            Description = description,
            HelpName = "NUMBER",
            Required = true,
        };
        return option;
    }

    private static BallField Field(int rows, int columns, int emptyRows, int emptyColumns, double? pitch)
    {
        List<string> wrong = [];
        void Within(string name, int value, int least, int most)
        {
            if (value < least || value > most)
            {
                wrong.Add($"{name} {value}: must be from {least} to {most}.");
            }
        }
        Within("--rows", rows, 3, BallField.MaxSide);
        Within("--columns", columns, 3, BallField.MaxSide);
        Within("--empty-rows", emptyRows, 0, Math.Max(0, rows - 1));
        Within("--empty-columns", emptyColumns, 0, Math.Max(0, columns - 1));
        if (emptyRows > 0 != emptyColumns > 0)
        {
            wrong.Add("Give --empty-rows and --empty-columns together.");
        }
        if (pitch is null)
        {
            wrong.Add("--pitch is missing.");
        }
        else if (pitch is not (>= 0.1 and <= 5))
        {
            wrong.Add($"--pitch {pitch}: must be from 0.1 to 5 mm.");
        }
        return wrong.Count > 0
            ? throw new BadInputException(string.Join('\n', wrong))
            : BallField.WithEmptyMiddle(rows, columns, emptyRows, emptyColumns, pitch!.Value);
    }

    private static Picture Read(string path)
    {
        byte[] bytes;
        try
        {
            if (path == StandardInput)
            {
                using MemoryStream memory = new();
                using Stream input = Console.OpenStandardInput();
                byte[] part = new byte[1 << 16];
                int got;
                // One byte over the limit is enough to refuse it.
                while (memory.Length <= PictureLimits.MaxBytes && (got = input.Read(part)) > 0)
                {
                    memory.Write(part, 0, got);
                }
                bytes = memory.ToArray();
            }
            else
            {
                FileInfo info = new(path);
                if (info.Exists && info.Length > PictureLimits.MaxBytes)
                {
                    throw new BadInputException(
                        $"{path}: the file is too large, {info.Length / 1048576} MiB; at most {PictureLimits.MaxBytes / 1048576} MiB are read."
                    );
                }
                bytes = File.ReadAllBytes(path);
            }
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException or ArgumentException)
        {
            throw new BadInputException(JobInput.Unreachable(path, error));
        }
        PictureReading reading = PictureReader.Read(bytes, path);
        return reading.Picture
            ?? throw new BadInputException(
                string.Join('\n', reading.Findings.Select(finding => $"{path}: {finding.What} {finding.Todo}"))
            );
    }

    private static PictureCorner? Corner(string? name) =>
        name switch
        {
            "upper-left" => PictureCorner.UpperLeft,
            "upper-right" => PictureCorner.UpperRight,
            "lower-right" => PictureCorner.LowerRight,
            "lower-left" => PictureCorner.LowerLeft,
            _ => null,
        };
}
