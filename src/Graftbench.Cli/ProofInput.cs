using System.Globalization;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Inspection;
using Graftbench.Core.Proof;

namespace Graftbench.Cli;

/// <summary>What the command line says about rails, limits, waivers and balls.</summary>
internal static class ProofInput
{
    private static readonly Dictionary<string, RailClass> Classes = new(StringComparer.OrdinalIgnoreCase)
    {
        ["core"] = RailClass.Core,
        ["memory"] = RailClass.Memory,
        ["low-io"] = RailClass.LowIo,
        ["main"] = RailClass.Main,
        ["input"] = RailClass.Input,
        ["other"] = RailClass.Other,
    };

    /// <summary>A problem of a list with its file and line.</summary>
    public static string Line(string path, ReadingProblem problem) =>
        $"{path}{(problem.Line > 0 ? $" line {problem.Line}" : "")}: {problem.What} {problem.Todo}";

    /// <summary>Rails: <c>NAME=CLASS</c>, with <c>@V</c> for the voltage.</summary>
    public static IReadOnlyList<ProofRail> Rails(IEnumerable<string> given, BallMap? map, List<string> wrong)
    {
        IReadOnlyList<ProofRail> mapped = map is null ? [] : ProofRail.Of(map);
        List<ProofRail> rails = [];
        foreach (string text in given)
        {
            string[] sides = text.Split('=', 2);
            string[] parts = (sides.Length > 1 ? sides[1] : "").Split('@', 2);
            double volts = 0;
            bool sound =
                sides.Length == 2
                && sides[0].Trim().Length > 0
                && Classes.ContainsKey(parts[0].Trim())
                && (
                    parts.Length == 1
                    || (
                        double.TryParse(parts[1], NumberStyles.Float, CultureInfo.InvariantCulture, out volts)
                        && volts is > 0 and <= 60
                    )
                );
            if (!sound)
            {
                wrong.Add(
                    $"--rail {text}: write NAME=CLASS or NAME=CLASS@V with a class of {string.Join(", ", Classes.Keys)} and up to 60 V."
                );
                continue;
            }
            string name = sides[0].Trim();
            RailClass kind = Classes[parts[0].Trim()];
            ProofRail? known = mapped.FirstOrDefault(rail =>
                string.Equals(rail.Name, name, StringComparison.OrdinalIgnoreCase)
            );
            rails.Add(
                new ProofRail(
                    name,
                    kind,
                    ClassBasis.Told,
                    ProofRail.BaselineOf(kind, ofChip: known is not null),
                    parts.Length > 1 ? volts : null
                )
            );
        }
        return rails;
    }

    /// <summary>Waivers: <c>NAME=WHY</c>.</summary>
    public static IReadOnlyList<ProofWaiver> Waivers(IEnumerable<string> given, List<string> wrong)
    {
        List<ProofWaiver> waivers = [];
        foreach (string text in given)
        {
            string[] sides = text.Split('=', 2);
            if (sides.Length < 2 || sides.Any(string.IsNullOrWhiteSpace))
            {
                wrong.Add($"--waive {text}: write NAME=WHY; without a reason nothing is set aside.");
                continue;
            }
            waivers.Add(new ProofWaiver(sides[0].Trim(), sides[1].Trim()));
        }
        return waivers;
    }

    /// <summary>Limits with some replaced: <c>ID=VALUE</c>.</summary>
    public static ProofThresholds Limits(IEnumerable<string> given, List<string> wrong)
    {
        ProofThresholds limits = ProofThresholds.Standard;
        foreach (string text in given)
        {
            string[] sides = text.Split('=', 2);
            try
            {
                if (
                    sides.Length < 2
                    || !double.TryParse(sides[1], NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
                )
                {
                    wrong.Add($"--limits {text}: write ID=VALUE with a decimal point, like ratio-stop=0.4.");
                    continue;
                }
                limits = limits.With(sides[0].Trim(), value);
            }
            catch (ArgumentException error)
            {
                wrong.Add($"--limits {text}: {error.Message}");
            }
        }
        return limits;
    }

    /// <summary>Names of balls with commas; each must be in the list.</summary>
    public static HashSet<string> BallNames(string option, string? given, BallMap? map, List<string> wrong)
    {
        HashSet<string> names = [];
        if (given is null)
        {
            return names;
        }
        if (map is null)
        {
            wrong.Add($"{option} needs the ball list: give --balls too.");
            return names;
        }
        HashSet<string> known = [.. map.Balls.Select(ball => ball.Name)];
        foreach (string name in given.Split([',', ' '], StringSplitOptions.RemoveEmptyEntries))
        {
            if (!known.Contains(name.ToUpperInvariant()))
            {
                wrong.Add($"{option} {name}: the ball list has no such ball.");
            }
            names.Add(name.ToUpperInvariant());
        }
        return names;
    }

    /// <summary>A number above 0; null where it is not given, or out of range, which is added.</summary>
    public static double? Within(string option, double? given, double most, string unit, List<string> wrong)
    {
        if (given is { } value && !(value > 0 && value <= most))
        {
            wrong.Add(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{option} {value}: above 0 and up to {most:0} {unit}, our own limit."
                )
            );
            return null;
        }
        return given;
    }

    /// <summary>The view of a ball list.</summary>
    public static BallView? ViewOf(string given, List<string> wrong)
    {
        switch (given)
        {
            case "top":
                return BallView.Top;
            case "bottom":
                return BallView.Bottom;
            default:
                wrong.Add($"--view {given}: must be top or bottom.");
                return null;
        }
    }

    /// <summary>The package that is meant.</summary>
    public static BallMap? PackageOf(string path, IReadOnlyList<BallMap> packages, string? name, List<string> wrong)
    {
        BallMap[] found =
        [
            .. packages.Where(one => name is null || string.Equals(one.Name, name, StringComparison.OrdinalIgnoreCase)),
        ];
        if (found.Length == 1)
        {
            return found[0];
        }
        string names = string.Join(", ", packages.Take(20).Select(one => one.Name));
        wrong.Add(
            name is null
                ? $"{path}: say with --package which one: {names}."
                : $"{path}: no package {name}; it has {names}."
        );
        return null;
    }
}
