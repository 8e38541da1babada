using System.Globalization;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.JobScreen;

/// <summary>The pages that change one part of a job.</summary>
internal static class EditEndpoints
{
    public static void MapEditing(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/edit/{section}", Show);
        routes.MapPost("/jobs/{id}/edit/{section}", Save);
    }

    private static IResult Show(string id, string section, BenchStore store, BenchClock clock) =>
        !EditSections.All.ContainsKey(section) ? Pages.NotFound($"/jobs/{id}/edit/{section}")
        : store.FindJob(id) is { } stored ? Page(stored, section, JobDraft.Of(stored.Job, stored.Revision, clock))
        : Pages.NoSuchJob(id);

    private static async Task<IResult> Save(
        string id,
        string section,
        HttpContext http,
        BenchStore store,
        BenchClock clock
    )
    {
        if (!EditSections.All.ContainsKey(section) || store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        int seen = int.TryParse(form["revision"], CultureInfo.InvariantCulture, out int posted)
            ? posted
            : stored.Revision;
        // What was typed belongs to the revision that the form showed, so it is laid over that one.
        StoredJob seenJob = seen == stored.Revision ? stored : store.FindJob(id, seen) ?? stored;
        JobDraft draft = JobDraft.Of(seenJob.Job, seen, clock);
        draft.Take(form);
        string what = form["do"].ToString();
        if (Rearranged(draft, what))
        {
            return Page(stored, section, draft);
        }
        if (draft.Check() is not { } job)
        {
            return Page(stored, section, draft, StatusCodes.Status422UnprocessableEntity);
        }
        if (Saving.TrySave(store, job, seen) is not { } failure)
        {
            return JobEndpoints.Back(id, "saved");
        }
        if (!failure.Stale)
        {
            draft.Notice = failure.Notice;
            return Page(stored, section, draft, failure.Status);
        }
        return MergeEndpoints.Page(store, seenJob, store.FindJob(id) ?? stored, draft.Document, section);
    }

    /// <summary>Adds or takes out an entry of a list where a button asked for it.</summary>
    private static bool Rearranged(JobDraft draft, string what)
    {
        if (
            what.StartsWith("add:", StringComparison.Ordinal) && EditSections.Lists.Contains(JobPath.Pattern(what[4..]))
        )
        {
            draft.AddEntry(what[4..]);
            return true;
        }
        if (what.StartsWith("remove:", StringComparison.Ordinal))
        {
            string entry = what["remove:".Length..];
            int bracket = entry.LastIndexOf('[');
            if (
                bracket > 0
                && EditSections.Lists.Contains(JobPath.Pattern(entry[..bracket]))
                && int.TryParse(entry.AsSpan(bracket + 1).TrimEnd(']'), CultureInfo.InvariantCulture, out int index)
            )
            {
                draft.RemoveEntry(entry[..bracket], index);
                return true;
            }
        }
        return false;
    }

    /// <summary>The page of one part of a job.</summary>
    public static RazorComponentResult<EditPage> Page(
        StoredJob stored,
        string section,
        JobDraft draft,
        int status = StatusCodes.Status200OK
    ) =>
        Pages.Of<EditPage>(
            status,
            (nameof(EditPage.Stored), stored),
            (nameof(EditPage.Section), section),
            (nameof(EditPage.Draft), draft)
        );
}
