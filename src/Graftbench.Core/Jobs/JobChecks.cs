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
            .Concat(Copper(job))
            .Concat(Chips(job))
            .Concat(Stack(job))
            .Concat(Seats(job))
            .Concat(Fits(job))
            .Concat(Heat(job))
            .Concat(Drying(job, now))
            .Concat(Dates(job, now))
            .Concat(Stays(job, now))
            .Concat(Handovers(job, now))
            .Concat(Work(job))
            .Concat(Evidence(job));

    private static JobCheck Failed(string what, string? value, string? allowed, string todo, params string[] paths) =>
        new(new JobProblem(paths[0].TrimStart('='), 0, 0, what, value, allowed, Consistency, todo), paths);

    private static string Mm(double value) => JobReaderNames.Number(value) + " mm";

    private static IEnumerable<JobCheck> Names(Job job)
    {
        if (JobFormat.IsReservedId(job.Id))
        {
            yield return Failed(
                "This id is taken by the program itself.",
                job.Id,
                "any other id",
                "Give the job another id.",
                "id"
            );
        }
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
        if (job.Materials is { StencilHoleMm: { } hole, StencilPitchMm: { } holes } && hole >= holes)
        {
            yield return Failed(
                "The stencil's holes would run into each other.",
                $"{JobReaderNames.Number(hole)} mm",
                $"less than their pitch, {JobReaderNames.Number(holes)} mm",
                "Check hole and pitch; both in mm.",
                "materials.stencilHoleMm",
                "materials.stencilPitchMm"
            );
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

    private static (string Field, string What)? MissingInWaiver(EvidenceEntry entry) =>
        entry switch
        {
            _ when string.IsNullOrWhiteSpace(entry.Note) => ("note", "A waiver needs its reason."),
            _ when string.IsNullOrWhiteSpace(entry.Waives) => (
                "waives",
                "A waiver needs the code of the finding that it sets aside."
            ),
            _ when string.IsNullOrWhiteSpace(entry.WaivesWhere) => (
                "waivesWhere",
                "A waiver needs the place of the finding that it sets aside, as the finding says it."
            ),
            _ => null,
        };

    private static IEnumerable<JobCheck> Evidence(Job job)
    {
        for (int i = 0; i < job.Evidence.Count; i++)
        {
            EvidenceEntry entry = job.Evidence[i];
            string path = $"evidence[{i}]";
            if (entry.Kind == EvidenceKind.Waiver && MissingInWaiver(entry) is { } waiver)
            {
                yield return Failed(
                    waiver.What,
                    null,
                    $"text in {waiver.Field}",
                    $"Write it under {waiver.Field}.",
                    $"{path}.kind",
                    $"{path}.{waiver.Field}"
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

    private static string Moment(DateTimeOffset moment) =>
        moment.ToString(
            moment.Second == 0 ? "yyyy-MM-dd HH:mm zzz" : "yyyy-MM-dd HH:mm:ss zzz",
            CultureInfo.InvariantCulture
        );
}
