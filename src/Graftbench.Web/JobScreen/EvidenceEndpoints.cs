using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.JobScreen;

/// <summary>Notes, files and waivers: a line of evidence in the store, and its mention in the job document.</summary>
internal static class EvidenceEndpoints
{
    /// <summary>Longest note, as the job document takes it [characters].</summary>
    private const int MostCharacters = 4000;

    /// <summary>Pictures that a browser may show from here; everything else is handed over as a download.</summary>
    private static readonly HashSet<string> ShownPictures = new(StringComparer.Ordinal)
    {
        "image/jpeg",
        "image/png",
        "image/webp",
        "image/gif",
    };

    public static void MapEvidence(this IEndpointRouteBuilder routes)
    {
        routes.MapPost("/jobs/{id}/evidence/note", AddNote);
        routes.MapPost("/jobs/{id}/evidence/file", AddFile);
        routes.MapPost("/jobs/{id}/waive", Waive);
        routes.MapGet("/files/{sha256}", ShowFile);
    }

    private static async Task<IResult> AddNote(string id, HttpContext http, BenchStore store, BenchClock clock)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        return Add(store, clock, id, new EvidenceForm(EvidenceKind.Note, form["note"].ToString()), "note");
    }

    private static async Task<IResult> Waive(string id, HttpContext http, BenchStore store, BenchClock clock)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        EvidenceForm waiver = new(EvidenceKind.Waiver, form["note"].ToString())
        {
            Waives = form["code"].ToString(),
            WaivesWhere = form["where"].ToString(),
        };
        return Add(store, clock, id, waiver, "waiver");
    }

    private static async Task<IResult> AddFile(string id, HttpContext http, BenchStore store, BenchClock clock)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (form.Files.GetFile("file") is not { Length: > 0 } upload)
        {
            return Pages.Problem(
                StatusCodes.Status422UnprocessableEntity,
                "Nothing was saved",
                "Choose a file first; an empty file is not attached."
            );
        }
        byte[] bytes = new byte[upload.Length];
        await using (Stream stream = upload.OpenReadStream())
        {
            await stream.ReadExactlyAsync(bytes, http.RequestAborted);
        }
        StoredFile file = new(FileNames.Plain(upload.FileName, "file"), MediaTypes.Of(bytes), bytes);
        EvidenceKind kind = file.MediaType.StartsWith("image/", StringComparison.Ordinal)
            ? EvidenceKind.Picture
            : EvidenceKind.Reading;
        return Add(store, clock, id, new EvidenceForm(kind, form["note"].ToString()) { File = file }, "file");
    }

    private static IResult Add(BenchStore store, BenchClock clock, string id, EvidenceForm form, string done)
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        // A browser ends lines with CR and LF; the record keeps what the job document keeps.
        string text = form.Note.ReplaceLineEndings("\n").Trim();
        if (text.Length == 0 && form.File is null)
        {
            return Refused(
                form,
                text,
                form.Waives is null
                    ? "A note needs words."
                    : "To set a finding aside, write why the work goes on all the same. The finding stays as it was."
            );
        }
        if (text.Length > MostCharacters)
        {
            return Refused(
                form,
                text,
                $"The text has {text.Length} characters, at most {MostCharacters} fit. A longer text can be attached as a file."
            );
        }
        EvidenceEntry entry = new()
        {
            At = clock.Now,
            Who = Saving.Who(stored.Job),
            Kind = form.Kind,
            Note = text.Length == 0 ? null : text,
            File = form.File?.Name,
            Sha256 = form.File is { } file ? EvidenceChain.FileHash(file.Bytes) : null,
            Waives = form.Waives,
            WaivesWhere = form.WaivesWhere,
        };
        string payload = JsonSerializer.Serialize(
            new EvidencePayload(entry.Note, entry.File, form.Waives, form.WaivesWhere),
            JobFormat.Json
        );
        try
        {
            Saving.AddEvidence(
                store,
                id,
                entry,
                new EvidenceDraft(entry.Who, Forms.FieldWords.NameOf(form.Kind), payload, form.File)
            );
            return JobEndpoints.Back(id, done, "evidence");
        }
        catch (JobRefusedException refusal)
        {
            return Refused(form, text, refusal.Message);
        }
        catch (ArgumentException refusal)
        {
            return Refused(form, text, EvidenceRules.Plain(refusal));
        }
    }

    private static RazorComponentResult<RefusedTextPage> Refused(EvidenceForm form, string text, string why) =>
        Pages.Of<RefusedTextPage>(
            StatusCodes.Status422UnprocessableEntity,
            (nameof(RefusedTextPage.Text), why),
            (nameof(RefusedTextPage.Kept), text),
            (nameof(RefusedTextPage.HasFile), form.File is not null),
            (
                nameof(RefusedTextPage.Fields),
                new Dictionary<string, string?>(StringComparer.Ordinal)
                {
                    ["code"] = form.Waives,
                    ["where"] = form.WaivesWhere,
                }
            )
        );

    private static IResult ShowFile(string sha256, HttpContext http, BenchStore store)
    {
        if (store.FindFile(sha256) is not { } file)
        {
            return store.IsEmptied(sha256)
                ? Pages.Problem(
                    StatusCodes.Status410Gone,
                    "Removed on request",
                    "The content of this file was removed on request; its hash and size stay in the record, which says when, by whom and why."
                )
                : Pages.NotFound($"/files/{sha256}");
        }
        // A stored file is somebody's bytes: it may neither run nor pose as a page of the bench.
        http.Response.Headers.ContentSecurityPolicy = "default-src 'none'; sandbox";
        bool shown = ShownPictures.Contains(file.MediaType);
        return Results.File(file.Bytes, shown ? file.MediaType : "application/octet-stream", shown ? null : file.Name);
    }

    /// <summary>The name without folders, control characters or what a file system may stumble over.</summary>
    private sealed record EvidenceForm(EvidenceKind Kind, string Note)
    {
        public StoredFile? File { get; init; }

        public string? Waives { get; init; }

        public string? WaivesWhere { get; init; }
    }

    private sealed record EvidencePayload(string? Note, string? File, string? Waives, string? WaivesWhere);
}
