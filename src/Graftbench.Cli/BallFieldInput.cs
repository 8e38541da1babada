using Graftbench.Core.Inspection;
using Graftbench.Core.Jobs;

namespace Graftbench.Cli;

/// <summary>What the command line says about a ball field.</summary>
internal sealed record FieldOptions(
    double? Rows,
    double? Columns,
    double? PitchMm,
    double? BallMm,
    string? Absent,
    string? BallList,
    string? Letters,
    string? Job,
    string? Chip
);

/// <summary>Makes a ball field of options or of a job's chip.</summary>
internal static class BallFieldInput
{
    /// <summary>The field; null where something is wrong, which is added.</summary>
    public static BallField? Read(FieldOptions options, List<string> wrong)
    {
        int before = wrong.Count;
        double? rows = options.Rows;
        double? columns = options.Columns;
        double? pitchMm = options.PitchMm;
        double? ballMm = options.BallMm;
        (int Rows, int Columns) empty = (0, 0);
        if (options.Job is { } path)
        {
            if (ChipOf(path, options.Chip, wrong) is not { } chip)
            {
                return null;
            }
            rows ??= chip.Rows;
            columns ??= chip.Columns;
            pitchMm ??= chip.PitchMm;
            ballMm ??= chip.BallDiameterMm;
            empty = (chip.Seat?.EmptyRows ?? 0, chip.Seat?.EmptyColumns ?? 0);
            if (
                chip is { BallCount: { } count, Rows: { } all, Columns: { } across }
                && options.Absent is null
                && options.BallList is null
                && count != all * across - empty.Rows * empty.Columns
            )
            {
                wrong.Add(
                    $"{path}: the chip has {count} balls on {all} x {across} sites; which sites are empty is not in the job. Give --absent or --ball-list."
                );
            }
        }
        else if (options.Chip is not null)
        {
            wrong.Add("--chip names a chip of a job: give --job too.");
        }
        int r = Whole("--rows", rows, wrong);
        int c = Whole("--columns", columns, wrong);
        Range("--pitch", pitchMm, 0.2, 2.54, required: true, wrong);
        Range("--ball", ballMm, 0.05, 1.5, required: false, wrong);
        if (ballMm >= pitchMm)
        {
            wrong.Add($"--ball {ballMm}: must be smaller than the pitch, {pitchMm} mm.");
        }
        string letters = (options.Letters ?? BallNames.StandardLetters).ToUpperInvariant();
        if (
            letters.Length is 0 or > 26
            || letters.Any(one => !char.IsAsciiLetter(one))
            || letters.Distinct().Count() != letters.Length
        )
        {
            wrong.Add($"--letters {options.Letters}: must be 1 to 26 letters, each once.");
        }
        else if (r > BallNames.MostRows(letters))
        {
            wrong.Add($"--rows {r}: these letters name {BallNames.MostRows(letters)} rows only.");
        }
        if (options.Absent is not null && options.BallList is not null)
        {
            wrong.Add("Give --absent or --ball-list, not both.");
        }
        return wrong.Count > before ? null : Sites(options, r, c, pitchMm!.Value, ballMm, letters, empty, wrong);
    }

    private static BallField? Sites(
        FieldOptions options,
        int rows,
        int columns,
        double pitchMm,
        double? ballMm,
        string letters,
        (int Rows, int Columns) empty,
        List<string> wrong
    )
    {
        bool[] has = Enumerable.Repeat(true, rows * columns).ToArray();
        if (options.BallList is { } file)
        {
            byte[]? bytes = JobInput.Bytes(file, out long size);
            if (bytes is null)
            {
                wrong.Add($"{file}: {size} bytes are more than a ball list may have.");
                return null;
            }
            (has, IReadOnlyList<string> problems) = BallList.Read(
                System.Text.Encoding.UTF8.GetString(bytes),
                rows,
                columns,
                letters
            );
            wrong.AddRange(problems.Select(problem => $"{file}: {problem}"));
        }
        else if (options.Absent is { } absent)
        {
            (bool[] named, IReadOnlyList<string> problems) = BallList.Read(absent, rows, columns, letters);
            has = [.. named.Select(one => !one)];
            wrong.AddRange(problems.Select(problem => $"--absent: {problem}"));
        }
        else if (empty.Rows > 0 && empty.Columns > 0)
        {
            BallField middle = BallField.WithEmptyMiddle(rows, columns, empty.Rows, empty.Columns, pitchMm);
            has = [.. has.Select((_, at) => middle.Has(at / columns, at % columns))];
        }
        if (!has.Contains(true))
        {
            wrong.Add("The list leaves no site with a ball.");
        }
        return wrong.Count > 0 ? null : new BallField(rows, columns, pitchMm, has, ballMm, letters);
    }

    private static Chip? ChipOf(string path, string? name, List<string> wrong)
    {
        Job job = JobInput.Load(path, DateTimeOffset.Now);
        Chip[] found =
        [
            .. job.Chips.Where(chip => name is null || string.Equals(chip.Id, name, StringComparison.Ordinal)),
        ];
        if (found.Length == 1)
        {
            return found[0];
        }
        string names = string.Join(", ", job.Chips.Select(chip => chip.Id));
        wrong.Add(
            name is null ? $"{path}: say with --chip which one: {names}." : $"{path}: no chip {name}; it has {names}."
        );
        return null;
    }

    private static int Whole(string option, double? given, List<string> wrong)
    {
        if (given is not { } value)
        {
            wrong.Add($"{option} is missing.");
            return 1;
        }
        if (value is >= 1 and <= BallField.MaxSide && value == Math.Floor(value))
        {
            return (int)value;
        }
        wrong.Add($"{option} {value}: must be a whole number from 1 to {BallField.MaxSide}.");
        return 1;
    }

    private static void Range(
        string option,
        double? given,
        double least,
        double most,
        bool required,
        List<string> wrong
    )
    {
        if (given is not { } value)
        {
            if (required)
            {
                wrong.Add($"{option} is missing.");
            }
        }
        else if (!(value >= least && value <= most))
        {
            wrong.Add($"{option} {value}: must be from {least} to {most} mm.");
        }
    }
}
