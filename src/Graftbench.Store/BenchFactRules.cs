using System.Buffers;

namespace Graftbench.Store;

/// <summary>What a fact of a bench may look like, whether it is entered here or comes from a zip.</summary>
public static class BenchFactRules
{
    private const int MaxKindLength = 40;
    private static readonly SearchValues<char> KindLetters = SearchValues.Create(
        "abcdefghijklmnopqrstuvwxyz0123456789-"
    );

    /// <summary>How a bench's probes and logger are read.</summary>
    public const string ProbeFormat = "probe-format";

    /// <summary>What a trial run on a scrap board taught about the bench.</summary>
    public const string Calibration = "calibration";

    /// <summary>Heaters of the bench as a person described them.</summary>
    public const string Heaters = "heaters";

    /// <summary>Longest name of a bench [characters].</summary>
    public const int MaxBenchLength = 200;

    /// <summary>What two names of the same bench have in common: blanks around it and the size of letters do not count.</summary>
    /// <param name="bench">Name of the bench; empty or null for the one without a name.</param>
    public static string KeyOf(string? bench) => (bench ?? "").Trim().ToUpperInvariant();

    /// <summary>What is wrong with the name of the bench and the kind: the field and the words.</summary>
    internal static IEnumerable<(string Field, string Words)> Problems(string bench, string kind)
    {
        if (bench.Length > MaxBenchLength || bench.Any(char.IsControl))
        {
            yield return ("bench", $"must be at most {MaxBenchLength} characters without control characters");
        }
        if (bench.Trim().Length != bench.Length)
        {
            yield return ("bench", "must have no blanks around it");
        }
        if (
            kind.Length is < 1 or > MaxKindLength
            || !char.IsAsciiLetterLower(kind[0])
            || kind.AsSpan().IndexOfAnyExcept(KindLetters) >= 0
        )
        {
            yield return ("kind", "must be 1 to 40 small letters, digits and dashes, starting with a letter");
        }
    }
}
