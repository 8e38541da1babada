using static System.FormattableString;

namespace Graftbench.Core.Jobs;

/// <content>What a board gives and what a chip needs.</content>
internal static partial class JobChecks
{
    private static IEnumerable<JobCheck> Fits(Job job)
    {
        foreach ((string name, Board? board) in BoardsOf(job))
        {
            if (board?.Gives is { } gives)
            {
                foreach (JobCheck check in Gives(gives, $"{name}.gives"))
                {
                    yield return check;
                }
            }
        }
        for (int i = 0; i < job.Chips.Count; i++)
        {
            string path = $"chips[{i}]";
            foreach (JobCheck check in Beside(job.Chips[i].BallList, $"{path}.ballList"))
            {
                yield return check;
            }
            if (job.Chips[i].Needs is { } needs)
            {
                foreach (JobCheck check in Needs(needs, $"{path}.needs"))
                {
                    yield return check;
                }
            }
        }
    }

    private static IEnumerable<JobCheck> Gives(BoardGives gives, string path) =>
        Beside(gives.BallList, $"{path}.ballList")
            .Concat(Twice([.. gives.Rails.Select(rail => rail.Name)], $"{path}.rails", "name"))
            .Concat(Twice([.. gives.Links.Select(link => link.Name)], $"{path}.links", "name"))
            .Concat(Codes(gives.CoreCodes, $"{path}.coreCodes"))
            .Concat(Ordered(gives.LeastClockRatio, gives.MostClockRatio, path, "leastClockRatio", "mostClockRatio", ""))
            .Concat(Measured(gives.Cooling, $"{path}.cooling"));

    private static IEnumerable<JobCheck> Needs(ChipNeeds needs, string path)
    {
        IEnumerable<JobCheck> checks = Twice([.. needs.Rails.Select(rail => rail.Name)], $"{path}.rails", "name")
            .Concat(Twice([.. needs.Links.Select(link => link.Name)], $"{path}.links", "name"))
            .Concat(Twice([.. needs.StrapTable.Select(row => row.Levels)], $"{path}.strapTable", "levels"))
            .Concat(Codes(needs.CoreCodes, $"{path}.coreCodes"))
            .Concat(Ordered(needs.LeastClockRatio, needs.MostClockRatio, path, "leastClockRatio", "mostClockRatio", ""))
            .Concat(Ordered(needs.SwitchingW, needs.MostW, path, "switchingW", "mostW", " W"));
        foreach (JobCheck check in checks)
        {
            yield return check;
        }
        for (int i = 0; i < needs.Rails.Count; i++)
        {
            NeededRail rail = needs.Rails[i];
            string at = $"{path}.rails[{i}]";
            IEnumerable<JobCheck> order = Ordered(rail.LeastV, rail.MostV, at, "leastV", "mostV", " V")
                .Concat(Ordered(rail.LeastV, rail.UsualV, at, "leastV", "usualV", " V"))
                .Concat(Ordered(rail.UsualV, rail.MostV, at, "usualV", "mostV", " V"));
            foreach (JobCheck check in order)
            {
                yield return check;
            }
        }
        int straps = Levels(needs.Straps);
        for (int i = 0; i < needs.StrapTable.Count; i++)
        {
            if (straps > 0 && Levels(needs.StrapTable[i].Levels) != straps)
            {
                yield return Failed(
                    "The row has another number of straps than the chip.",
                    needs.StrapTable[i].Levels,
                    Invariant($"{straps} levels, as in straps"),
                    "Write a level for every strap ball, in the same order.",
                    $"{path}.strapTable[{i}].levels",
                    $"{path}.straps"
                );
            }
        }
        if (needs.LeakageW is > 0 && (needs.LeakageAtC is null || needs.LeakageDoublesDeltaK is null))
        {
            yield return Failed(
                "Leakage needs the temperature that it is told for, and the rise that doubles it.",
                null,
                "leakageAtC and leakageDoublesDeltaK",
                "Enter both, or leave the leakage out.",
                $"{path}.leakageW"
            );
        }
    }

    private static IEnumerable<JobCheck> Beside(BallListFile? list, string path)
    {
        if (list is not null && IsNotBeside(list.File))
        {
            yield return Failed(
                "The file does not lie beside the job.",
                JobReaderNames.Show(list.File),
                "a relative path without ..",
                "Put the file beside the job document and name it by its relative path, with /.",
                $"{path}.file"
            );
        }
    }

    private static IEnumerable<JobCheck> Twice(IReadOnlyList<string> names, string path, string field)
    {
        Dictionary<string, int> first = new(StringComparer.OrdinalIgnoreCase);
        for (int i = 0; i < names.Count; i++)
        {
            if (!first.TryAdd(names[i].Trim(), i))
            {
                yield return Failed(
                    $"{path}[{first[names[i].Trim()]}] says the same.",
                    JobReaderNames.Show(names[i]),
                    "each once",
                    "Take one of them out, or correct it.",
                    $"{path}[{i}].{field}"
                );
            }
        }
    }

    private static IEnumerable<JobCheck> Codes(VoltageCodes? codes, string path)
    {
        if (codes is null)
        {
            yield break;
        }
        foreach (JobCheck check in Ordered(codes.LeastV, codes.MostV, path, "leastV", "mostV", " V"))
        {
            yield return check;
        }
        double steps = (codes.MostV - codes.LeastV) / codes.StepV;
        if (steps >= 0 && Math.Floor(steps + 1e-6) + 1 > Math.Pow(2, codes.Lines))
        {
            yield return Failed(
                "There are more voltages than the code lines can tell apart.",
                Invariant($"{Math.Floor(steps + 1e-6) + 1:0} voltages"),
                Invariant($"{Math.Pow(2, codes.Lines):0} with {codes.Lines} lines"),
                "Check step, range and number of lines against the coding table.",
                $"{path}.stepV",
                $"{path}.lines"
            );
        }
    }

    private static IEnumerable<JobCheck> Ordered(
        double? least,
        double? most,
        string path,
        string leastName,
        string mostName,
        string unit
    )
    {
        if (least is { } low && most is { } high && low > high)
        {
            yield return Failed(
                "The lower figure is above the higher one.",
                JobReaderNames.Number(low) + unit,
                $"at most {JobReaderNames.Number(high)}{unit}",
                "Check both figures and their units.",
                $"{path}.{leastName}",
                $"{path}.{mostName}"
            );
        }
    }

    private static IEnumerable<JobCheck> Measured(BoardCooling? cooling, string path)
    {
        if (cooling is { OldDieC: { } die, OldAirC: { } air } && die <= air)
        {
            yield return Failed(
                "The old chip's die was no warmer than the air.",
                Invariant($"{die} °C"),
                Invariant($"above {air} °C"),
                "Read both again while the chip works hard.",
                $"{path}.oldDieC",
                $"{path}.oldAirC"
            );
        }
    }

    private static int Levels(string? straps) => straps is null ? 0 : straps.Split(' ').Length;
}
