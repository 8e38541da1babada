using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
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

/// <summary>Two people changed the same job: what only one of them changed is kept, the rest a person decides.</summary>
internal static class MergeEndpoints
{
    private const string Decision = "take.";

    public static void MapMerging(this IEndpointRouteBuilder routes) => routes.MapPost("/jobs/{id}/merge", Save);

    /// <summary>The page that brings a version which came too late together with what is in the store.</summary>
    public static RazorComponentResult<MergePage> Page(
        BenchStore store,
        StoredJob start,
        StoredJob newest,
        JsonObject mine,
        string section,
        IReadOnlyDictionary<string, bool>? taken = null,
        string? notice = null
    ) =>
        Pages.Of<MergePage>(
            StatusCodes.Status409Conflict,
            (
                nameof(MergePage.View),
                new MergeView(
                    start,
                    newest,
                    [
                        .. store
                            .JobHistory(newest.Job.Id)
                            .Where(save => save.Revision > start.Revision)
                            .Select(save => save.Who)
                            .Distinct(StringComparer.Ordinal),
                    ],
                    mine,
                    section,
                    taken ?? new Dictionary<string, bool>(StringComparer.Ordinal),
                    notice
                )
            )
        );

    private static async Task<IResult> Save(string id, HttpContext http, BenchStore store, BenchClock clock)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        string section = form["section"].ToString();
        if (store.FindJob(id) is not { } newest || !EditSections.All.ContainsKey(section))
        {
            return Pages.NoSuchJob(id);
        }
        if (
            !int.TryParse(form["base"], CultureInfo.InvariantCulture, out int from)
            || store.FindJob(id, from) is not { } start
            || Document(form["mine"].ToString()) is not { } mine
        )
        {
            return Pages.Problem(
                StatusCodes.Status400BadRequest,
                "This could not be brought together",
                "The form does not hold the version that was typed. Go back in the browser: it is still there. Nothing was saved."
            );
        }
        Dictionary<string, bool> taken = new(StringComparer.Ordinal);
        foreach (string key in form.Keys.Where(key => key.StartsWith(Decision, StringComparison.Ordinal)))
        {
            if (form[key].ToString() is "mine" or "theirs")
            {
                taken[key[Decision.Length..]] = form[key] == "mine";
            }
        }
        if (form["newest"] != newest.Revision.ToString(CultureInfo.InvariantCulture))
        {
            return Page(store, start, newest, mine, section, taken, "It was saved once more in between: look again.");
        }
        MergedJob merged = JobMerge.Merge(
            JobDraft.ToDocument(start.Job),
            mine,
            JobDraft.ToDocument(newest.Job),
            path => taken.GetValueOrDefault(path)
        );
        int open = merged.Clashes.Count(clash => !taken.ContainsKey(clash.Path));
        if (open > 0)
        {
            string notice = open == 1 ? "One place is not decided yet." : $"{open} places are not decided yet.";
            return Page(store, start, newest, mine, section, taken, notice);
        }
        JobDraft draft = JobDraft.Of(merged.Document, newest.Revision, clock);
        if (draft.Check() is not { } job)
        {
            draft.Notice = "Both versions together do not fit: put right what is marked, then save.";
            return EditEndpoints.Page(newest, section, draft, StatusCodes.Status422UnprocessableEntity);
        }
        if (Saving.TrySave(store, job, newest.Revision) is not { } failure)
        {
            return JobEndpoints.Back(id, "merged");
        }
        if (failure.Stale)
        {
            StoredJob newer = store.FindJob(id) ?? newest;
            return Page(store, start, newer, mine, section, taken, "It was saved once more in between: look again.");
        }
        draft.Notice = failure.Notice;
        return EditEndpoints.Page(newest, section, draft, failure.Status);
    }

    private static JsonObject? Document(string text)
    {
        try
        {
            return JsonNode.Parse(text, documentOptions: new JsonDocumentOptions { MaxDepth = JobFormat.MaxDepth })
                as JsonObject;
        }
        catch (Exception problem) when (problem is JsonException or ArgumentException)
        {
            return null;
        }
    }
}
