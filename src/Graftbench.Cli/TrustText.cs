using Graftbench.Core.Findings;
using Graftbench.Firmware.Dumps;

namespace Graftbench.Cli;

/// <summary>The answer about a chip's reads as a person reads it.</summary>
internal static class TrustText
{
    private const int Column = 26;
    private const int MapWidth = 64;

    /// <summary>A whole answer.</summary>
    public static string Of(DumpAnswer answer)
    {
        Page page = new();
        page.Add(answer.Summary, 2).Add().Add("Reads");
        foreach (ReadAnswer read in answer.Reads)
        {
            string wrong = read.WrongBitsNumber is { } bits ? $", about {bits:0} wrong bits" : "";
            string odd = read.OddBlocks == 0 ? "" : $", alone in {read.OddBlocks} blocks";
            page.Add($"  {read.Name}", $"{read.Bytes} bytes{wrong}{odd}", Column);
            page.Add("", $"SHA-256 {read.Sha256}", Column);
        }
        AddPairs(page, answer);
        page.Add().Add("Findings");
        AddFindings(page, answer.Findings);
        AddMap(page, answer.Map);
        return page.ToString();
    }

    /// <summary>Findings, one paragraph each.</summary>
    public static void AddFindings(Page page, IEnumerable<Finding> findings)
    {
        foreach (Finding finding in findings)
        {
            string limit = finding.Limit is null ? "" : $", limit {finding.Limit}";
            string value = finding.Value is null && limit.Length == 0 ? "" : $" ({finding.Value ?? "no value"}{limit})";
            page.Add(
                $"  {Say.Verdict(finding.Verdict)}, {finding.Where}: {finding.What}{value}{(finding.Source is null ? "" : $" [{finding.Source}]")}",
                4
            );
            if (finding.Todo is { } todo)
            {
                page.Add($"    → {todo}", 6);
            }
        }
    }

    private static void AddPairs(Page page, DumpAnswer answer)
    {
        foreach (PairComparison pair in answer.Pairs)
        {
            DifferenceCounts all = pair.All;
            page.Add().Add($"{answer.Reads[pair.First].Name} against {answer.Reads[pair.Second].Name}");
            page.Add("  differ", $"{all.Bytes} bytes, {all.Bits} bits; {all.SingleBitBytes} bytes in one bit", Column);
            page.Add("  by data bit, 0 to 7", Listed(Enumerable.Range(0, 8).Select(all.OnLine)), Column);
            page.Add("    1 in the first", Listed(all.SetInFirst), Column);
            int bits = (int)Math.Ceiling(Math.Log2(Math.Max(2, pair.CommonBytes)));
            page.Add("  where the address bit is 1", Listed(all.AtAddressBit.Take(bits)), Column + 4);
        }
        if (answer.ErrorRate is { } rate)
        {
            page.Add();
            page.Add(
                "Bit errors",
                rate.RateFraction > 0
                    ? $"{rate.RateFraction:0.0e+0} ({rate.LowFraction:0.0e+0} to {rate.HighFraction:0.0e+0}, 95 %) of all bits read"
                    : $"none seen; below {rate.HighFraction:0.0e+0} of all bits read (95 %)",
                Column
            );
        }
        if (answer.Vote is { } vote)
        {
            page.Add(
                "Vote, not to be trusted",
                $"changes {Listed(vote.ChangedBytes)} bytes of the reads, {vote.SplitBytes} without a majority",
                Column
            );
        }
    }

    private static void AddMap(Page page, DumpMap map)
    {
        page.Add().Add($"Map, one sign for {map.BlockBytes / 1024} KiB");
        page.Add("  = equal, F and 0 blank, n lone bits, l one data line, c contact lost, s moved, a other address,");
        page.Add("  d other content, - missing");
        string last = "";
        bool dots = false;
        for (int at = 0; at < map.Signs.Length; at += MapWidth)
        {
            string row = map.Signs.Substring(at, Math.Min(MapWidth, map.Signs.Length - at));
            // Rows that repeat are left out, as in any listing of memory.
            if (row == last)
            {
                if (!dots)
                {
                    page.Add("  ...");
                }
                dots = true;
                continue;
            }
            dots = false;
            last = row;
            page.Add($"  {(long)at * map.BlockBytes:X8}  {row}");
        }
    }

    private static string Listed(IEnumerable<long> numbers) => string.Join(' ', numbers);
}
