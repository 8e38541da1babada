using System.CommandLine;
using System.Globalization;
using Graftbench.Core.Drying;
using Graftbench.Core.Jobs;

namespace Graftbench.Cli.Verbs;

/// <summary>The options that describe a single body without a job, and the small job that they stand for.</summary>
internal sealed class BodyOptions
{
    /// <summary>Id of the chip in that job.</summary>
    public const string ChipId = "body";

    private const double DefaultBodyMm = 15;

    private readonly Option<double?> thickness = Verb.Number(
        "--thickness-mm",
        "Thickness of the body without balls [mm]."
    );
    private readonly Option<string?> level = new("--level")
    {
        Description = "Moisture level: 1, 2, 2a, 3, 4, 5, 5a, 6 or unknown.",
    };
    private readonly Option<double?> at = Verb.Number("--at-c", "Temperature of the dryer [°C].");
    private readonly Option<double?> room = Verb.Number(
        "--room-c",
        "Temperature of the room, for a dryer that heats room air [°C]."
    );
    private readonly Option<double?> roomHumidity = Verb.Number(
        "--room-humidity",
        "Relative humidity of the room [% RH]."
    );
    private readonly Option<double?> humidity = Verb.Number(
        "--humidity",
        "Relative humidity inside the dryer, where it is known [% RH]."
    );
    private readonly Option<string?> size = new("--body-mm")
    {
        Description = "Length and width of the body [mm]; 15x15 if left out, below the row of large bodies.",
        HelpName = "LxW",
    };
    private readonly Option<string?> planes = new("--planes")
    {
        Description = "Whether the substrate has solid planes: yes, no or unknown.",
    };
    private readonly Option<string?> over = new("--over")
    {
        Description = "By how much floor life is exceeded: more or less than 72 h; unknown history if left out.",
        HelpName = "more|less",
    };
    private readonly Option<bool> stacked = new("--stacked") { Description = "Dies are stacked in it." };

    public void AddTo(Command verb)
    {
        level.AcceptOnlyFromAmong("1", "2", "2a", "3", "4", "5", "5a", "6", "unknown");
        planes.AcceptOnlyFromAmong("yes", "no", "unknown");
        over.AcceptOnlyFromAmong("more", "less");
        foreach (Option option in All())
        {
            verb.Add(option);
        }
    }

    public bool AnyGiven(ParseResult parsed) => All().Any(option => parsed.GetResult(option) is { Implicit: false });

    /// <summary>The job that the options stand for, checked as any other job.</summary>
    /// <exception cref="BadInputException">An option is missing or out of range.</exception>
    public Job ToJob(ParseResult parsed, DateTimeOffset now)
    {
        List<string> missing = [];
        foreach (Option<double?> needed in (Option<double?>[])[thickness, at])
        {
            if (parsed.GetValue(needed) is null)
            {
                missing.Add($"Option {needed.Name} is required without a job document.");
            }
        }
        if (parsed.GetValue(level) is null)
        {
            missing.Add("Option --level is required without a job document; --level unknown counts as 5a.");
        }
        if (missing.Count > 0)
        {
            throw new BadInputException(string.Join('\n', missing) + "\nSee graftbench dry --help.");
        }
        (double lengthMm, double widthMm) = Size(parsed.GetValue(size));
        MoistureLevel moisture = parsed.GetValue(level) is { } name and not "unknown"
            ? MoistureLevels.Parse(name)
            : MoistureLevel.Unknown;
        Job job = new()
        {
            Format = JobFormat.Name,
            Id = "single-body",
            Title = "A single body",
            // The board that a job must name; a chip from the shelf is dried without it.
            Host = new Board
            {
                LengthMm = 500,
                WidthMm = 500,
                ThicknessMm = 1.6,
            },
            Chips =
            [
                new Chip
                {
                    Id = ChipId,
                    From = ChipPlace.Shelf,
                    To = ChipPlace.Host,
                    BodyLengthMm = lengthMm,
                    BodyWidthMm = widthMm,
                    BodyThicknessMm = parsed.GetValue(thickness)!.Value,
                    MoistureLevel = moisture,
                    InternalPlanes = parsed.GetValue(planes) switch
                    {
                        "yes" => YesNo.Yes,
                        "no" => YesNo.No,
                        _ => YesNo.Unknown,
                    },
                    StackedDie = parsed.GetValue(stacked) ? YesNo.Yes : YesNo.No,
                },
            ],
            Bench = new Bench { RoomC = parsed.GetValue(room), RoomHumidityPercent = parsed.GetValue(roomHumidity) },
            Dryer = new Dryer
            {
                SetC = parsed.GetValue(at),
                HumidityPercent = parsed.GetValue(humidity),
                Air = parsed.GetValue(humidity) is null ? DryerAir.Room : DryerAir.Stated,
            },
            History = new History { Exposures = Exposures(parsed.GetValue(over), moisture, now) },
        };
        // The same reader as for any document keeps the same limits.
        JobReading reading = JobReader.Read(JobFormat.Write(job), now);
        return reading.Job
            ?? throw new BadInputException(
                ProblemText.Of("options", reading with { Problems = AsOptions(reading.Problems) })
            );
    }

    private Option[] All() => [thickness, level, at, room, roomHumidity, humidity, size, planes, over, stacked];

    // A person who typed options has no lines and no paths.
    private List<JobProblem> AsOptions(IReadOnlyList<JobProblem> problems) =>
        problems
            .Select(problem =>
                problem with
                {
                    Line = 0,
                    Path = problem.Path switch
                    {
                        "chips[0].bodyThicknessMm" => thickness.Name,
                        "chips[0].bodyLengthMm" or "chips[0].bodyWidthMm" => size.Name,
                        "bench.roomC" => room.Name,
                        "bench.roomHumidityPercent" => roomHumidity.Name,
                        "dryer.setC" => at.Name,
                        "dryer.humidityPercent" => humidity.Name,
                        string other => other,
                    },
                }
            )
            .ToList();

    private static (double LengthMm, double WidthMm) Size(string? text)
    {
        if (text is null)
        {
            return (DefaultBodyMm, DefaultBodyMm);
        }
        string[] sides = text.Split('x', 'X', '×');
        if (
            sides.Length == 2
            && double.TryParse(
                sides[0],
                NumberStyles.AllowDecimalPoint,
                CultureInfo.InvariantCulture,
                out double length
            )
            && double.TryParse(sides[1], NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double width)
        )
        {
            return (length, width);
        }
        throw new BadInputException($"--body-mm {text}: write length and width like 27x27.");
    }

    // A log that leaves floor life exceeded by a day or by ten days, in the climate that the rating holds for.
    private static List<Exposure> Exposures(string? over, MoistureLevel level, DateTimeOffset now)
    {
        if (over is null)
        {
            return [];
        }
        if (level == MoistureLevel.Unknown || MoistureLevels.Find(level).RatedH is not { } ratedH)
        {
            throw new BadInputException("--over needs a moisture level with a floor life: 2, 2a, 3, 4, 5, 5a or 6.");
        }
        DateTimeOffset opened = now.AddHours(
            -ratedH - (string.Equals(over, "less", StringComparison.Ordinal) ? 24 : 240)
        );
        return
        [
            new Exposure
            {
                Of = ChipId,
                Place = ExposurePlace.DryBag,
                From = opened.AddDays(-30),
                To = opened,
            },
            new Exposure
            {
                Of = ChipId,
                Place = ExposurePlace.Room,
                From = opened,
                TemperatureC = 30,
                HumidityPercent = 60,
            },
        ];
    }
}
