using System.Diagnostics;
using System.Text;
using Graftbench.Core.Jobs;
using Graftbench.Tests.Shared;

namespace Graftbench.Core.Tests.Jobs;

/// <summary>Documents made to cost time or memory: the answer comes quickly and stays short.</summary>
public sealed class JobReaderHostileTests
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(10);
    private const int Million = 1_000_000;

    [Fact]
    public void Fifty_megabytes_are_refused_by_their_size()
    {
        byte[] junk = new byte[50 * 1024 * 1024];
        junk.AsSpan().Fill((byte)'{');
        JobProblem problem = Assert.Single(Read(junk).Problems);
        Assert.Equal("50 MiB", problem.Value);
        Assert.Equal("at most 16 MiB", problem.Allowed);
    }

    [Fact]
    public void Sizes_from_outside_give_the_same_problem() =>
        Assert.Equal(Read(new byte[50 * 1024 * 1024]).Problems, JobReader.TooLarge(50 * 1024 * 1024).Problems);

    [Theory]
    [InlineData("[")]
    [InlineData("{\"a\":")]
    [InlineData("{\"host\":")]
    public void A_million_open_brackets(string bracket) =>
        Assert.Contains("nested too deep", Read(Repeat(bracket)).Problems[^1].What, StringComparison.Ordinal);

    [Theory]
    [InlineData("{ \"chips\": [", "0,", "] }", 200)]
    [InlineData("{ \"chips\": [", "null,", "] }", 200)]
    [InlineData("{ \"chips\": [", "{},", "] }", 200)]
    [InlineData("{", "\"x\":0,", "}", 200)]
    [InlineData("{", "\"\\u0078\":0,", "}", 200)]
    [InlineData("{", "\"id\":0,", "}", 200)]
    [InlineData("{ \"chips\": [", "NaN,", "] }", 200)]
    [InlineData("{ \"x\": [", "-Infinity,", "] }", 200)]
    [InlineData("{ \"title\": \"", "é", "\" }", 4)]
    [InlineData("{ \"id\": \"", "a-", "\" }", 4)]
    [InlineData("{ \"openedAt\": \"", "2026-", "\" }", 5)]
    [InlineData("{ \"", "\\u0078", "\": 0 }", 5)]
    [InlineData("/", "/*", "", 1)]
    [InlineData("{ ", "\"a\" ", "", 1)]
    [InlineData("{ \"a\": ", "\"\n", "", 1)]
    [InlineData("{ ", "/**/", "}", 5)]
    [InlineData("", "junk ", "", 1)]
    [InlineData("", "\n", "x", 1)]
    public void A_million_of_anything(string begin, string piece, string end, int atLeast)
    {
        byte[] text = [.. Encoding.UTF8.GetBytes(begin), .. Repeat(piece), .. Encoding.UTF8.GetBytes(end)];
        JobReading reading = Read(text);
        Assert.True(reading.Problems.Count >= atLeast, Spelled.Problems(reading));
        Assert.True(reading.Problems.Count <= JobReading.MostProblems);
        Assert.All(
            reading.Problems,
            problem => Assert.True(problem.Value is null || problem.Value.Length < 100, problem.Value)
        );
        Assert.All(reading.Problems, problem => Assert.True(problem.Path.Length < 200, problem.Path));
    }

    [Fact]
    public void Problems_beyond_the_list_are_counted()
    {
        JobReading reading = Read(
            Encoding.UTF8.GetBytes("{ \"x\": [" + string.Concat(Enumerable.Repeat("NaN,", 1000)) + "] }")
        );
        // A thousand numbers that are none, the unknown field, and the four fields that a job needs.
        Assert.Equal(1000 + 1 + 4, reading.Problems.Count + reading.NotListed);
        Assert.Equal(JobReading.MostProblems, reading.Problems.Count);
    }

    [Fact]
    public void Broken_text_is_listed_by_its_places_only()
    {
        byte[] text = new byte[Million];
        text.AsSpan().Fill((byte)' ');
        for (int i = 0; i < text.Length; i += 2)
        {
            text[i] = 0xE9;
        }
        JobReading reading = Read(text);
        Assert.Equal(JobReading.MostProblems, reading.Problems.Count);
        Assert.True(reading.NotListed > 400_000);
    }

    [Fact]
    public void Lists_too_long_for_the_checks_across_fields_are_not_checked_across()
    {
        StringBuilder stays = new();
        for (int i = 0; i < 60_000; i++)
        {
            stays.Append(
                $"{{\"of\":\"{(i % 2 == 0 ? "U1" : "host")}\",\"place\":\"room\",\"from\":\"2026-01-01T00:00:00Z\"}},\n"
            );
        }
        string job =
            Encoding.UTF8.GetString(Corpus.ReadGood("smallest.json")).TrimEnd().TrimEnd('}')
            + ", \"history\": { \"exposures\": ["
            + stays
            + "] } }";
        JobProblem problem = Assert.Single(Read(Encoding.UTF8.GetBytes(job)).Problems);
        Assert.Equal("history.exposures", problem.Path);
        Assert.Equal("60000 entries", problem.Value);
    }

    [Fact]
    public void As_many_overlapping_stays_as_a_job_may_have()
    {
        StringBuilder stays = new();
        for (int i = 0; i < 5000; i++)
        {
            stays.Append(
                $"{{\"of\":\"{(i % 2 == 0 ? "U1" : "host")}\",\"place\":\"room\",\"from\":\"2026-01-01T00:00:00Z\"}},\n"
            );
        }
        string chip = Encoding
            .UTF8.GetString(Corpus.ReadGood("smallest.json"))
            .Replace("\"shelf\"", "\"host\"", StringComparison.Ordinal);
        string job = chip.TrimEnd().TrimEnd('}') + ", \"history\": { \"exposures\": [" + stays + "] } }";
        JobReading reading = Read(Encoding.UTF8.GetBytes(job));
        // All but the first of each subject overlap, and each of the chip's own the board's.
        Assert.Equal(2 * 2499 + 2500, reading.Problems.Count + reading.NotListed);
    }

    // The figure itself is in the benchmark; this only tells a slow walk from a slow machine.
    [Fact]
    public void Five_megabytes_of_a_real_job_are_read_in_a_moment()
    {
        byte[] job = LargeJob.Make(5_000_000);
        Assert.InRange(job.Length, 4_900_000, 5_100_000);
        Assert.NotNull(JobReader.Read(job, LargeJob.Now).Job);
        Stopwatch clock = Stopwatch.StartNew();
        Assert.NotNull(JobReader.Read(job, LargeJob.Now).Job);
        Assert.True(clock.Elapsed < TimeSpan.FromSeconds(3), $"took {clock.Elapsed}");
    }

    private static JobReading Read(byte[] text)
    {
        Stopwatch clock = Stopwatch.StartNew();
        JobReading reading = JobReader.Read(text, Corpus.Now);
        Assert.True(clock.Elapsed < Patience, $"{text.Length} bytes took {clock.Elapsed}");
        Assert.Null(reading.Job);
        return reading;
    }

    private static byte[] Repeat(string piece)
    {
        byte[] one = Encoding.UTF8.GetBytes(piece);
        byte[] all = new byte[Math.Min(Million, 15 * Million / one.Length) * one.Length];
        for (int i = 0; i < all.Length; i += one.Length)
        {
            one.CopyTo(all, i);
        }
        return all;
    }
}
