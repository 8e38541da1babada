using System.Globalization;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.Seating;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.JobScreen;

/// <summary>The pages that change one part of a job.</summary>
internal static class EditEndpoints
{
    /// <summary>What the button says that lays the host's parts into the donor's list.</summary>
    public const string HostParts = "copy:host.parts";

    public static void MapEditing(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/edit/{section}", Show);
        routes.MapPost("/jobs/{id}/edit/{section}", Save);
    }

    private static IResult Show(string id, string section, HttpContext http, BenchStore store, BenchClock clock)
    {
        if (!EditSections.All.ContainsKey(section))
        {
            return Pages.NotFound($"/jobs/{id}/edit/{section}");
        }
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        JobDraft draft = JobDraft.Of(stored.Job, stored.Revision, clock);
        switch (section)
        {
            case "seat":
                TakeTried(draft, stored.Job, http.Request.Query);
                break;
            case "handover" when stored.Job.Handover is null:
                TakeHouseRules(draft, stored, store);
                break;
        }
        return Page(stored, section, draft);
    }

    // An amount that was tried on the joints screen stands in the form, not yet saved.
    private static void TakeTried(JobDraft draft, Job job, IQueryCollection query)
    {
        JointLook look = JointLook.Read(query["dome"], query["spread"], null);
        int chip = job.Chips.ToList().FindIndex(one => one.Id == query["chip"]);
        if (chip < 0 || look.Wrong.Count > 0)
        {
            return;
        }
        foreach (
            (string field, double? tried) in (Span<(string, double?)>)
                [("domeHeightMm", look.DomeMm), ("domeSpreadPercent", look.SpreadPercent)]
        )
        {
            if (tried is { } number)
            {
                draft.Type(
                    string.Create(CultureInfo.InvariantCulture, $"chips[{chip}].seat.{field}"),
                    number.ToString(CultureInfo.InvariantCulture)
                );
            }
        }
    }

    // What a shop says to every owner is typed once: it begins as in the job that was saved last with it.
    private static void TakeHouseRules(JobDraft draft, StoredJob stored, BenchStore store)
    {
        HandoverNote? last = store
            .Jobs()
            .Where(other => other.Job.Id != stored.Job.Id)
            .Select(other => other.Job.Handover)
            .FirstOrDefault(note => note?.ReportTo is not null);
        if (last is null)
        {
            return;
        }
        foreach (
            (string field, string? text) in (Span<(string, string?)>)
                [
                    ("warrantyDays", last.WarrantyDays?.ToString(CultureInfo.InvariantCulture)),
                    ("exclusions", last.Exclusions),
                    ("reportTo", last.ReportTo),
                ]
        )
        {
            if (text is not null)
            {
                draft.Type("handover." + field, text);
            }
        }
        draft.FromLast =
            "Warranty, what it does not cover and where trouble is reported begin as in the job that was saved last: check them.";
    }

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
        NozzleNames.Fill(draft.Document);
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
        if (what == HostParts && draft.Has("donor"))
        {
            // Off the host is not off the donor: a cell that is still on it must stop the dryer.
            draft.CopyList("host.parts", "donor.parts", "takenOff");
            return true;
        }
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
