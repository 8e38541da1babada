using Graftbench.Core.Jobs;

namespace Graftbench.Core.Proof;

/// <summary>What is wrong with a list of readings.</summary>
/// <param name="Line">Line in the file, from 1; 0 where it is the file as a whole.</param>
/// <param name="What">What is wrong, in one sentence.</param>
/// <param name="Todo">What to do about it.</param>
/// <param name="Stops">Whether the list cannot be used as it is.</param>
public sealed record ReadingProblem(int Line, string What, string Todo, bool Stops = true);

/// <summary>What came of reading a list.</summary>
/// <param name="Readings">The readings that could be taken.</param>
/// <param name="Problems">What is wrong, in the order of the file, at most <see cref="ReadingList.MostProblems"/>.</param>
/// <param name="NotListed">Problems beyond those.</param>
public sealed record ReadingListResult(
    IReadOnlyList<Reading> Readings,
    IReadOnlyList<ReadingProblem> Problems,
    int NotListed
)
{
    /// <summary>Whether it can be used as it is.</summary>
    public bool Sound => Readings.Count > 0 && NotListed == 0 && !Problems.Any(problem => problem.Stops);
}

/// <summary>Lists of readings as text in columns; docs/readings.md has the format.</summary>
public static class ReadingList
{
    /// <summary>Most readings of a list: our own limit.</summary>
    public const int MostReadings = 20_000;

    /// <summary>Longest list [characters]: our own limit.</summary>
    public const int MostCharacters = 8 * 1024 * 1024;

    /// <summary>Most problems that are listed one by one.</summary>
    public const int MostProblems = 200;

    /// <summary>Whether a piece of evidence is a list of readings: of that kind, with a file that ends in <c>.csv</c>.</summary>
    /// <param name="entry">The evidence.</param>
    public static bool IsNamedBy(EvidenceEntry entry)
    {
        ArgumentNullException.ThrowIfNull(entry);
        return entry.Kind == EvidenceKind.Reading
            && entry.File?.EndsWith(".csv", StringComparison.OrdinalIgnoreCase) == true;
    }

    /// <summary>Reads a list. Content never throws: what cannot be read is a problem with its line.</summary>
    /// <param name="text">Text of the file.</param>
    /// <param name="state">State of readings whose line names none; null where every line must name it.</param>
    public static ReadingListResult Read(string text, ReadingState? state = null)
    {
        ArgumentNullException.ThrowIfNull(text);
        return ReadingListReader.Read(text, state);
    }

    /// <summary>Writes a list that <see cref="Read"/> reads back to the same readings.</summary>
    public static string Write(IEnumerable<Reading> readings)
    {
        ArgumentNullException.ThrowIfNull(readings);
        return ReadingListWriter.Write(readings);
    }
}
