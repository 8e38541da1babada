using System.Globalization;
using System.Text.RegularExpressions;
using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.JobScreen;

/// <summary>The pages that add one line to the history. They add to whatever revision is newest.</summary>
internal static partial class AddEndpoints
{
    private static readonly Dictionary<string, string> Lists = new(StringComparer.Ordinal)
    {
        ["weighing"] = "history.weighings",
        ["exposure"] = "history.exposures",
        ["heat"] = "history.heats",
        ["work"] = "work",
    };

    public static void MapAdding(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/add/{kind}", Show);
        routes.MapPost("/jobs/{id}/add/{kind}", Save);
    }

    private static IResult Show(string id, string kind, string? of, BenchStore store, BenchClock clock)
    {
        if (!Lists.TryGetValue(kind, out string? list) || store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        (JobDraft draft, string entry) = NewEntry(stored, list, clock);
        if (kind == "exposure")
        {
            LiesInTheRoom(draft, entry, stored.Job, of ?? "host", clock);
        }
        else
        {
            draft.Type(entry + ".at", clock.FieldText(clock.Now));
        }
        if (kind != "work")
        {
            draft.Type(entry + ".of", of ?? "host");
        }
        if (kind == "weighing" && stored.Job.History.Weighings is [.., { BalanceErrorG: { } step }])
        {
            draft.Type(entry + ".balanceErrorG", step.ToString(CultureInfo.InvariantCulture));
        }
        return Page(stored, kind, entry, draft, StatusCodes.Status200OK, both: true);
    }

    private static async Task<IResult> Save(
        string id,
        string kind,
        HttpContext http,
        BenchStore store,
        BenchClock clock
    )
    {
        if (!Lists.TryGetValue(kind, out string? list) || store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        bool both = form["x.both"].Contains("true");
        (Job before, HeatLine? line) = kind switch
        {
            "heat" => Heated(stored.Job, form, both, clock),
            "exposure" => (Moved(stored.Job, form, clock), null),
            _ => (stored.Job, null),
        };
        (JobDraft draft, string entry) = NewEntry(stored with { Job = before }, list, clock);
        foreach ((string key, Microsoft.Extensions.Primitives.StringValues values) in form)
        {
            // The list may have grown since the form was opened: what was typed goes behind its end as it is now.
            Match match = AnyEntry().Match(key);
            if (match.Success && match.Groups["list"].Value == list)
            {
                draft.Type($"{entry}.{match.Groups["field"].Value}", values.LastOrDefault() ?? "");
            }
        }
        if (draft.Check() is not { } job)
        {
            return Page(stored, kind, entry, draft, StatusCodes.Status422UnprocessableEntity, both);
        }
        string? question = kind == "heat" ? WantsDecision(before, job) : null;
        if (line?.Partner is { } partner)
        {
            Job alone = job;
            job = job with
            {
                History = job.History with
                {
                    Heats = [.. job.History.Heats, job.History.Heats[^1] with { Of = partner }],
                },
            };
            question ??= WantsDecision(alone, job);
        }
        if (question is not null)
        {
            draft.Add(new JobProblem(entry + ".decision", 0, 0, question));
            return Page(stored, kind, entry, draft, StatusCodes.Status422UnprocessableEntity, both);
        }
        if (kind == "heat")
        {
            job = StageRecord.Forward(stored.Job, job);
        }
        if (Saving.TrySave(store, job, stored.Revision) is { } failure)
        {
            draft.Notice = failure.Notice;
            return Page(stored, kind, entry, draft, failure.Status, both);
        }
        return JobEndpoints.Back(
            id,
            line?.Partner is null ? kind : "heats",
            kind switch
            {
                "heat" => "ledger",
                "work" => "work",
                "exposure" => "dry-" + job.History.Exposures[^1].Of,
                _ => "dry-" + job.History.Weighings[^1].Of,
            }
        );
    }

    // Board or chip of a typed heat, and what else was hot; the job with the stays ended that cannot go on through it.
    private static (Job Job, HeatLine? Line) Heated(Job job, IFormCollection form, bool both, BenchClock clock)
    {
        Dictionary<string, string> typed = [];
        foreach ((string key, Microsoft.Extensions.Primitives.StringValues values) in form)
        {
            if (AnyEntry().Match(key) is { Success: true } match && match.Groups["list"].Value == "history.heats")
            {
                typed[match.Groups["field"].Value] = values.LastOrDefault() ?? "";
            }
        }
        if (
            !typed.TryGetValue("of", out string? of)
            || clock.ReadField(typed.GetValueOrDefault("at") ?? "") is not { } at
            || !Enum.GetValues<HeatKind>().Any(one => FieldWords.NameOf(one) == typed.GetValueOrDefault("kind"))
        )
        {
            return (job, null);
        }
        HeatKind kind = Enum.GetValues<HeatKind>().First(one => FieldWords.NameOf(one) == typed["kind"]);
        string? partner = both ? HeatRecord.Partner(job, of, kind) : null;
        partner = partner is not null && HeatRecord.Has(job, partner, kind, at) ? null : partner;
        Job ended = HeatRecord.EndStays(job, of, kind, at);
        return (partner is null ? ended : HeatRecord.EndStays(ended, partner, kind, at), new HeatLine(partner));
    }

    // What goes on ends where the new stay begins.
    private static Job Moved(Job job, IFormCollection form, BenchClock clock)
    {
        string Typed(string field) =>
            form.Where(pair => pair.Key.EndsWith("." + field, StringComparison.Ordinal))
                .Select(pair => pair.Value.LastOrDefault())
                .FirstOrDefault()
            ?? "";
        return clock.ReadField(Typed("from")) is { } from ? DryerLog.EndOpen(job, Typed("of"), from) : job;
    }

    private sealed record HeatLine(string? Partner);

    /// <summary>What to ask before a heat is stored that the ledger would miss a decision for; null where nothing is to be asked.</summary>
    private static string? WantsDecision(Job before, Job after)
    {
        Heat added = after.History.Heats[^1];
        if (
            !string.IsNullOrWhiteSpace(added.Decision)
            || !HeatBook.NeedsDecision(before, added)
            || HeatBook.Of(after).Accounts.FirstOrDefault(each => each.Id == added.Of) is not { } account
        )
        {
            return null;
        }
        return string.Create(
            CultureInfo.InvariantCulture,
            $"This is an extra heat: {account.Title} has {account.SpentNumber:0.#} with it, the guideline is {account.GuidelineNumber:0.#}. Write who decides on it and why; the decision goes into the record."
        );
    }

    // The likeliest: in the room since the last line ends. The technician says so by saving it, or says otherwise.
    private static void LiesInTheRoom(JobDraft draft, string entry, Job job, string of, BenchClock clock)
    {
        draft.Type(entry + ".place", FieldWords.NameOf(ExposurePlace.Room));
        IEnumerable<Exposure> stays = job.History.Exposures.Where(exposure => exposure.Of == of);
        // A stay that goes on ends where the new one begins; a field holds whole minutes, the next one overlaps with nothing.
        DateTimeOffset? ended = stays.Any(stay => stay.To is null)
            ? clock.Now
            : stays.Max(stay => stay.To)?.AddMinutes(1).AddTicks(-1);
        draft.Type(entry + ".from", clock.FieldText(ended ?? job.OpenedAt ?? clock.Now));
        draft.Type(entry + ".temperatureC", job.Bench.RoomC?.ToString(CultureInfo.InvariantCulture) ?? "");
        draft.Type(
            entry + ".humidityPercent",
            job.Bench.RoomHumidityPercent?.ToString(CultureInfo.InvariantCulture) ?? ""
        );
    }

    private static (JobDraft Draft, string Entry) NewEntry(StoredJob stored, string list, BenchClock clock)
    {
        JobDraft draft = JobDraft.Of(stored.Job, stored.Revision, clock);
        string entry = string.Create(CultureInfo.InvariantCulture, $"{list}[{draft.Count(list)}]");
        draft.AddEntry(list);
        return (draft, entry);
    }

    private static RazorComponentResult<AddPage> Page(
        StoredJob stored,
        string kind,
        string entry,
        JobDraft draft,
        int status,
        bool both
    ) =>
        Pages.Of<AddPage>(
            status,
            (nameof(AddPage.Stored), stored),
            (nameof(AddPage.Kind), kind),
            (nameof(AddPage.Entry), entry),
            (nameof(AddPage.Draft), draft),
            (nameof(AddPage.Both), both)
        );

    [GeneratedRegex(
        @"^(?<list>work|history\.\w+)\[[0-9]{1,5}\]\.(?<field>\w+)$",
        RegexOptions.ExplicitCapture,
        matchTimeoutMilliseconds: 1000
    )]
    private static partial Regex AnyEntry();
}
