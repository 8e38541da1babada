using System.Globalization;
using Graftbench.Core.Diagnosis;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.Imaging;
using Graftbench.Web.Network;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using static System.FormattableString;

namespace Graftbench.Web.Diagnosing;

/// <summary>What changes the record of a diagnosis. Every change is a line that is added; nothing is taken out.</summary>
internal static class DiagnosisActions
{
    /// <summary>Stands for the shares of all causes where a test is named.</summary>
    public const string Shares = "shares";

    /// <summary>Longest note [characters], our own limit.</summary>
    public const int MostWords = 500;

    public static void MapDiagnosisActions(this IEndpointRouteBuilder routes)
    {
        routes.MapPost("/jobs/{id}/diagnosis/seen", On(Seen));
        routes.MapPost("/jobs/{id}/diagnosis/back", On(TakeBack));
        routes.MapPost("/jobs/{id}/diagnosis/close", On(Close));
        routes.MapPost("/jobs/{id}/diagnosis/open", On(OpenAgain));
        routes.MapPost("/jobs/{id}/diagnosis/row", On(Row));
    }

    private static IResult Seen(Post post)
    {
        CauseTable table = CauseTable.Standard;
        List<string> problems = [];
        if (post.Record.Closed is not null)
        {
            problems.Add("The case is closed: open it again first.");
        }
        BoardTest? test = table.TestOf(post["test"]) is >= 0 and int t ? table.Tests[t] : null;
        TestOutcome? outcome = test?.Outcomes.FirstOrDefault(one => one.Id == post["outcome"]);
        if (test is null)
        {
            problems.Add($"There is no test '{FormText.Shown(post["test"])}'.");
        }
        else if (outcome is null)
        {
            problems.Add($"{test.Title}: it shows no '{FormText.Shown(post["outcome"])}'. Press one of its outcomes.");
        }
        int trials = 1;
        if (
            post["trials"] is { Length: > 0 } tried
            && !(
                int.TryParse(tried, NumberStyles.None, CultureInfo.InvariantCulture, out trials)
                && trials is >= 1 and <= DiagnosisRecord.MostTrials
            )
        )
        {
            problems.Add(
                $"Tried so often: '{FormText.Shown(tried)}' is no whole number from 1 to {DiagnosisRecord.MostTrials}, our own limit."
            );
        }
        double chance = 1;
        if (
            post["chance"] is { Length: > 0 } each
            && !(FormText.Number(each) is { } read && read is > 0 and <= 1 && (chance = read) > 0)
        )
        {
            problems.Add($"Chance of one trial: '{FormText.Shown(each)}' is no number above 0 and up to 1.");
        }
        string? words = post.Words("note", problems);
        string? from = post.Words("from", problems);
        if (problems.Count > 0)
        {
            return post.Refused(problems);
        }
        string often =
            trials > 1 || chance < 1
                ? Invariant($", tried {trials} times, each showing it with chance {chance:0.###}")
                : "";
        post.Keep(
            $"Test seen: {test!.Title}: {outcome!.Words}{often}{(from is null ? "" : $" (from: {from})")}{(words is null ? "" : $". {words}")}",
            new DiagnosisNote
            {
                Test = test.Id,
                Outcome = outcome.Id,
                Trials = trials > 1 ? trials : null,
                Chance = chance < 1 ? chance : null,
                From = from,
                Words = words,
            }
        );
        return post.Done("seen");
    }

    private static IResult TakeBack(Post post)
    {
        List<string> problems = [];
        SeenLine? line = long.TryParse(post["line"], NumberStyles.None, CultureInfo.InvariantCulture, out long number)
            ? post.Record.Seen.FirstOrDefault(one => one.Line == number)
            : null;
        if (line is null)
        {
            problems.Add($"Line '{FormText.Shown(post["line"])}' is no test that counts.");
        }
        if (post.Record.Closed is not null)
        {
            problems.Add("The case is closed: open it again first.");
        }
        if (problems.Count > 0)
        {
            return post.Refused(problems);
        }
        post.Keep(
            Invariant($"Test of line {number} ({line!.Seen.TestId}: {line.Seen.OutcomeId}) is taken back."),
            new DiagnosisNote { TakenBack = number }
        );
        return post.Done("back");
    }

    private static IResult Close(Post post)
    {
        List<string> problems = [];
        if (post.Record.Closed is not null)
        {
            problems.Add("The case is closed already.");
        }
        CaseProof? proof = Enum.GetValues<CaseProof>()
            .Where(one => FieldWords.NameOf(one) == post["proof"])
            .Select(one => (CaseProof?)one)
            .FirstOrDefault();
        if (proof is null)
        {
            problems.Add("Say how the cause was proven.");
        }
        string? cause = post["cause"] is { Length: > 0 } named ? named : null;
        if (cause is not null && CauseTable.Standard.CauseOf(cause) < 0)
        {
            problems.Add($"There is no cause '{FormText.Shown(cause)}'.");
        }
        if (cause is null && proof is not null and not CaseProof.None)
        {
            problems.Add("Say which cause it was, or that none was proven.");
        }
        string? words = post.Words("closing", problems);
        if (problems.Count > 0)
        {
            return post.Refused(problems);
        }
        CaseClosing closing = new(cause, proof!.Value, words);
        post.Keep(
            DiagnosisQuestion.Closed(CauseTable.Standard, closing) + (words is null ? "" : $" {words}"),
            new DiagnosisNote
            {
                Cause = cause,
                Proof = proof,
                Words = words,
            }
        );
        return post.Done("closed");
    }

    private static IResult OpenAgain(Post post)
    {
        if (post.Record.Closed is null)
        {
            return post.Refused(["The case is open already."]);
        }
        post.Keep("Case opened again.", new DiagnosisNote { OpenedAgain = true });
        return post.Done("open");
    }

    private static IResult Row(Post post)
    {
        List<string> problems = [];
        CauseTable table = post.Desk.Before();
        bool shares = post["test"] == Shares;
        int test = table.TestOf(post["test"]);
        int cause = table.CauseOf(post["cause"]);
        if (!shares && (test < 0 || cause < 0))
        {
            return post.Refused([
                $"There is no row '{FormText.Shown(post["cause"])}', '{FormText.Shown(post["test"])}'.",
            ]);
        }
        string[] due = shares
            ? [.. table.Causes.Select(one => one.Id)]
            : [.. table.Tests[test].Outcomes.Select(one => one.Id)];
        double[] chances = [.. due.Select((name, i) => Read(Invariant($"c{i}"), $"Chance of {name}"))];
        double strength = Read("cases", "Counts as cases");
        // Who is signed in or named at the bench cannot sign for somebody else.
        string who = Visitor.ActingName ?? post.Words("who", problems) ?? "";
        if (who.Length is 0 or > EvidenceRules.MaxWhoLength)
        {
            problems.Add($"Say who changes it, in at most {EvidenceRules.MaxWhoLength} characters.");
        }
        string? why = post.Words("why", problems);
        if (why is null)
        {
            problems.Add("Say why: a row that nobody can explain later is worse than an estimate.");
        }
        TableEdit edit = new(shares ? null : post["cause"], shares ? null : post["test"], chances, strength);
        string title = shares
            ? "Shares of the causes"
            : $"{table.Causes[cause].Title}, {table.Tests[test].Title.ToLowerInvariant()}";
        if (chances.All(double.IsFinite) && double.IsFinite(strength) && table.Problem(edit) is { } problem)
        {
            problems.Add($"{title}: {problem}");
        }
        if (problems.Count > 0)
        {
            return post.Refused(problems);
        }
        string told = string.Join(", ", due.Select((name, i) => Invariant($"{name} {chances[i]:0.####}")));
        post.Store.Append(
            BenchStore.ShopRecord,
            new EvidenceDraft(
                who,
                FieldWords.NameOf(EvidenceKind.Decision),
                new DiagnosisNote
                {
                    Cause = edit.CauseId,
                    Test = edit.TestId,
                    Chances = chances,
                    Strength = strength,
                    Words = why,
                }.Payload(Invariant($"Table of causes, {title}: {told}; counts as {strength:0.##} cases. {why}"))
            )
        );
        return Results.LocalRedirect($"{post.Address}?done=row&table={post["test"]}#table");

        double Read(string field, string words)
        {
            if (FormText.Number(post[field]) is { } value)
            {
                return value;
            }
            problems.Add($"{words}: '{FormText.Shown(post[field])}' is no number.");
            return double.NaN;
        }
    }

    /// <summary>What somebody sends about a job that is there.</summary>
    private sealed record Post(
        StoredJob Stored,
        IFormCollection Form,
        BenchStore Store,
        BenchClock Clock,
        DiagnosisDesk Desk,
        FirmwareDesk Firmware,
        SuggestedOutcomes Suggested
    )
    {
        public DiagnosisRecord Record { get; } = Desk.Record(Stored.Job.Id);

        public string Address => $"/jobs/{Stored.Job.Id}/diagnosis";

        public string this[string field] => Form[field].ToString().Trim();

        /// <summary>Words of a field; null where it is empty.</summary>
        public string? Words(string field, List<string> problems)
        {
            string plain = string.Concat(this[field].Where(sign => !char.IsControl(sign) || sign == '\n')).Trim();
            if (plain.Length > MostWords)
            {
                problems.Add($"The words have {plain.Length} characters; at most {MostWords} are kept, our own limit.");
            }
            return plain.Length == 0 ? null : plain;
        }

        public void Keep(string words, DiagnosisNote note) =>
            Saving.AddLine(Store, Clock, Stored.Job, EvidenceKind.Decision, words, note.Payload(words));

        public IResult Done(string what) => Results.LocalRedirect($"{Address}?done={what}");

        /// <summary>The page again with all that is wrong; what was typed stands in the form again.</summary>
        public RazorComponentResult<DiagnosisPage> Refused(List<string> problems)
        {
            problems.Add("Nothing was saved.");
            return DiagnosisEndpoints.Page(
                DiagnosisEndpoints.Opened(Stored, Desk, Firmware, Suggested, this["test"], this["cause"]) with
                {
                    Problems = problems,
                    Typed = Form.Where(field => !field.Key.StartsWith('_'))
                        .ToDictionary(field => field.Key, field => field.Value.ToString(), StringComparer.Ordinal),
                    TableOpen = Form.ContainsKey("c0"),
                },
                StatusCodes.Status422UnprocessableEntity
            );
        }
    }

    // One beginning for all that is sent: the form and the job, or what is missing of them.
    private static Delegate On(Func<Post, IResult> work) =>
        async (
            string id,
            HttpContext http,
            BenchStore store,
            BenchClock clock,
            DiagnosisDesk desk,
            FirmwareDesk firmware,
            SuggestedOutcomes suggested
        ) =>
        {
            IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
            return store.FindJob(id) is { } stored
                ? work(new Post(stored, form, store, clock, desk, firmware, suggested))
                : Pages.NoSuchJob(id);
        };
}
