using System.Diagnostics;
using System.Globalization;
using System.Text;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Inspection;

namespace Graftbench.Fuzz;

/// <summary>Spoils ball lists and reads them: nothing may be thrown, no ball may stand twice, nothing may pass without a word.</summary>
internal static class ListFuzz
{
    private const double LongestS = 1;

    private static readonly string[] Signs =
    [
        "\"",
        "(",
        ")",
        ":",
        ";",
        ",",
        "\n",
        "[",
        "]",
        "--",
        "&",
        "0",
        "999999999999",
        "|",
        "\t",
        "=",
        ":=",
        "\0",
        "Ω",
        "(0 to 2147483647)",
        "ZZ99",
    ];

    /// <summary>Runs so many inputs of each file.</summary>
    /// <param name="folder">Folder of the seeds.</param>
    /// <param name="each">Inputs of each.</param>
    /// <param name="firstSeed">First seed.</param>
    /// <returns>How many broke.</returns>
    public static int Run(string folder, int each, int firstSeed)
    {
        int broken = 0;
        foreach (string file in Directory.GetFiles(folder).Order(StringComparer.Ordinal))
        {
            string good = File.ReadAllText(file);
            Stopwatch clock = Stopwatch.StartNew();
            double longestS = 0;
            Parallel.For(
                0,
                each,
                i =>
                {
                    string text = Spoilt(good, new Random(unchecked((firstSeed * 1_000_003) + i)));
                    long start = Stopwatch.GetTimestamp();
                    string? fault = Try(text);
                    double seconds = Stopwatch.GetElapsedTime(start).TotalSeconds;
                    longestS = Math.Max(longestS, seconds);
                    fault ??= seconds > LongestS && Again(text) > LongestS ? $"took {seconds:0.0} s" : null;
                    if (fault is not null && Interlocked.Increment(ref broken) <= 10)
                    {
                        Console.WriteLine($"{Path.GetFileName(file)}, input {i}: {fault}\n{text}");
                    }
                }
            );
            Console.WriteLine(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{Path.GetFileName(file), -20} {each} inputs {clock.Elapsed.TotalSeconds:0.0} s, longest {1000 * longestS:0} ms"
                )
            );
        }
        return broken;
    }

    private static string Spoilt(string good, Random random)
    {
        StringBuilder text = new(good);
        for (int edits = random.Next(1, 8); edits > 0; edits--)
        {
            int at = random.Next(text.Length + 1);
            switch (random.Next(5))
            {
                case 0:
                    text.Remove(at, Math.Min(text.Length - at, random.Next(40)));
                    break;
                case 1:
                    text.Insert(at, Signs[random.Next(Signs.Length)]);
                    break;
                case 2 when at < text.Length:
                    text[at] = (char)random.Next(1, 256);
                    break;
                case 3:
                    text.Length = at;
                    break;
                default:
                    int from = random.Next(text.Length + 1);
                    text.Insert(at, text.ToString(from, Math.Min(text.Length - from, random.Next(120))));
                    break;
            }
        }
        return text.ToString();
    }

    private static double Again(string text)
    {
        long start = Stopwatch.GetTimestamp();
        Try(text);
        return Stopwatch.GetElapsedTime(start).TotalSeconds;
    }

    private static string? Try(string text)
    {
        try
        {
            MapReading reading = BallMapReader.Read(text, BallView.Top);
            foreach (BallMap map in reading.Packages)
            {
                if (map.Balls.Select(ball => (ball.Row, ball.Column)).Distinct().Count() != map.Balls.Count)
                {
                    return "a ball stands twice";
                }
                MapComparer.Compare(map, map);
            }
            return reading.Packages.Count + reading.Problems.Count == 0 ? "nothing was read and nothing said" : null;
        }
        catch (Exception error)
        {
            return error.ToString();
        }
    }
}
