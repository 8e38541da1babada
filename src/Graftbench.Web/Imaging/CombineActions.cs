using System.Globalization;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Identity;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Imaging;

/// <summary>Combining a job's images: authority and confirmation first, then the image, its origins and the report as evidence.</summary>
internal static class CombineActions
{
    private const string Binary = "application/octet-stream";

    public static void MapCombining(this IEndpointRouteBuilder routes) =>
        routes.MapPost("/jobs/{id}/firmware/combine", (Delegate)Combine);

    private static async Task<IResult> Combine(
        string id,
        HttpContext http,
        BenchStore store,
        FirmwareDesk desk,
        BenchClock clock
    )
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        FirmwareView view = FirmwareEndpoints.Opened(stored, desk, "identity");
        view = FirmwareEndpoints.WithIdentity(view, desk, FirmwareEndpoints.Label(view, name => form[name]));
        IdentityLook look = view.Identity! with
        {
            Taken = form["take"].OfType<string>().ToHashSet(StringComparer.Ordinal),
            LeftKnowingly = form["leave"].OfType<string>().ToHashSet(StringComparer.Ordinal),
            Authority = form["authority"].ToString().ReplaceLineEndings("\n").Trim(),
        };
        List<string> problems = [.. look.Problems];
        if (look.Answer is null)
        {
            problems.Add("A read of the board's chip and the newer image are needed.");
        }
        if (form["images"] != Images(view.Record))
        {
            problems.Add("The images of this job have changed since the page was opened: look at the proposals again.");
        }
        if (look.Authority.Length is 0 or > Combiner.MaxAuthority)
        {
            problems.Add(
                $"Authority: write who asked for it and how ownership was shown, in 1 to {Combiner.MaxAuthority} characters. Without it nothing is combined."
            );
        }
        foreach ((string name, string words) in Statements)
        {
            if (form[name] != "yes")
            {
                problems.Add($"Not confirmed: {words}.");
            }
        }
        if (problems.Count > 0)
        {
            return Unmade(view, look, problems);
        }
        // Authority is on record before anything is made of it.
        FirmwareActions.Keep(
            store,
            clock,
            stored.Job,
            EvidenceKind.Authority,
            $"To combine firmware: {look.Authority}",
            new FirmwareNote { Authority = look.Authority }
        );
        CombineAnswer answer;
        try
        {
            (KnownIdentity known, _) = KnownIdentityText.Read(look.Label.Serial, look.Label.Uuid, look.Label.Mac);
            answer = Combiner.Combine(desk.Combining(view.Record, known, look.Authority, Takes(look), Leaves(look)));
        }
        catch (ArgumentException wrong)
        {
            return Unmade(view, look, [EvidenceRules.Plain(wrong)]);
        }
        if (answer is not { Image: { } image, Origin: { } origin })
        {
            return Unmade(view, look with { Refusal = answer }, [$"Refused. {answer.Summary}"]);
        }
        Store(store, clock, stored.Job, view.Record, answer, image, origin);
        return FirmwareActions.Back(id, "combined", "combined");
    }

    /// <summary>What a person confirms before combining: field and words.</summary>
    public static IReadOnlyList<(string Name, string Words)> Statements { get; } =
    [
        ("same", "the dump and the result belong to the same machine"),
        ("twice", "the original dump is kept in two places outside of this computer"),
        ("locks", "nothing is done here to remove a lock, a password or a mark of ownership"),
    ];

    /// <summary>Names the images that proposals were made from.</summary>
    public static string Images(FirmwareRecord record) =>
        string.Join(
            '-',
            record.Reads.Append(record.Newer).Concat(record.Of(ImageRole.SameModel)).Select(image => image?.Line)
        );

    private static string[] Takes(IdentityLook look) =>
        [
            .. look.Answer!.Proposals.Where(one =>
                    one.Obstacle is null && look.Taken.Contains(one.Id) && !look.Stays(one)
                )
                .Select(one => one.Id)
                .Concat(
                    look.Answer.Proposals.Where(one => one.Obstacle is null && look.Stays(one)).Select(one => one.Id)
                ),
        ];

    // What is not ticked was looked at and left; what stays in any case is never left.
    private static string[] Leaves(IdentityLook look) =>
        [
            .. look.Answer!.Proposals.Where(one =>
                    one.Obstacle is null
                        ? !look.Taken.Contains(one.Id) && !look.Stays(one)
                        : look.LeftKnowingly.Contains(one.Id)
                )
                .Select(one => one.Id),
        ];

    // Helper files first, the image last: where power goes in between, no image names what is not there.
    private static void Store(
        BenchStore store,
        BenchClock clock,
        Job job,
        FirmwareRecord record,
        CombineAnswer answer,
        ReadOnlyMemory<byte> image,
        OriginMap origin
    )
    {
        int number = record.Images.Count(each => each.Combined is not null) + 1;
        string name = string.Create(CultureInfo.InvariantCulture, $"{job.Id}-combined-{number}");
        string csv = Attach($"{name}-origin.csv", "text/csv", "Origin of every byte, as a table.", origin.ToCsv());
        string json = Attach($"{name}-origin.json", "application/json", "Origin of every byte.", origin.ToJson());
        string report = Attach(
            $"{name}-report.json",
            "application/json",
            "What was combined, with checks and hashes.",
            JsonSerializer.Serialize(CombineAnswerView.Of(answer), PlanJson.Options)
        );
        FirmwareActions.Keep(
            store,
            clock,
            job,
            EvidenceKind.Dump,
            $"Combined image. {answer.Summary}",
            new FirmwareNote
            {
                Role = ImageRole.Combined,
                Bytes = image.Length,
                Authority = answer.Authority,
                Combined = new CombinedNote
                {
                    OriginCsv = csv,
                    OriginJson = json,
                    Report = report,
                    NeedsPerson = answer.State != CombineState.Made,
                },
            },
            new StoredFile($"{name}.bin", Binary, image.ToArray())
        );

        string Attach(string file, string type, string words, string text)
        {
            byte[] bytes = Encoding.UTF8.GetBytes(text);
            store.Append(
                job.Id,
                new EvidenceDraft(
                    Saving.Who(job),
                    FieldWords.NameOf(EvidenceKind.Dump),
                    JsonSerializer.Serialize(new { note = words, file }, FirmwareNote.Json),
                    new StoredFile(file, type, bytes)
                )
            );
            return EvidenceChain.FileHash(bytes);
        }
    }

    private static RazorComponentResult<FirmwarePage> Unmade(
        FirmwareView view,
        IdentityLook look,
        IReadOnlyList<string> problems
    ) =>
        FirmwareEndpoints.Page(
            view with
            {
                Identity = look with { Problems = [] },
                Problems = problems,
            },
            StatusCodes.Status422UnprocessableEntity
        );
}
