using System.Collections.Concurrent;
using System.Globalization;
using Graftbench.Core.Facts;
using Xunit;

[assembly: AssemblyFixture(typeof(Graftbench.Tests.Checks.TruthBook))]

namespace Graftbench.Tests.Checks;

/// <summary>
/// Errors that tests find against something from outside, held against the table that tells them (<c>data/truth.csv</c>).
/// The table cannot say less than what is found, nor more: the worst of all its cases, rounded up, must stand there.
/// </summary>
internal static class Truth
{
    // The largest step of rounding a number up to two digits.
    private const double MostRounding = 1.12;

    // Below this an error is that of rounding, and another machine rounds otherwise.
    private const double RoundingError = 1e-9;

    private static readonly ConcurrentDictionary<string, (int Cases, double Worst)> Found = new(StringComparer.Ordinal);

    private static Dictionary<string, CsvRow> Rows { get; } =
        CsvTable.Load("truth").Rows.ToDictionary(row => row["id"], StringComparer.Ordinal);

    /// <summary>Notes what one case found.</summary>
    /// <param name="id">Row of the table.</param>
    /// <param name="error">How far off it was, in the row's unit; its size counts.</param>
    /// <param name="cases">How many cases the worst of is told.</param>
    public static void Note(string id, double error, int cases = 1)
    {
        CsvRow row = Rows[id];
        double size = Math.Abs(error);
        (int Cases, double Worst) found = Found.AddOrUpdate(
            id,
            (cases, size),
            (_, known) => (known.Cases + cases, Math.Max(known.Worst, size))
        );
        if (Environment.GetEnvironmentVariable("GRAFTBENCH_TRUTH") is { Length: > 0 } folder)
        {
            File.WriteAllText(
                Path.Combine(folder, id),
                string.Create(CultureInfo.InvariantCulture, $"{found.Worst:g3} in {found.Cases} cases\n")
            );
            return;
        }
        double told = Told(row);
        Assert.True(
            size <= told,
            string.Create(
                CultureInfo.InvariantCulture,
                $"{id}: {size:g3} found, data/truth.csv tells {told} {row["unit"]}"
            )
        );
    }

    /// <summary>What is wrong with the rows of this project, after its tests have run.</summary>
    public static IEnumerable<string> Faults() => Faults(Rows.Values, Project, Found, IsPart);

    /// <summary>What is wrong with a project's rows: not noted, too few or too many cases, or better than is told.</summary>
    /// <param name="rows">Rows of the table.</param>
    /// <param name="project">Project that ran.</param>
    /// <param name="noted">What its tests noted.</param>
    /// <param name="isPart">Whether only some of its tests ran.</param>
    internal static IEnumerable<string> Faults(
        IEnumerable<CsvRow> rows,
        string project,
        IReadOnlyDictionary<string, (int Cases, double Worst)> noted,
        bool isPart
    )
    {
        foreach (CsvRow row in rows)
        {
            string id = row["id"];
            bool isOurs = row["test"] == project;
            if (!noted.TryGetValue(id, out (int Cases, double Worst) found))
            {
                if (isOurs && !isPart)
                {
                    yield return $"{id}: no test noted it, data/truth.csv says that one of {project} does";
                }
                continue;
            }
            (int cases, double worst) = found;
            int all = int.Parse(row["cases"], CultureInfo.InvariantCulture);
            if (!isOurs)
            {
                yield return $"{id}: noted by {project}, data/truth.csv says by '{row["test"]}'";
            }
            if (cases > all || (cases < all && !isPart))
            {
                yield return $"{id}: {cases} cases were seen, data/truth.csv tells {all}";
            }
            else if (cases == all && worst * MostRounding < Told(row) && Told(row) > RoundingError)
            {
                yield return string.Create(
                    CultureInfo.InvariantCulture,
                    $"{id}: {worst:g3} found in {cases} cases, data/truth.csv tells {row["error"]} {row["unit"]}"
                );
            }
        }
    }

    // As the table calls it: Core for Graftbench.Core.Tests.
    private static string Project { get; } = typeof(Truth).Assembly.GetName().Name!.Split('.')[1];

    // Whether only some of the tests were asked for.
    private static bool IsPart { get; } =
        Environment
            .GetCommandLineArgs()
            .Skip(1)
            .Any(argument =>
                argument.TrimStart('-') is var name
                && (string[])["class", "method", "namespace", "trait", "id", "query", "filter"] is var filters
                && Array.Exists(filters, filter => name.StartsWith(filter, StringComparison.Ordinal))
            );

    private static double Told(CsvRow row) => double.Parse(row["error"], CultureInfo.InvariantCulture);
}

/// <summary>Looks at the end whether the table tells what all the tests found.</summary>
public sealed class TruthBook : IDisposable
{
    /// <inheritdoc />
    public void Dispose()
    {
        List<string> faults = [.. Truth.Faults()];
        if (faults.Count > 0 && Environment.GetEnvironmentVariable("GRAFTBENCH_TRUTH") is null)
        {
            throw new InvalidOperationException(string.Join('\n', faults));
        }
    }
}
