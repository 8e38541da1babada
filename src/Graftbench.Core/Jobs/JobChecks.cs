using System.Globalization;

namespace Graftbench.Core.Jobs;

/// <summary>A failed check across several fields of a job.</summary>
/// <param name="Problem">The problem; its line and column are filled in by the reader.</param>
/// <param name="Paths">
/// Every field that the check looked at; a leading <c>=</c> means the thing itself and not what is inside it.
/// </param>
internal sealed record JobCheck(JobProblem Problem, IReadOnlyList<string> Paths);

/// <summary>
/// What no single field can show: dates that contradict each other, sizes that do not fit into each other, names that
/// nothing bears. All fields have been checked on their own before.
/// </summary>
internal static partial class JobChecks
{
    private const string Consistency = "Graftbench consistency check";
    private const double HottestUserBakeC = 125;
    private const double LengthToleranceMm = 0.5;

    /// <summary>Runs every check.</summary>
    public static IEnumerable<JobCheck> Run(Job job, DateTimeOffset now) =>
        Names(job)
            .Concat(Boards(job))
            .Concat(Chips(job))
            .Concat(Drying(job, now))
            .Concat(Dates(job, now))
            .Concat(Stays(job, now))
            .Concat(Evidence(job));

    private static JobCheck Failed(string what, string? value, string? allowed, string todo, params string[] paths) =>
        new(new JobProblem(paths[0].TrimStart('='), 0, 0, what, value, allowed, Consistency, todo), paths);

    private static string Mm(double value) => JobReaderNames.Number(value) + " mm";

    private static IEnumerable<JobCheck> Names(Job job)
    {
        Dictionary<string, int> chips = new(StringComparer.Ordinal);
        for (int i = 0; i < job.Chips.Count; i++)
        {
            string id = job.Chips[i].Id;
            string path = $"chips[{i}].id";
            if (id is "host" or "donor")
            {
                yield return Failed("A chip bears the name of a board.", id, null, "Give the chip another id.", path);
            }
            else if (!chips.TryAdd(id, i))
            {
                yield return Failed(
                    $"chips[{chips[id]}] has the same id.",
                    id,
                    "an id of its own for each chip",
                    "Give one of them another id.",
                    path
                );
            }
        }
        foreach ((string name, Board? board) in BoardsOf(job))
        {
            Dictionary<string, int> parts = new(StringComparer.Ordinal);
            for (int i = 0; i < (board?.Parts.Count ?? 0); i++)
            {
                string reference = board!.Parts[i].Ref;
                if (!parts.TryAdd(reference, i))
                {
                    yield return Failed(
                        $"{name}.parts[{parts[reference]}] has the same reference.",
                        reference,
                        "one entry for each reference",
                        "Take one of them out, or correct its reference.",
                        $"{name}.parts[{i}].ref"
                    );
                }
            }
        }
        List<string> subjects = ["host", .. job.Donor is null ? [] : (string[])["donor"], .. chips.Keys];
        IEnumerable<(string Path, string Of)> named = job
            .History.Exposures.Select((entry, i) => ($"history.exposures[{i}].of", entry.Of))
            .Concat(job.History.Heats.Select((entry, i) => ($"history.heats[{i}].of", entry.Of)))
            .Concat(job.History.Weighings.Select((entry, i) => ($"history.weighings[{i}].of", entry.Of)));
        HashSet<string> known = new(subjects, StringComparer.Ordinal);
        foreach ((string path, string of) in named)
        {
            if (known.Contains(of))
            {
                continue;
            }
            string? nearest = of == "donor" ? null : JobReaderNames.Nearest(of, subjects);
            yield return Failed(
                of == "donor" ? "The job has no donor board." : "No board or chip of the job has this name.",
                JobReaderNames.Show(of),
                JobReaderNames.List(subjects),
                of == "donor" ? "Describe the donor board under donor."
                    : nearest is null ? "Use one of these names."
                    : $"Did you mean {nearest}?",
                [path, "=chips", "=donor", .. job.Chips.Select((_, i) => $"chips[{i}].id")]
            );
        }
    }

    private static IEnumerable<(string Name, Board? Board)> BoardsOf(Job job) =>
        [("host", job.Host), ("donor", job.Donor)];

    private static IEnumerable<JobCheck> Boards(Job job)
    {
        foreach ((string name, Board? board) in BoardsOf(job))
        {
            if (board is null)
            {
                continue;
            }
            string[] size = [$"{name}.lengthMm", $"{name}.widthMm"];
            if (board.ThicknessMm >= Math.Min(board.LengthMm, board.WidthMm))
            {
                yield return Failed(
                    "The board is as thick as it is wide.",
                    Mm(board.ThicknessMm),
                    $"less than {Mm(Math.Min(board.LengthMm, board.WidthMm))}",
                    "Check the units of thickness, length and width: all are mm.",
                    [$"{name}.thicknessMm", .. size]
                );
            }
            if (board.Outline.Count is 1 or 2)
            {
                yield return Failed(
                    "An outline needs three corners.",
                    $"{board.Outline.Count} corners",
                    "none, or at least 3",
                    "Add the missing corners, or leave the outline out for a rectangle.",
                    $"{name}.outline"
                );
            }
            for (int i = 0; i < board.Outline.Count; i++)
            {
                PointMm corner = board.Outline[i];
                if (Outside(corner.XMm, corner.YMm, board) > LengthToleranceMm)
                {
                    yield return Failed(
                        "A corner of the outline lies outside the board's length and width.",
                        $"x {Mm(corner.XMm)}, y {Mm(corner.YMm)}",
                        Extent(board),
                        "Correct the corner, or the board's length and width.",
                        [$"{name}.outline[{i}]", .. size]
                    );
                }
            }
            for (int i = 0; i < board.Parts.Count; i++)
            {
                foreach (JobCheck check in PartOn(board, name, board.Parts[i], $"{name}.parts[{i}]"))
                {
                    yield return check;
                }
            }
        }
    }

    private static IEnumerable<JobCheck> PartOn(Board board, string name, Part part, string path)
    {
        string[] size = [$"{name}.lengthMm", $"{name}.widthMm"];
        double longest = Math.Max(part.LengthMm ?? 0, part.WidthMm ?? 0);
        // A connector at the edge may hang over by half its length, not more.
        if (part is { XMm: { } x, YMm: { } y } && Outside(x, y, board) > longest / 2)
        {
            yield return Failed(
                $"The centre of {JobReaderNames.Show(part.Ref)} lies outside the board.",
                $"x {Mm(x)}, y {Mm(y)}",
                Extent(board),
                "Measure from the board's lower left corner, in mm.",
                [$"{path}.xMm", $"{path}.yMm", $"{path}.lengthMm", $"{path}.widthMm", .. size]
            );
        }
        if (part.XMm is null != part.YMm is null)
        {
            string missing = part.XMm is null ? "xMm" : "yMm";
            yield return Failed(
                "A place needs both xMm and yMm.",
                null,
                "both or none",
                $"Add {missing}.",
                [$"{path}.{(part.XMm is null ? "yMm" : "xMm")}", $"{path}.{missing}"]
            );
        }
        if (part is { BodyThicknessMm: { } thick, HeightMm: { } height } && thick > height)
        {
            yield return Failed(
                "The body is thicker than the part is high.",
                Mm(thick),
                $"at most {Mm(height)}",
                "Check both values and their units (mm).",
                $"{path}.bodyThicknessMm",
                $"{path}.heightMm"
            );
        }
        if (
            part.Kind is not (PartKind.BallGridPackage or PartKind.MouldedPackage)
            || part is not { LengthMm: { } length, WidthMm: { } width }
        )
        {
            yield break;
        }
        if (IsLarger(length, width, board))
        {
            yield return Failed(
                $"The body of {JobReaderNames.Show(part.Ref)} is larger than the board.",
                $"{JobReaderNames.Number(length)} × {Mm(width)}",
                Extent(board),
                "Check the sizes and their units (mm).",
                [$"{path}.lengthMm", $"{path}.widthMm", .. size]
            );
        }
        if (part.BodyThicknessMm is { } bodyThickness && bodyThickness > Math.Min(length, width))
        {
            yield return ThickerThanWide(
                bodyThickness,
                Math.Min(length, width),
                $"{path}.bodyThicknessMm",
                $"{path}.lengthMm",
                $"{path}.widthMm"
            );
        }
    }

    private static JobCheck ThickerThanWide(double thicknessMm, double shorterMm, params string[] paths) =>
        Failed(
            "The body is thicker than its shorter side.",
            Mm(thicknessMm),
            $"at most {Mm(shorterMm)}",
            thicknessMm / 10 <= shorterMm
                ? $"Did you mean {JobReaderNames.Number(thicknessMm / 10)} (mm), if the decimal point slipped?"
                : "Check the units: all sizes are mm.",
            paths
        );

    private static IEnumerable<JobCheck> Chips(Job job)
    {
        if (!job.Chips.Any(chip => chip.To == ChipPlace.Host))
        {
            yield return Failed(
                "No chip goes to the host board.",
                $"{job.Chips.Count} {(job.Chips.Count == 1 ? "chip" : "chips")}",
                "at least one chip with to = host",
                "Describe the chip to be transplanted, with to = host.",
                ["=chips", .. job.Chips.Select((_, i) => $"chips[{i}].to")]
            );
        }
        for (int i = 0; i < job.Chips.Count; i++)
        {
            foreach (JobCheck check in Chip(job, job.Chips[i], $"chips[{i}]"))
            {
                yield return check;
            }
        }
        if (job.Materials.BallDiameterMm is { } ball)
        {
            int target = job.Chips.ToList().FindIndex(chip => chip.To == ChipPlace.Host);
            if (target >= 0 && job.Chips[target].PitchMm is { } pitch && ball >= pitch)
            {
                yield return BallAgainstPitch(
                    ball,
                    pitch,
                    "materials.ballDiameterMm",
                    $"chips[{target}].pitchMm",
                    $"chips[{target}].to"
                );
            }
        }
    }

    private static IEnumerable<JobCheck> Chip(Job job, Chip chip, string path)
    {
        if (job.Donor is null && (chip.From == ChipPlace.Donor || chip.To == ChipPlace.Donor))
        {
            string end = chip.From == ChipPlace.Donor ? "from" : "to";
            yield return Failed(
                "The job has no donor board.",
                "donor",
                null,
                "Describe the donor board under donor, or correct the chip's place.",
                $"{path}.{end}",
                "=donor"
            );
        }
        if (chip.From == ChipPlace.Scrap)
        {
            yield return Failed(
                "A chip cannot come from scrap.",
                "scrap",
                "host, donor, shelf",
                "Write where the chip sits before the job.",
                $"{path}.from"
            );
        }
        string length = $"{path}.bodyLengthMm";
        string width = $"{path}.bodyWidthMm";
        string thickness = $"{path}.bodyThicknessMm";
        double shorter = Math.Min(chip.BodyLengthMm, chip.BodyWidthMm);
        if (chip.BodyThicknessMm > shorter)
        {
            yield return ThickerThanWide(chip.BodyThicknessMm, shorter, thickness, length, width);
        }
        if (chip.SubstrateThicknessMm is { } substrate && substrate >= chip.BodyThicknessMm)
        {
            yield return Failed(
                "The substrate is part of the body and must be thinner than it.",
                Mm(substrate),
                $"less than {Mm(chip.BodyThicknessMm)}",
                "Check both thicknesses.",
                $"{path}.substrateThicknessMm",
                thickness
            );
        }
        if (chip is { BallDiameterMm: { } ball, PitchMm: { } pitch } && ball >= pitch)
        {
            yield return BallAgainstPitch(ball, pitch, $"{path}.ballDiameterMm", $"{path}.pitchMm");
        }
        if (chip is { BallCount: { } balls, Rows: { } rows, Columns: { } columns } && balls > rows * columns)
        {
            yield return Failed(
                "There are more balls than sites.",
                balls.ToString(CultureInfo.InvariantCulture),
                $"at most {rows} rows × {columns} columns = {rows * columns}",
                "Check the count, the rows and the columns.",
                $"{path}.ballCount",
                $"{path}.rows",
                $"{path}.columns"
            );
        }
        foreach ((int? number, string field, double bodyMm, string bodyPath) in Fields(chip, path, length, width))
        {
            if (number is { } count && chip.PitchMm is { } step && (count - 1) * step > bodyMm)
            {
                yield return Failed(
                    "The ball field is larger than the body.",
                    $"{count} {field} at {Mm(step)} take {Mm((count - 1) * step)}",
                    $"at most {Mm(bodyMm)}",
                    "Check the pitch, the count and the body.",
                    $"{path}.{field}",
                    $"{path}.pitchMm",
                    bodyPath
                );
            }
        }
        (string boardName, Board? board) =
            chip.From == ChipPlace.Donor ? ("donor", job.Donor) : ("host", (Board?)job.Host);
        if (board is null)
        {
            yield break;
        }
        string[] size = [$"{boardName}.lengthMm", $"{boardName}.widthMm"];
        if (chip is { XMm: { } x, YMm: { } y } && Outside(x, y, board) > 0)
        {
            yield return Failed(
                $"The centre of the chip lies outside the {boardName} board.",
                $"x {Mm(x)}, y {Mm(y)}",
                Extent(board),
                "Measure from the board's lower left corner, in mm.",
                [$"{path}.xMm", $"{path}.yMm", $"{path}.from", .. size]
            );
        }
        if (IsLarger(chip.BodyLengthMm, chip.BodyWidthMm, board))
        {
            yield return Failed(
                $"The body is larger than the {boardName} board.",
                $"{JobReaderNames.Number(chip.BodyLengthMm)} × {Mm(chip.BodyWidthMm)}",
                Extent(board),
                "Check the sizes and their units (mm).",
                [length, width, $"{path}.from", .. size]
            );
        }
    }

    private static IEnumerable<(int? Number, string Field, double BodyMm, string BodyPath)> Fields(
        Chip chip,
        string path,
        string length,
        string width
    )
    {
        _ = path;
        return [(chip.Columns, "columns", chip.BodyLengthMm, length), (chip.Rows, "rows", chip.BodyWidthMm, width)];
    }

    private static JobCheck BallAgainstPitch(double ballMm, double pitchMm, params string[] paths) =>
        Failed(
            "The balls are as large as their pitch, so neighbours would touch.",
            Mm(ballMm),
            $"less than the pitch, {Mm(pitchMm)}",
            "Check the ball diameter and the pitch.",
            paths
        );

    private static IEnumerable<JobCheck> Drying(Job job, DateTimeOffset now)
    {
        Dryer dryer = job.Dryer;
        if (dryer.SetC is > HottestUserBakeC and var set)
        {
            JobCheck tooHot = Failed(
                "The bake is planned hotter than a user may bake.",
                $"{JobReaderNames.Number(set)} °C",
                $"at most {JobReaderNames.Number(HottestUserBakeC)} °C",
                "Set the dryer to 125 °C or less.",
                "dryer.setC"
            );
            yield return tooHot with
            {
                Problem = tooHot.Problem with { Whose = "jstd-033-rules" },
            };
        }
        if (dryer is { SetC: { } setC, MaxC: { } maxC } && setC > maxC)
        {
            yield return Failed(
                "The dryer is set hotter than it can get.",
                $"{JobReaderNames.Number(setC)} °C",
                $"at most {JobReaderNames.Number(maxC)} °C (dryer.maxC)",
                "Lower setC, or correct maxC.",
                "dryer.setC",
                "dryer.maxC"
            );
        }
        if (dryer.Air == DryerAir.Stated && dryer.HumidityPercent is null)
        {
            yield return Failed(
                "The air is said to be stated, but its humidity is not given.",
                "stated",
                "humidityPercent, in % RH at temperature",
                "Add dryer.humidityPercent, or set air to room.",
                "dryer.air",
                "dryer.humidityPercent"
            );
        }
        if (dryer.Air == DryerAir.Room && dryer.HumidityPercent is { } humidity)
        {
            yield return Failed(
                "A humidity is given, but the air is said to be heated room air.",
                $"{JobReaderNames.Number(humidity)} % RH",
                "air = stated beside a humidity",
                "Set dryer.air to stated, or take the humidity out.",
                "dryer.humidityPercent",
                "dryer.air"
            );
        }
        if (job.Wishes.StartAt is { } start && start > now.AddDays(366))
        {
            yield return Failed(
                "The start lies more than a year ahead.",
                Moment(start),
                $"until {Moment(now.AddDays(366))}",
                "Check the year.",
                "wishes.startAt"
            );
        }
    }

    private static IEnumerable<JobCheck> Evidence(Job job)
    {
        for (int i = 0; i < job.Evidence.Count; i++)
        {
            EvidenceEntry entry = job.Evidence[i];
            string path = $"evidence[{i}]";
            if (
                entry.Kind == EvidenceKind.Waiver
                && (string.IsNullOrWhiteSpace(entry.Note) || string.IsNullOrWhiteSpace(entry.Waives))
            )
            {
                string missing = string.IsNullOrWhiteSpace(entry.Note) ? "note" : "waives";
                yield return Failed(
                    missing == "note"
                        ? "A waiver needs its reason."
                        : "A waiver needs the code of the finding that it sets aside.",
                    null,
                    $"text in {missing}",
                    $"Write it under {missing}.",
                    $"{path}.kind",
                    $"{path}.{missing}"
                );
            }
            if (entry.File is { } file && IsNotBeside(file))
            {
                yield return Failed(
                    "The file does not lie beside the job.",
                    JobReaderNames.Show(file),
                    "a relative path without ..",
                    "Put the file beside the job document and name it by its relative path, with /.",
                    $"{path}.file"
                );
            }
        }
    }

    private static bool IsNotBeside(string file) =>
        file.Length == 0
        || file[0] is '/' or '\\'
        || (file.Length > 1 && file[1] == ':')
        || file.Split('/', '\\').Any(step => step is ".." or "");

    // How far a point lies outside the board [mm]; 0 inside.
    private static double Outside(double xMm, double yMm, Board board) =>
        Math.Max(Math.Max(-xMm, xMm - board.LengthMm), Math.Max(Math.Max(-yMm, yMm - board.WidthMm), 0));

    private static bool IsLarger(double lengthMm, double widthMm, Board board) =>
        Math.Max(lengthMm, widthMm) > Math.Max(board.LengthMm, board.WidthMm)
        || Math.Min(lengthMm, widthMm) > Math.Min(board.LengthMm, board.WidthMm);

    private static string Extent(Board board) => $"x 0 to {Mm(board.LengthMm)}, y 0 to {Mm(board.WidthMm)}";

    private static string Moment(DateTimeOffset moment) =>
        moment.ToString(
            moment.Second == 0 ? "yyyy-MM-dd HH:mm zzz" : "yyyy-MM-dd HH:mm:ss zzz",
            CultureInfo.InvariantCulture
        );
}
