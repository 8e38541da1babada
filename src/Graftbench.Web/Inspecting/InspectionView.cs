using Graftbench.Core.Planning;
using Graftbench.Store;
using Graftbench.Vision.Answering;

namespace Graftbench.Web.Inspecting;

/// <summary>A picture with what it says.</summary>
/// <param name="Picture">The picture.</param>
/// <param name="Seen">What it says; null where it is set aside and was not looked at.</param>
public sealed record LookedAt(JobPicture Picture, SeenPicture? Seen);

/// <summary>Everything that the screen of the pictures shows.</summary>
/// <param name="Stored">The job as stored.</param>
/// <param name="Summary">The answer to the question; null without pictures.</param>
/// <param name="Pictures">Pictures, newest first.</param>
public sealed record InspectionView(StoredJob Stored, QuestionSummary? Summary, IReadOnlyList<LookedAt> Pictures)
{
    /// <summary>Number of the question.</summary>
    public const int Question = 6;

    /// <summary>The picture that is open; null for the list.</summary>
    public LookedAt? Open { get; init; }

    /// <summary>The site that is picked on it; null for none.</summary>
    public SeenSite? Site { get; init; }

    /// <summary>What is wrong with what was sent or typed.</summary>
    public IReadOnlyList<string> Problems { get; init; } = [];

    /// <summary>What was just done; null for nothing.</summary>
    public string? Done { get; init; }

    /// <summary>Address of the job page.</summary>
    public string JobAddress => $"/jobs/{Stored.Job.Id}";

    /// <summary>Address of this screen.</summary>
    public string Address => $"/jobs/{Stored.Job.Id}/pictures";

    /// <summary>Address of a picture.</summary>
    public string Of(JobPicture picture)
    {
        ArgumentNullException.ThrowIfNull(picture);
        return FormattableString.Invariant($"{Address}/{picture.Line}");
    }

    /// <summary>Address of a site of a picture.</summary>
    public string Of(JobPicture picture, SeenSite site)
    {
        ArgumentNullException.ThrowIfNull(site);
        return $"{Of(picture)}?site={Uri.EscapeDataString(site.Name)}#site";
    }
}
