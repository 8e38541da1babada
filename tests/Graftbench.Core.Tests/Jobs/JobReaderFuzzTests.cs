using System.Diagnostics;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Jobs;

/// <summary>Whatever the bytes are, only problems come out; and the parser and the reader agree on what is JSON.</summary>
public sealed class JobReaderFuzzTests
{
    private const string NotJson = "RFC 8259, with comments and trailing commas";

    private static readonly string[] Pieces =
    [
        "{",
        "}",
        "[",
        "]",
        ",",
        ":",
        "\"",
        "\\",
        "//",
        "/*",
        "*/",
        "\n",
        "\t",
        "\0",
        "NaN",
        "-Infinity",
        "1e999",
        "-0",
        "null",
        "true",
        "\"\\ud800\"",
        "\"\\u0000\"",
        "\u00A0",
        "“",
        "1,5",
        "\"host\":",
        "\"chips\":[]",
        "0.00076",
        "{\"a\":",
        "[[[[[[[[",
        "'",
        "\"2026-03-01\"",
        "\"9999-12-31T23:59:59-14:00\"",
        "\"0001-01-01T00:00:00+14:00\"",
        "99999999999999999999",
        "\r",
    ];

    [Theory, MemberData(nameof(Corpus.GoodFiles), MemberType = typeof(Corpus))]
    public void A_file_cut_anywhere_is_a_problem_and_says_so_quickly(string name)
    {
        byte[] good = Corpus.ReadGood(name);
        Stopwatch clock = Stopwatch.StartNew();
        int end = good.AsSpan().LastIndexOf((byte)'}');
        for (int length = 0; length <= end; length++)
        {
            JobReading reading = JobReader.Read(good.AsSpan(0, length), Corpus.Now);
            Check(reading, good.AsSpan(0, length));
            Assert.Null(reading.Job);
        }
        Assert.True(clock.Elapsed < TimeSpan.FromSeconds(30), $"{end} cuts took {clock.Elapsed}");
    }

    [Theory, MemberData(nameof(Corpus.GoodFiles), MemberType = typeof(Corpus))]
    public void A_damaged_file_gives_problems_only(string name)
    {
        byte[] good = Corpus.ReadGood(name);
        for (int seed = 0; seed < 1500; seed++)
        {
            byte[] damaged = Damage(good, new Random(seed));
            Check(JobReader.Read(damaged, Corpus.Now), damaged);
        }
    }

    [Theory, MemberData(nameof(Corpus.BrokenFiles), MemberType = typeof(Corpus))]
    public void A_broken_file_may_be_damaged_further(string name)
    {
        byte[] broken = Corpus.ReadBroken(name);
        for (int seed = 0; seed < 200; seed++)
        {
            byte[] damaged = Damage(broken, new Random(seed));
            Check(JobReader.Read(damaged, Corpus.Now), damaged);
        }
    }

    [Fact]
    public void Random_bytes_give_problems_only()
    {
        for (int seed = 0; seed < 1500; seed++)
        {
            Random random = new(seed);
            byte[] bytes = new byte[random.Next(0, 300)];
            random.NextBytes(bytes);
            JobReading reading = JobReader.Read(bytes, Corpus.Now);
            Check(reading, bytes);
            Assert.Null(reading.Job);
        }
    }

    private static byte[] Damage(byte[] good, Random random)
    {
        List<byte> bytes = [.. good];
        int times = random.Next(1, 5);
        for (int i = 0; i < times; i++)
        {
            int at = random.Next(0, bytes.Count + 1);
            int length = Math.Min(random.Next(1, 40), bytes.Count - at);
            switch (random.Next(0, 6))
            {
                case 0 when at < bytes.Count:
                    bytes[at] = (byte)random.Next(0, 256);
                    break;
                case 1:
                    bytes.RemoveRange(at, length);
                    break;
                case 2:
                    bytes.InsertRange(at, bytes.GetRange(at, length));
                    break;
                case 3 when at < bytes.Count:
                    bytes[at] ^= (byte)(1 << random.Next(0, 8));
                    break;
                default:
                    bytes.InsertRange(at, Encoding.UTF8.GetBytes(Pieces[random.Next(Pieces.Length)]));
                    break;
            }
        }
        return [.. bytes];
    }

    private static void Check(JobReading reading, ReadOnlySpan<byte> bytes)
    {
        Assert.Equal(reading.Job is null, reading.Problems.Count > 0);
        Assert.InRange(reading.Problems.Count, 0, JobReading.MostProblems);
        (int Line, int Column) last = (0, 0);
        foreach (JobProblem problem in reading.Problems)
        {
            Assert.True(problem.Line >= 1 && problem.Column >= 1, $"{problem}");
            Assert.True((problem.Line, problem.Column).CompareTo(last) >= 0, $"{problem} stands before {last}");
            Assert.DoesNotContain("cannot be bound", problem.What, StringComparison.Ordinal);
            Assert.False(problem.Path.StartsWith('='), problem.Path);
            last = (problem.Line, problem.Column);
        }
        bool saysNotJson = reading.Problems.Any(problem => problem.Whose == NotJson);
        bool saysNotNumber = reading.Problems.Any(problem =>
            problem.What.StartsWith("This is not a number", StringComparison.Ordinal)
        );
        bool refused = reading.Problems.Any(problem =>
            problem is { Line: 1, Column: 1, Path: "", Whose: "job format" }
        );
        bool brokenText = reading.Problems.Any(problem =>
            problem.What.StartsWith("The text is not UTF-8", StringComparison.Ordinal)
        );
        if (!refused && !brokenText && reading.NotListed == 0)
        {
            Assert.Equal(IsJson(bytes), !saysNotJson && !saysNotNumber);
        }
    }

    // The platform's parser, used on its own.
    private static bool IsJson(ReadOnlySpan<byte> bytes)
    {
        ReadOnlySpan<byte> text = bytes.StartsWith((ReadOnlySpan<byte>)[0xEF, 0xBB, 0xBF]) ? bytes[3..] : bytes;
        try
        {
            using JsonDocument document = JsonDocument.Parse(
                text.ToArray(),
                new JsonDocumentOptions
                {
                    AllowTrailingCommas = true,
                    CommentHandling = JsonCommentHandling.Skip,
                    MaxDepth = JobFormat.MaxDepth,
                }
            );
            return true;
        }
        catch (JsonException)
        {
            return false;
        }
    }
}
