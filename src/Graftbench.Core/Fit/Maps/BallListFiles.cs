using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Core.Fit.Maps;

/// <summary>What came of a ball list that a job names.</summary>
/// <param name="Map">The package; null where the list cannot be used as it is.</param>
/// <param name="Packages">Names of all packages of the file.</param>
/// <param name="Findings">What is wrong, or was inferred, worst first.</param>
public sealed record BallListRead(BallMap? Map, IReadOnlyList<string> Packages, IReadOnlyList<Finding> Findings);

/// <summary>Reads the ball list that a job names: text of any usual encoding, one package of several.</summary>
public static class BallListFiles
{
    private const string Rule = "ball-map-rules";
    private const int Shown = 30;

    /// <summary>Reads a list.</summary>
    /// <param name="bytes">The file.</param>
    /// <param name="list">What the job says about it.</param>
    /// <param name="where">Whose list it is, as findings call it.</param>
    public static BallListRead Read(byte[] bytes, BallListFile list, string where)
    {
        ArgumentNullException.ThrowIfNull(bytes);
        ArgumentNullException.ThrowIfNull(list);
        using StreamReader reader = new(new MemoryStream(bytes), Encoding.UTF8, detectEncodingFromByteOrderMarks: true);
        MapReading all = BallMapReader.Read(reader.ReadToEnd(), list.View);
        MapReading reading = all.Of(list.Package);
        List<Finding> findings =
        [
            .. reading
                .Problems.Take(Shown)
                .Select(problem => new Finding(
                    problem.Stops ? Verdict.FixFirst : Verdict.Warning,
                    "fit.list",
                    $"ball list of {where}",
                    problem.What,
                    problem.Line > 0 ? Invariant($"{list.File}, line {problem.Line}") : list.File,
                    Source: Rule,
                    Todo: problem.Todo
                )),
        ];
        if (reading.Problems.Count > Shown)
        {
            findings.Add(
                new Finding(
                    Verdict.Warning,
                    "fit.list",
                    $"ball list of {where}",
                    Invariant($"{reading.Problems.Count - Shown} further problems are not shown."),
                    list.File,
                    Source: Rule,
                    Todo: "Mend these first."
                )
            );
        }
        string[] names = [.. all.Packages.Select(package => package.Name)];
        BallMap[] meant =
        [
            .. reading.Packages.Where(package =>
                string.IsNullOrWhiteSpace(list.Package)
                || string.Equals(package.Name, list.Package.Trim(), StringComparison.OrdinalIgnoreCase)
            ),
        ];
        if (meant.Length != 1 && names.Length > 0)
        {
            findings.Add(
                new Finding(
                    Verdict.FixFirst,
                    "fit.list-package",
                    $"ball list of {where}",
                    meant.Length == 0
                        ? "The file has no package of that name."
                        : "The file holds several packages, and which one is meant was not said.",
                    string.IsNullOrWhiteSpace(list.Package) ? null : list.Package,
                    string.Join(", ", names),
                    Rule,
                    "Say which package it is."
                )
            );
        }
        return new BallListRead(
            reading.Sound && meant.Length == 1 ? meant[0] : null,
            names,
            Finding.WorstFirst(findings)
        );
    }
}
