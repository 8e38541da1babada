using System.Globalization;
using System.Text;

namespace Graftbench.Core.Jobs;

/// <summary>Finds the name that was probably meant, and spells found values for messages.</summary>
internal static class JobReaderNames
{
    private const int LongestCompared = 64;
    private const int LongestShown = 48;

    /// <summary>The known name nearest to a given one; null where none is near.</summary>
    public static string? Nearest(string given, IEnumerable<string> known)
    {
        string cut = given.Length > LongestCompared ? given[..LongestCompared] : given;
        string plain = Plain(cut);
        string? best = null;
        int bestDistance = int.MaxValue;
        foreach (string name in known)
        {
            string other = Plain(name);
            int distance = Distance(plain, other);
            // A unit or a word left out is a common slip: "height" for "heightMm", "layers" for "copperLayers".
            if (
                plain.Length >= 4
                && (
                    other.Contains(plain, StringComparison.Ordinal) || plain.StartsWith(other, StringComparison.Ordinal)
                )
            )
            {
                distance = Math.Min(distance, 1);
            }
            if (distance < bestDistance)
            {
                bestDistance = distance;
                best = name;
            }
        }
        int limit = Math.Max(1, plain.Length * 2 / 5);
        return bestDistance <= limit ? best : null;
    }

    /// <summary>Joins names for a message.</summary>
    public static string List(IEnumerable<string> names) => string.Join(", ", names);

    /// <summary>A found value as one short line: control characters spelled out, the middle cut.</summary>
    public static string Show(string value)
    {
        StringBuilder text = new();
        foreach (char c in value)
        {
            if (text.Length >= LongestShown)
            {
                return text.Append('…').ToString();
            }
            if (
                char.IsControl(c)
                || char.IsSurrogate(c)
                || CharUnicodeInfo.GetUnicodeCategory(c) == UnicodeCategory.Format
            )
            {
                text.Append("\\u").Append(((int)c).ToString("x4"));
            }
            else
            {
                text.Append(c);
            }
        }
        return text.ToString();
    }

    /// <summary>A number with at most six digits that mean something.</summary>
    public static string Number(double value) => value.ToString("G6", CultureInfo.InvariantCulture);

    // Case, dashes and underscores are not what a person gets wrong on purpose.
    private static string Plain(string name)
    {
        StringBuilder plain = new(name.Length);
        foreach (char c in name)
        {
            if (c is not ('-' or '_' or ' '))
            {
                plain.Append(char.ToLowerInvariant(c));
            }
        }
        return plain.ToString();
    }

    // Damerau-Levenshtein distance with neighbours swapped (optimal string alignment).
    private static int Distance(string a, string b)
    {
        int[] before = new int[b.Length + 1];
        int[] last = new int[b.Length + 1];
        int[] row = new int[b.Length + 1];
        for (int j = 0; j <= b.Length; j++)
        {
            last[j] = j;
        }
        for (int i = 1; i <= a.Length; i++)
        {
            row[0] = i;
            for (int j = 1; j <= b.Length; j++)
            {
                int cost = a[i - 1] == b[j - 1] ? 0 : 1;
                row[j] = Math.Min(Math.Min(row[j - 1] + 1, last[j] + 1), last[j - 1] + cost);
                if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                {
                    row[j] = Math.Min(row[j], before[j - 2] + 1);
                }
            }
            (before, last, row) = (last, row, before);
        }
        return last[b.Length];
    }
}
