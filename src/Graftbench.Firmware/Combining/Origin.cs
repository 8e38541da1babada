using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Facts;

namespace Graftbench.Firmware.Combining;

/// <summary>Where a run of bytes comes from.</summary>
public enum OriginSource
{
    /// <summary>The newer image.</summary>
    Newer,

    /// <summary>The board's own dump.</summary>
    Own,

    /// <summary>Computed by a rule.</summary>
    Computed,
}

/// <summary>A run of bytes of the result and where it comes from.</summary>
/// <param name="Start">Offset in the result.</param>
/// <param name="Length">Number of bytes.</param>
/// <param name="Source">Where they come from.</param>
/// <param name="SourceStart">Offset in the source; 0 for computed bytes.</param>
/// <param name="Rule">Why, in words; the rule for computed bytes.</param>
public sealed record OriginRun(int Start, int Length, OriginSource Source, int SourceStart, string Rule)
{
    /// <summary>Computed bytes; one byte stands for the whole run where all are alike. Empty for copied ones.</summary>
    public ReadOnlyMemory<byte> Computed { get; init; }

    /// <summary>Offset behind the run.</summary>
    public int End => Start + Length;
}

/// <summary>For every byte of the result: which file it comes from and where there, or by which rule it was computed.</summary>
public sealed class OriginMap
{
    /// <summary>Name of the exported form.</summary>
    public const string Format = "graftbench-origin-1";

    private OriginMap(
        IReadOnlyList<OriginRun> runs,
        int length,
        string ownSha256,
        string newerSha256,
        string resultSha256
    )
    {
        Runs = runs;
        Length = length;
        OwnSha256 = ownSha256;
        NewerSha256 = newerSha256;
        ResultSha256 = resultSha256;
    }

    /// <summary>Runs in rising order; together they cover the result exactly.</summary>
    public IReadOnlyList<OriginRun> Runs { get; }

    /// <summary>Length of the result [bytes].</summary>
    public int Length { get; }

    /// <summary>SHA-256 of the board's own dump.</summary>
    public string OwnSha256 { get; }

    /// <summary>SHA-256 of the newer image.</summary>
    public string NewerSha256 { get; }

    /// <summary>SHA-256 of the result.</summary>
    public string ResultSha256 { get; }

    internal static OriginMap Of(
        IReadOnlyList<OriginRun> runs,
        ReadOnlySpan<byte> own,
        ReadOnlySpan<byte> newer,
        ReadOnlySpan<byte> result
    ) => new(runs, result.Length, Hash(own), Hash(newer), Hash(result));

    /// <summary>Whether the runs cover the result from its first byte to its last, each once.</summary>
    public bool Tiles()
    {
        int next = 0;
        foreach (OriginRun run in Runs)
        {
            if (run.Start != next || run.Length <= 0)
            {
                return false;
            }
            next = run.End;
        }
        return next == Length;
    }

    /// <summary>Builds the result again from the sources and the runs alone.</summary>
    /// <param name="own">The board's own dump.</param>
    /// <param name="newer">The newer image.</param>
    /// <returns>The bytes; null where a run reaches beyond its source.</returns>
    public byte[]? Rebuild(ReadOnlySpan<byte> own, ReadOnlySpan<byte> newer)
    {
        byte[] built = new byte[Length];
        foreach (OriginRun run in Runs)
        {
            if (run.Start < 0 || run.Length < 0 || run.Length > Length - run.Start)
            {
                return null;
            }
            Span<byte> place = built.AsSpan(run.Start, run.Length);
            if (run.Source == OriginSource.Computed)
            {
                if (run.Computed.Length == run.Length)
                {
                    run.Computed.Span.CopyTo(place);
                }
                else if (run.Computed.Length == 1)
                {
                    place.Fill(run.Computed.Span[0]);
                }
                else
                {
                    return null;
                }
                continue;
            }
            ReadOnlySpan<byte> source = run.Source == OriginSource.Own ? own : newer;
            if (run.SourceStart < 0 || run.Length > source.Length - run.SourceStart)
            {
                return null;
            }
            source.Slice(run.SourceStart, run.Length).CopyTo(place);
        }
        return built;
    }

    /// <summary>The map as JSON.</summary>
    /// <param name="authority">Who asked for the result and by what right, to stand in it.</param>
    public string ToJson(string? authority = null)
    {
        using MemoryStream stream = new();
        using (Utf8JsonWriter json = new(stream, new JsonWriterOptions { Indented = true, NewLine = "\n" }))
        {
            json.WriteStartObject();
            json.WriteString("format", Format);
            if (authority is not null)
            {
                json.WriteString("authority", authority);
            }
            json.WriteNumber("length", Length);
            json.WriteString("resultSha256", ResultSha256);
            json.WriteString("ownSha256", OwnSha256);
            json.WriteString("newerSha256", NewerSha256);
            json.WriteStartArray("runs");
            foreach (OriginRun run in Runs)
            {
                json.WriteStartObject();
                json.WriteNumber("start", run.Start);
                json.WriteNumber("length", run.Length);
                json.WriteString("source", Word(run.Source));
                if (run.Source == OriginSource.Computed)
                {
                    json.WriteString(
                        run.Computed.Length == run.Length ? "bytes" : "fill",
                        Convert.ToHexStringLower(run.Computed.Span)
                    );
                }
                else
                {
                    json.WriteNumber("sourceStart", run.SourceStart);
                }
                json.WriteString("rule", run.Rule);
                json.WriteEndObject();
            }
            json.WriteEndArray();
            json.WriteEndObject();
        }
        return Encoding.UTF8.GetString(stream.ToArray()) + "\n";
    }

    /// <summary>The map as comma-separated values, a line for each run.</summary>
    public string ToCsv()
    {
        StringBuilder text = new("start,length,source,source_start,computed,rule\n");
        foreach (OriginRun run in Runs)
        {
            bool computed = run.Source == OriginSource.Computed;
            text.Append(
                CultureInfo.InvariantCulture,
                $"{run.Start},{run.Length},{Word(run.Source)},{(computed ? "" : run.SourceStart)},{(computed ? Convert.ToHexStringLower(run.Computed.Span) : "")},{CsvCell.Of(run.Rule)}\n"
            );
        }
        return text.ToString();
    }

    private static string Word(OriginSource source) => source.ToString().ToLowerInvariant();

    private static string Hash(ReadOnlySpan<byte> bytes) => Convert.ToHexStringLower(SHA256.HashData(bytes));
}

/// <summary>A result while it is put together: starts as the newer image, and every change brings its origin.</summary>
internal sealed class Composition
{
    private readonly byte[] result;
    private readonly ReadOnlyMemory<byte> own;
    private readonly ReadOnlyMemory<byte> newer;
    private readonly List<OriginRun> runs = [];

    public Composition(ReadOnlyMemory<byte> own, ReadOnlyMemory<byte> newer)
    {
        this.own = own;
        this.newer = newer;
        result = newer.ToArray();
        if (result.Length > 0)
        {
            runs.Add(new OriginRun(0, result.Length, OriginSource.Newer, 0, "newer image, unchanged"));
        }
    }

    public ReadOnlySpan<byte> Bytes => result;

    /// <summary>Bytes of the own dump.</summary>
    public void PutOwn(int start, int length, int ownStart, string rule)
    {
        own.Span.Slice(ownStart, length).CopyTo(result.AsSpan(start, length));
        Cover(new OriginRun(start, length, OriginSource.Own, ownStart, rule));
    }

    /// <summary>Bytes of the newer image, from another place of it.</summary>
    public void PutNewer(int start, int length, int newerStart, string rule)
    {
        newer.Span.Slice(newerStart, length).CopyTo(result.AsSpan(start, length));
        Cover(new OriginRun(start, length, OriginSource.Newer, newerStart, rule));
    }

    /// <summary>Computed bytes.</summary>
    public void PutComputed(int start, byte[] bytes, string rule)
    {
        bytes.CopyTo(result, start);
        Cover(new OriginRun(start, bytes.Length, OriginSource.Computed, 0, rule) { Computed = bytes });
    }

    /// <summary>One value over and over.</summary>
    public void Fill(int start, int length, byte value, string rule)
    {
        result.AsSpan(start, length).Fill(value);
        Cover(new OriginRun(start, length, OriginSource.Computed, 0, rule) { Computed = new[] { value } });
    }

    public (byte[] Result, OriginMap Map) Finish() => (result, OriginMap.Of(runs, own.Span, newer.Span, result));

    // What lies under the new run is cut away.
    private void Cover(OriginRun run)
    {
        if (run.Length == 0)
        {
            return;
        }
        int first = runs.FindIndex(one => one.End > run.Start);
        int last = runs.FindLastIndex(one => one.Start < run.End);
        List<OriginRun> pieces = [];
        if (Part(runs[first], runs[first].Start, run.Start) is { } before)
        {
            pieces.Add(before);
        }
        pieces.Add(run);
        if (Part(runs[last], run.End, runs[last].End) is { } after)
        {
            pieces.Add(after);
        }
        runs.RemoveRange(first, last - first + 1);
        runs.InsertRange(first, pieces);
    }

    private static OriginRun? Part(OriginRun run, int start, int end)
    {
        if (start >= end)
        {
            return null;
        }
        bool literal = run.Computed.Length == run.Length;
        return run with
        {
            Start = start,
            Length = end - start,
            SourceStart = run.Source == OriginSource.Computed ? 0 : run.SourceStart + (start - run.Start),
            Computed =
                literal && run.Source == OriginSource.Computed
                    ? run.Computed[(start - run.Start)..(end - run.Start)]
                    : run.Computed,
        };
    }
}
