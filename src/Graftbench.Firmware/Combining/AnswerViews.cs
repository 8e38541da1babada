using Graftbench.Core.Findings;
using Graftbench.Firmware.Identity;

namespace Graftbench.Firmware.Combining;

/// <summary>A proposal to be written as data.</summary>
/// <param name="Id">Name by which it is taken or left.</param>
/// <param name="Kind">How it is carried out.</param>
/// <param name="Title">What it is.</param>
/// <param name="Start">First byte in the board's own dump.</param>
/// <param name="Length">Length [bytes].</param>
/// <param name="TargetStart">First byte in the newer image.</param>
/// <param name="Shape">What it looks like.</param>
/// <param name="Looks">The value.</param>
/// <param name="Instead">What the newer image has in its place.</param>
/// <param name="Reason">Why it is proposed.</param>
/// <param name="ConfidenceFraction">How sure it is.</param>
/// <param name="Always">Whether it stays with the board in any case.</param>
/// <param name="Obstacle">Why it cannot be carried.</param>
public sealed record ProposalView(
    string Id,
    ProposalKind Kind,
    string Title,
    int Start,
    int Length,
    int? TargetStart,
    IdentityShape Shape,
    string Looks,
    string? Instead,
    string Reason,
    double ConfidenceFraction,
    bool Always,
    string? Obstacle
);

/// <summary>Something that is not proposed, to be written as data.</summary>
/// <param name="What">What it is.</param>
/// <param name="Start">First byte in the board's own dump.</param>
/// <param name="Length">Length [bytes].</param>
/// <param name="Why">The reason.</param>
public sealed record NotProposedView(string What, int Start, int Length, string Why);

/// <summary>Proposals to be written as data.</summary>
/// <param name="Layout">How the images lie over each other.</param>
/// <param name="AcceptFraction">From this confidence on a proposal is taken without a person.</param>
/// <param name="Proposals">Proposals, surest first.</param>
/// <param name="NotProposed">What must not or need not move.</param>
/// <param name="Stale">Deleted and stale records.</param>
/// <param name="Findings">Findings, worst first.</param>
public sealed record IdentityAnswerView(
    ImageLayout Layout,
    double AcceptFraction,
    IReadOnlyList<ProposalView> Proposals,
    IReadOnlyList<NotProposedView> NotProposed,
    IReadOnlyList<NotProposedView> Stale,
    IReadOnlyList<Finding> Findings
)
{
    /// <summary>The view of an answer.</summary>
    public static IdentityAnswerView Of(IdentityAnswer answer)
    {
        ArgumentNullException.ThrowIfNull(answer);
        return new IdentityAnswerView(
            answer.Layout,
            IdentityAnswer.AcceptFraction,
            [
                .. answer.Proposals.Select(one => new ProposalView(
                    one.Id,
                    one.Kind,
                    one.Title,
                    one.OwnRange.Start,
                    one.OwnRange.Length,
                    one.Target?.Start,
                    one.Shape,
                    one.Looks,
                    one.Instead,
                    one.Reason,
                    one.ConfidenceFraction,
                    one.Always,
                    one.Obstacle
                )),
            ],
            [.. answer.NotProposed.Select(View)],
            [.. answer.Stale.Select(View)],
            answer.Findings
        );

        static NotProposedView View(NotProposed one) => new(one.What, one.Range.Start, one.Range.Length, one.Why);
    }
}

/// <summary>A combination to be written as data, without its bytes.</summary>
/// <param name="State">How it ended.</param>
/// <param name="Summary">The answer in one sentence.</param>
/// <param name="Authority">Who asked for it and by what right.</param>
/// <param name="Taken">Proposals that were carried.</param>
/// <param name="Differences">What differs from the newer image.</param>
/// <param name="Checks">Checks of the result.</param>
/// <param name="Hashes">SHA-256 of all files.</param>
/// <param name="AfterStart">What to do and look at.</param>
/// <param name="OriginRuns">Runs of the origin map.</param>
/// <param name="Identity">What was proposed.</param>
/// <param name="Findings">Findings, worst first.</param>
public sealed record CombineAnswerView(
    CombineState State,
    string Summary,
    string Authority,
    IReadOnlyList<string> Taken,
    IReadOnlyList<string> Differences,
    IReadOnlyList<ResultCheck> Checks,
    IReadOnlyList<FileHash> Hashes,
    IReadOnlyList<string> AfterStart,
    int OriginRuns,
    IdentityAnswerView Identity,
    IReadOnlyList<Finding> Findings
)
{
    /// <summary>The view of an answer.</summary>
    public static CombineAnswerView Of(CombineAnswer answer)
    {
        ArgumentNullException.ThrowIfNull(answer);
        return new CombineAnswerView(
            answer.State,
            answer.Summary,
            answer.Authority,
            answer.Taken,
            answer.Differences,
            answer.Checks,
            answer.Hashes,
            answer.AfterStart,
            answer.Origin?.Runs.Count ?? 0,
            IdentityAnswerView.Of(answer.Identity),
            answer.Findings
        );
    }
}
