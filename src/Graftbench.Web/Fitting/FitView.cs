using Graftbench.Core.Fit;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Jobs;
using Graftbench.Store;

namespace Graftbench.Web.Fitting;

/// <summary>A ball list as the screen shows it.</summary>
/// <param name="Whose"><c>host</c> or <c>chip</c>.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="File">What the job says of it; null where there is none.</param>
/// <param name="Read">What came of reading it; null where there is none.</param>
/// <param name="FromReplaced">Whether it is the list of the chip that is replaced.</param>
public sealed record ShownList(string Whose, string Title, BallListFile? File, BallListRead? Read, bool FromReplaced);

/// <summary>Everything that the fit screen shows.</summary>
/// <param name="Stored">The job as stored.</param>
/// <param name="Request">What the sheet is computed of; null where no chip goes to the host.</param>
/// <param name="Sheet">The sheet; null without one.</param>
/// <param name="Lists">The two ball lists.</param>
public sealed record FitView(StoredJob Stored, FitRequest? Request, FitSheet? Sheet, IReadOnlyList<ShownList> Lists)
{
    /// <summary>Number of the question.</summary>
    public const int Question = 1;

    /// <summary>Name of a picked ball; null for none.</summary>
    public string? Ball { get; init; }

    /// <summary>Whether fields are seen from below.</summary>
    public bool FromBelow { get; init; }

    /// <summary>What is wrong with what was sent.</summary>
    public IReadOnlyList<string> Problems { get; init; } = [];

    /// <summary>What was just done; null for nothing.</summary>
    public string? Done { get; init; }

    /// <summary>Address of the job page.</summary>
    public string JobAddress => $"/jobs/{Stored.Job.Id}";

    /// <summary>Address of this screen.</summary>
    public string Address => $"/jobs/{Stored.Job.Id}/fit";

    /// <summary>The picked site; null for none.</summary>
    public SiteMatch? Site =>
        Ball is null
            ? null
            : Sheet?.Comparison?.Sites.FirstOrDefault(site =>
                string.Equals(site.Name, Ball, StringComparison.OrdinalIgnoreCase)
            );

    /// <summary>Address with a ball picked, or seen from the other side.</summary>
    /// <param name="ball">The ball; null for none.</param>
    /// <param name="fromBelow">Whether it is seen from below.</param>
    public string With(string? ball, bool fromBelow) =>
        $"{Address}?view={(fromBelow ? "below" : "top")}{(ball is null ? "" : $"&ball={Uri.EscapeDataString(ball)}")}#maps";

    /// <summary>The screen of a job.</summary>
    /// <param name="stored">The job.</param>
    /// <param name="desk">The desk.</param>
    public static FitView Of(StoredJob stored, FitDesk desk)
    {
        ArgumentNullException.ThrowIfNull(stored);
        ArgumentNullException.ThrowIfNull(desk);
        FitRequest? request = desk.Request(stored.Job);
        if (request is null)
        {
            return new FitView(stored, null, null, []);
        }
        BallListFile? host = FitPlanner.HostList(stored.Job, request.Chip);
        bool replaced = stored.Job.Host.Gives?.BallList is null;
        return new FitView(
            stored,
            request,
            FitPlanner.Sheet(request),
            [
                new ShownList("host", "What the board is made for", host, desk.List(host, "host"), replaced),
                new ShownList(
                    "chip",
                    $"Chip {request.Chip.Id}",
                    request.Chip.BallList,
                    desk.List(request.Chip.BallList, $"chip {request.Chip.Id}"),
                    false
                ),
            ]
        );
    }
}
