using Graftbench.Core.Findings;

namespace Graftbench.Firmware.Dumps;

public static partial class DumpTrust
{
    private static void AddPair(
        List<Finding> findings,
        IReadOnlyList<DumpRead> reads,
        PairComparison pair,
        ReadShape[] shapes
    )
    {
        string first = reads[pair.First].Name;
        string second = reads[pair.Second].Name;
        string where = $"{first} and {second}";
        foreach (IGrouping<BlockClass, DifferingStretch> kind in pair.Stretches.GroupBy(one => one.Class))
        {
            List<DifferingStretch> all = [.. kind];
            (string what, string todo) = Words(reads, pair, all);
            findings.Add(
                new Finding(
                    Verdict.FixFirst,
                    "dump." + Code(kind.Key),
                    where,
                    what,
                    Places(all),
                    Source: Rule,
                    Todo: todo
                )
            );
        }
        if (pair.WeakAddressBit is { } bit)
        {
            findings.Add(
                new Finding(
                    Verdict.FixFirst,
                    "dump.weak-address-line",
                    where,
                    $"All differences lie on one side of address bit {bit}, although they are spread over its neighbours.",
                    $"{pair.Noise.AtAddressBit[bit]} of {pair.Noise.Bytes} bytes where it is 1",
                    Source: Rule,
                    Todo: "Check contact and address width, then read again."
                )
            );
        }
        bool inVariables = pair.Stretches.All(stretch =>
            shapes[pair.First].Marks.VariableAreas.Any(area => stretch.Start >= area.Start && stretch.End <= area.End)
        );
        if (inVariables)
        {
            findings.Add(
                new Finding(
                    Verdict.Warning,
                    "dump.only-variables",
                    where,
                    "All differences lie in the volume that firmware writes its variables to: the board may have run between the reads.",
                    Source: Rule,
                    Todo: "Read twice without powering the board in between."
                )
            );
        }
    }

    private static (string What, string Todo) Words(
        IReadOnlyList<DumpRead> reads,
        PairComparison pair,
        List<DifferingStretch> all
    )
    {
        DifferingStretch one = all[0];
        string first = reads[pair.First].Name;
        string second = reads[pair.Second].Name;
        string bad = string.Join(
            " and ",
            all.Select(stretch => stretch.Bad)
                .OfType<int>()
                .Distinct()
                .Order()
                .Select(which => which == 0 ? first : second)
        );
        return one.Class switch
        {
            BlockClass.LoneBits => (
                $"{Count(all.Sum(stretch => stretch.DifferingBits), "lone bit")} read differently: noise, or a marginal supply or clock.",
                "Shorten the leads, slow the clock, check the supply at the chip, then read again."
            ),
            BlockClass.OneLine => (
                $"{Count(all.Sum(stretch => stretch.DifferingBits), "bit")} read differently, all on data bit {pair.WeakLine} and all 1 in {(pair.WeakLineSetInFirst ? first : second)}.",
                "That line is weak: check its contact and level, then read again."
            ),
            BlockClass.ContactLost => (
                $"{bad} has runs of one value where the other read has data: contact was lost, or the place was erased in between.",
                AgainTodo
            ),
            BlockClass.Shifted => (
                $"{first} is {Moves(all)} {second}: clocks lost or too many.",
                "Slow the clock or shorten the leads, then read again."
            ),
            BlockClass.OtherAddress => (
                $"{bad} holds the content of another address there: address bit {Listed([.. all.Select(stretch => stretch.AddressBit).OfType<int>().Distinct().Order()])}.",
                "Check contact and address width, then read again."
            ),
            BlockClass.Missing => Ends(reads, pair),
            _ => (
                "Both reads have plausible data there, and it differs: written between the reads, or two chips.",
                "Make sure that both reads are of this chip; read twice without powering the board in between."
            ),
        };
    }

    private static (string What, string Todo) Ends(IReadOnlyList<DumpRead> reads, PairComparison pair)
    {
        bool firstShorter = reads[pair.First].Bytes.Length < reads[pair.Second].Bytes.Length;
        DumpRead shorter = reads[firstShorter ? pair.First : pair.Second];
        DumpRead longer = reads[firstShorter ? pair.Second : pair.First];
        int size = shorter.Bytes.Length;
        bool repeats = size > 0 && longer.Bytes.Length % size == 0;
        for (int at = 0; repeats && at < longer.Bytes.Length; at += size)
        {
            repeats = longer.Bytes.Span.Slice(at, size).SequenceEqual(shorter.Bytes.Span);
        }
        return repeats
            ? (
                $"{longer.Name} is {shorter.Name} over and over: it was read with too large a size.",
                "Set the size by the chip's marking and read again."
            )
            : ($"{shorter.Name} ends before {longer.Name}.", "Read the whole chip, twice, with the same setting.");
    }

    private static string Code(BlockClass kind) =>
        kind switch
        {
            BlockClass.LoneBits => "lone-bits",
            BlockClass.OneLine => "weak-line",
            BlockClass.ContactLost => "contact-lost",
            BlockClass.Shifted => "shifted",
            BlockClass.OtherAddress => "other-address",
            BlockClass.Missing => "missing",
            _ => "other-content",
        };
}
