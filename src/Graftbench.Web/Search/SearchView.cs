using Graftbench.Core.Jobs;
using Graftbench.Core.Search;
using Graftbench.Store;

namespace Graftbench.Web.Search;

/// <summary>Which stages a search takes.</summary>
public enum SearchScope
{
    /// <summary>All jobs.</summary>
    All,

    /// <summary>Everything that is not handed over.</summary>
    Bench,

    /// <summary>Handed over.</summary>
    Out,

    /// <summary>Came back.</summary>
    Back,
}

/// <summary>A job that was found, and where the words stand.</summary>
/// <param name="Stored">The job.</param>
/// <param name="Where">Texts of its document that hold a word; empty where only its evidence does, or nothing was asked.</param>
public sealed record SearchHit(StoredJob Stored, IReadOnlyList<JobText> Where);

/// <summary>What the list of jobs shows.</summary>
/// <param name="Text">What was asked.</param>
/// <param name="Scope">Stages.</param>
/// <param name="Page">Page, from 1.</param>
/// <param name="Hits">Jobs of the page.</param>
/// <param name="TotalNumber">Jobs on all pages.</param>
public sealed record SearchView(
    string Text,
    SearchScope Scope,
    int Page,
    IReadOnlyList<SearchHit> Hits,
    int TotalNumber
)
{
    /// <summary>Jobs on a page.</summary>
    public const int PageJobs = 40;

    /// <summary>Longest question [characters].</summary>
    public const int MaxTextLength = 200;

    private const int MostTexts = 3;

    /// <summary>Words that were asked for.</summary>
    public IReadOnlyList<string> Asked => SearchWords.Asked(Text);

    /// <summary>Pages there are, at least 1.</summary>
    public int Pages => Math.Max(1, (TotalNumber + PageJobs - 1) / PageJobs);

    /// <summary>Asks the store.</summary>
    public static SearchView Of(BenchStore store, string text, SearchScope scope, int page)
    {
        ArgumentNullException.ThrowIfNull(store);
        ArgumentNullException.ThrowIfNull(text);
        string asked = text.Length <= MaxTextLength ? text : text[..MaxTextLength];
        JobHits hits = store.FindJobs(
            new JobQuery
            {
                Text = asked,
                Stages = Stages(scope),
                Offset = (page - 1) * PageJobs,
                Take = PageJobs,
            }
        );
        IReadOnlyList<string> words = SearchWords.Asked(asked);
        return new SearchView(
            asked,
            scope,
            page,
            [.. hits.Jobs.Select(job => new SearchHit(job, Texts(job.Job, words)))],
            hits.TotalNumber
        );
    }

    /// <summary>Address of another page of the same question.</summary>
    public string Address(int page)
    {
        List<string> parts = [];
        if (Text.Length > 0)
        {
            parts.Add("q=" + Uri.EscapeDataString(Text));
        }
        if (Scope != SearchScope.All)
        {
            parts.Add("in=" + Word(Scope));
        }
        if (page > 1)
        {
            parts.Add(FormattableString.Invariant($"page={page}"));
        }
        return parts.Count == 0 ? "/jobs" : "/jobs?" + string.Join('&', parts);
    }

    /// <summary>Name of a scope in an address.</summary>
    public static string Word(SearchScope scope) => scope.ToString().ToLowerInvariant();

    // The short name stands beside the title already.
    private static IReadOnlyList<JobText> Texts(Job job, IReadOnlyList<string> words) =>
        [.. JobTexts.With(job, words, MostTexts + 1).Where(text => text.Path != "id").Take(MostTexts)];

    private static IReadOnlyList<JobStage> Stages(SearchScope scope) =>
        scope switch
        {
            SearchScope.Bench => JobQuery.OnTheBench,
            SearchScope.Out => [JobStage.HandedOver],
            SearchScope.Back => [JobStage.Returned],
            _ => [],
        };
}
