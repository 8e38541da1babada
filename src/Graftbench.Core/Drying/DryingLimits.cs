using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Drying;

/// <summary>How hot a board, as it is, may be dried, and what has to come off first.</summary>
/// <param name="CapC">Hottest allowed [°C], whole degrees; null where nothing caps it.</param>
/// <param name="CapReason">What sets it.</param>
/// <param name="RemoveFirst">Parts to take off before drying.</param>
/// <param name="Findings">Findings about them.</param>
public sealed record DryingLimits(
    double? CapC,
    string? CapReason,
    IReadOnlyList<RemoveFirst> RemoveFirst,
    IReadOnlyList<Finding> Findings
)
{
    /// <summary>A loose chip: only the limit of the standard holds.</summary>
    public static DryingLimits OfChip { get; } =
        new(BakeModel.HottestC, "hottest bake allowed at a user's site", [], []);

    /// <summary>The limits of a board.</summary>
    /// <param name="board">The board.</param>
    /// <param name="title">What the findings call it.</param>
    /// <param name="wantedC">Temperature that the dryer is set to, spread included [°C]; null where not known.</param>
    public static DryingLimits Of(Board board, string title, double? wantedC)
    {
        List<RemoveFirst> remove = [];
        List<Finding> findings = [];
        (double capC, string reason) = LaminateCap(board);
        Dictionary<PartKind, List<string>> asked = [];
        foreach (Part part in board.Parts.Where(part => !part.TakenOff))
        {
            PartKindFacts kind = PartKinds.Of(part.Kind);
            double? limitC = part.BakeLimitC ?? kind.BakeLimitC;
            if (kind.TakeOffBeforeDrying == YesNo.Yes)
            {
                double? cellLimitC = Lower(part.BakeLimitC, kind.BakeLimitC);
                remove.Add(new RemoveFirst(part.Ref, part.Kind, cellLimitC, kind.Deciding.Why, kind.Deciding.Source));
                findings.Add(OnBoard(part, kind, title, cellLimitC, wantedC));
                continue;
            }
            if (limitC is null)
            {
                if (kind.TakeOffBeforeDrying == YesNo.Unknown)
                {
                    (asked.TryGetValue(part.Kind, out List<string>? refs) ? refs : asked[part.Kind] = []).Add(part.Ref);
                }
                continue;
            }
            if (limitC < capC)
            {
                capC = limitC.Value;
                reason = $"{part.Ref}, {InSentence(kind.Title)}";
            }
            if (limitC < wantedC)
            {
                string why = part.BakeLimitC is null ? kind.Deciding.Why : "Limit of its maker, as entered.";
                remove.Add(
                    new RemoveFirst(
                        part.Ref,
                        part.Kind,
                        limitC,
                        why,
                        part.BakeLimitC is null ? kind.Deciding.Source : "job-file"
                    )
                );
            }
        }
        foreach ((PartKind asking, List<string> refs) in asked)
        {
            PartKindFacts kind = PartKinds.Of(asking);
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "drying.no-published-limit",
                    title,
                    $"{List(refs)}: {InSentence(kind.Title)}, no published limit for a long bake. {kind.Deciding.Why}",
                    Source: kind.Deciding.Source,
                    Todo: "Look in the part's data sheet and enter its bake limit, or take it off."
                )
            );
        }
        return new DryingLimits(capC, reason, remove, findings);
    }

    private static (double CapC, string Reason) LaminateCap(Board board)
    {
        LaminateClass laminate = Laminates.Of(board.Laminate);
        double glassC = board.GlassTransitionC ?? laminate.GlassTransitionMinC;
        // Below the glass transition: the last whole degree under it.
        double belowC = Math.Ceiling(glassC) - 1;
        return belowC < BakeModel.HottestC
            ? (
                belowC,
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"below the glass transition of the laminate ({glassC:0.#} °C, {InSentence(laminate.Title)})"
                )
            )
            : (BakeModel.HottestC, "hottest bake allowed at a user's site");
    }

    private static Finding OnBoard(Part part, PartKindFacts kind, string title, double? limitC, double? wantedC)
    {
        bool tooHot = limitC is { } limit && wantedC > limit;
        string limits = string.Join(
            ", ",
            kind.Rows.Where(row => row.BakeLimitC is not null)
                .Select(row => string.Create(CultureInfo.InvariantCulture, $"{row.BakeLimitC:0} °C ({row.Source})"))
        );
        return new Finding(
            tooHot ? Verdict.Blocker : Verdict.FixFirst,
            "drying.take-off-first",
            $"{title}, {part.Ref}",
            $"{kind.Title} is still on the board. {kind.Deciding.Why}",
            wantedC is null ? null : string.Create(CultureInfo.InvariantCulture, $"dryer {wantedC:0.#} °C"),
            limits.Length == 0 ? "off the board before drying" : limits,
            kind.Deciding.Source,
            $"Take {part.Ref} off before any drying or heat, and mark it as taken off."
        );
    }

    private static double? Lower(double? first, double? second) =>
        first is null ? second
        : second is null ? first
        : Math.Min(first.Value, second.Value);

    // Titles hold abbreviations: only their first letter is lowered.
    private static string InSentence(string title) => char.ToLowerInvariant(title[0]) + title[1..];

    /// <summary>References in a line that stays readable: the first ones and how many more.</summary>
    internal static string List(IReadOnlyList<string> refs)
    {
        const int Shown = 8;
        return refs.Count <= Shown
            ? string.Join(", ", refs)
            : $"{string.Join(", ", refs.Take(Shown))} and {refs.Count - Shown} more";
    }
}
