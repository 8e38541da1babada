using Graftbench.Core.Findings;

namespace Graftbench.Firmware.Dumps;

/// <summary>The answer about a chip's reads without their bytes, to be written as data.</summary>
/// <param name="State">Whether they may be worked with.</param>
/// <param name="Summary">The answer in one sentence.</param>
/// <param name="Reads">The reads.</param>
/// <param name="Pairs">Unlike pairs.</param>
/// <param name="ErrorRate">Bit-error rate.</param>
/// <param name="Vote">What a vote would change.</param>
/// <param name="Map">The blocks.</param>
/// <param name="Findings">Everything that was found, worst first.</param>
public sealed record DumpAnswerView(
    DumpState State,
    string Summary,
    IReadOnlyList<ReadAnswer> Reads,
    IReadOnlyList<PairView> Pairs,
    BitErrorRate? ErrorRate,
    VoteView? Vote,
    DumpMap Map,
    IReadOnlyList<Finding> Findings
)
{
    /// <summary>The view of an answer.</summary>
    public static DumpAnswerView Of(DumpAnswer answer)
    {
        ArgumentNullException.ThrowIfNull(answer);
        return new DumpAnswerView(
            answer.State,
            answer.Summary,
            answer.Reads,
            [
                .. answer.Pairs.Select(pair => new PairView(
                    answer.Reads[pair.First].Name,
                    answer.Reads[pair.Second].Name,
                    pair.All.Bytes,
                    pair.All.Bits,
                    pair.All.SingleBitBytes,
                    pair.All.SetInFirst,
                    pair.All.SetInSecond,
                    pair.All.AtAddressBit,
                    pair.WeakLine,
                    pair.WeakAddressBit,
                    pair.Stretches
                )),
            ],
            answer.ErrorRate,
            answer.Vote is { } vote ? new VoteView(vote.ChangedBytes, vote.SplitBytes, vote.WrongBitsNumber) : null,
            answer.Map,
            answer.Findings
        );
    }
}

/// <summary>One unlike pair of reads.</summary>
/// <param name="First">The first read.</param>
/// <param name="Second">The second read.</param>
/// <param name="DifferingBytes">Bytes that differ.</param>
/// <param name="DifferingBits">Bits that differ.</param>
/// <param name="SingleBitBytes">Bytes that differ in one bit.</param>
/// <param name="SetInFirst">Differing bits by data line that are 1 in the first.</param>
/// <param name="SetInSecond">Differing bits by data line that are 1 in the second.</param>
/// <param name="AtAddressBit">Differing bytes where the address bit is 1.</param>
/// <param name="WeakLine">The data line to which all lone bits point.</param>
/// <param name="WeakAddressBit">The address bit that sees no or all differences.</param>
/// <param name="Stretches">Stretches that differ.</param>
public sealed record PairView(
    string First,
    string Second,
    long DifferingBytes,
    long DifferingBits,
    long SingleBitBytes,
    IReadOnlyList<long> SetInFirst,
    IReadOnlyList<long> SetInSecond,
    IReadOnlyList<long> AtAddressBit,
    int? WeakLine,
    int? WeakAddressBit,
    IReadOnlyList<DifferingStretch> Stretches
);

/// <summary>What a vote of the reads would change.</summary>
/// <param name="ChangedBytes">Bytes that it changes, by read.</param>
/// <param name="SplitBytes">Bytes without a majority.</param>
/// <param name="WrongBitsNumber">Wrong bits expected in it if all errors are independent noise.</param>
public sealed record VoteView(IReadOnlyList<long> ChangedBytes, long SplitBytes, double WrongBitsNumber);
