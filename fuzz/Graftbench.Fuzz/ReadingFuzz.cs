using System.Diagnostics;
using System.Globalization;
using System.Text;
using Graftbench.Core.Proof;

namespace Graftbench.Fuzz;

/// <summary>Spoils lines of meters, lists of readings and traces: nothing may be thrown, no value may lie outside its limits.</summary>
internal static class ReadingFuzz
{
    private static readonly string[] Lines =
    [
        "+0.4523 V DC",
        "OL  kOhm",
        "DCV 1.234E+00",
        "12.34 mV  AUTO",
        "4.702kΩ",
        "1,0.4523,V,DC",
        "CH1: 0.612 V 25.1 C",
        "  -  12.3 mVDC",
        "12:34:56;0,612;V",
    ];

    private static readonly string[] Signs =
    [
        "E",
        "e999",
        "-",
        "+",
        ".",
        ",",
        "OL",
        "0L",
        "Ω",
        "k",
        "M",
        "m",
        "\"",
        "\n",
        ";",
        "\t",
        "=",
        ":",
        "999999999999999999999999",
        "\0",
        "∞",
    ];

    /// <summary>Runs so many inputs of each: lines, lists, traces.</summary>
    /// <param name="folder">Folder of lists and traces.</param>
    /// <param name="each">Inputs.</param>
    /// <param name="firstSeed">First number for the random changes.</param>
    /// <returns>How many broke.</returns>
    public static int Run(string folder, int each, int firstSeed) =>
        Many("meter lines", each, firstSeed, (text, random) => Line(text, (ReadingKind)random.Next(4)), Lines)
        + Many(
            "readings",
            each,
            firstSeed,
            (text, _) => List(text),
            [Text(folder, "readings.csv"), Text(folder, "return.csv")]
        )
        + Many("traces", each, firstSeed, (text, _) => Trace(text), [Text(folder, "trace.csv")]);

    private static string Text(string folder, string name) => File.ReadAllText(Path.Combine(folder, name))[..2000];

    private static int Many(string name, int each, int firstSeed, Func<string, Random, string?> run, string[] good)
    {
        int broken = 0;
        Stopwatch clock = Stopwatch.StartNew();
        Parallel.For(
            0,
            each,
            i =>
            {
                Random random = new(unchecked((firstSeed * 1_000_003) + i));
                string text = Spoilt(good[i % good.Length], random);
                string? fault;
                try
                {
                    fault = run(text, random);
                }
                catch (Exception error)
                {
                    fault = error.ToString();
                }
                if (fault is not null && Interlocked.Increment(ref broken) <= 10)
                {
                    Console.WriteLine($"{name}, input {i}: {fault}\n{text}");
                }
            }
        );
        Console.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{name, -14} {each, 9} inputs {clock.Elapsed.TotalSeconds:0.0} s, {broken} broken"
            )
        );
        return broken;
    }

    private static string Spoilt(string good, Random random)
    {
        StringBuilder text = new(good);
        for (int edits = random.Next(1, 6); edits > 0; edits--)
        {
            int at = random.Next(text.Length + 1);
            switch (random.Next(4))
            {
                case 0:
                    text.Remove(at, Math.Min(text.Length - at, random.Next(8)));
                    break;
                case 1:
                    text.Insert(at, Signs[random.Next(Signs.Length)]);
                    break;
                case 2 when at < text.Length:
                    text[at] = (char)random.Next(1, 256);
                    break;
                default:
                    int from = random.Next(text.Length + 1);
                    text.Insert(at, text.ToString(from, Math.Min(text.Length - from, random.Next(20))));
                    break;
            }
        }
        return text.ToString();
    }

    private static string? Line(string text, ReadingKind kind)
    {
        MeterLine read = MeterLine.Read(text);
        MeterShown shown = new MeterFeed(kind).Line(text, 0);
        ValueReading typed = ReadingText.Parse(text, kind);
        return (read.Value is null) == (read.Problem is null) ? "neither a value nor a problem, or both"
            : (shown.Value is null) == (shown.Problem is null) ? "the feed shows neither a value nor a problem, or both"
            : (typed.Value is null) == (typed.Problem is null) ? "typed: neither a value nor a problem, or both"
            : typed.Value?.Number is { } number && ReadingLimits.Problem(kind, number) is not null
                ? "typed: outside its limits"
            : null;
    }

    private static string? List(string text)
    {
        ReadingListResult read = ReadingList.Read(text);
        if (
            read.Readings.Any(one =>
                one.Value.Number is { } number && ReadingLimits.Problem(one.Kind, number) is not null
            )
        )
        {
            return "a reading lies outside its limits";
        }
        if (read.Readings.Count + read.Problems.Count == 0)
        {
            return "nothing was read and nothing said";
        }
        Prover.Answer(new ProofRequest(read.Readings));
        IReadOnlyList<Reading> back = ReadingList.Read(ReadingList.Write(read.Readings)).Readings;
        return back.Count == read.Readings.Count ? null : "what is written reads back to another number of readings";
    }

    private static string? Trace(string text)
    {
        TraceReading read = CurrentTrace.Read(text);
        if (read.Trace is not { } trace)
        {
            return read.Problems.Count == 0 ? "no trace and nothing said" : null;
        }
        TraceAnswer answer = TraceJudge.Answer(new TraceRequest(trace));
        return answer.Plateaus.All(one => double.IsFinite(one.MeanCurrentA)) ? null : "a plateau without a level";
    }
}
