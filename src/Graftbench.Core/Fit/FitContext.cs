using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Fit;

/// <summary>What the rules look at: the request, and what several of them need.</summary>
internal sealed record FitContext
{
    public FitContext(FitRequest request)
    {
        Request = request;
        Replaced = ChipSites.ReplacedBy(request.Job, request.Chip, ChipPlace.Host);
        Gives = request.Job.Host.Gives ?? new BoardGives();
        Needs = request.Chip.Needs ?? new ChipNeeds();
        Comparison = request is { HostMap: { } host, ChipMap: { } donor } ? MapComparer.Compare(host, donor) : null;
        Rails = RailWindows.Of(this);
        Heat = FitHeats.Of(Gives.Cooling, Needs);
    }

    public FitRequest Request { get; }

    public Chip? Replaced { get; }

    public BoardGives Gives { get; }

    public ChipNeeds Needs { get; }

    public MapComparison? Comparison { get; }

    public IReadOnlyList<FoundRail> Rails { get; }

    public FitHeat? Heat { get; }

    public Job Job => Request.Job;

    public Chip Chip => Request.Chip;

    /// <summary>The chip, as findings call it.</summary>
    public string Where => $"chip {Chip.Id}";
}

/// <summary>A rule of the fit sheet.</summary>
/// <param name="Id">Its name, also the code of its findings.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="Asks">What it holds against what.</param>
/// <param name="Source">Source id of the rule.</param>
/// <param name="Check">Its work: at least one finding.</param>
internal sealed record FitRule(
    string Id,
    string Title,
    string Asks,
    string Source,
    Func<FitContext, FitRule, IEnumerable<Finding>> Check
)
{
    /// <summary>A finding of this rule.</summary>
    public Finding Find(
        Verdict verdict,
        string where,
        string what,
        string? value = null,
        string? limit = null,
        string? todo = null,
        string? code = null,
        string? source = null
    ) => new(verdict, code ?? Id, where, what, value, limit, source ?? Source, todo);

    /// <summary>What could not be checked, and what is missing.</summary>
    public Finding Lacks(string where, string what, string todo) => Find(Verdict.Unknown, where, what, todo: todo);
}
