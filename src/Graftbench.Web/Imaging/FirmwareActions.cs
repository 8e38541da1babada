using System.Globalization;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Showing;
using Graftbench.Firmware.Updates;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Imaging;

/// <summary>What changes the record of a job's firmware. Every change is a line that is added; nothing is taken out.</summary>
internal static class FirmwareActions
{
    /// <summary>Largest image [bytes].</summary>
    public const long MaxImageBytes = 64L * 1024 * 1024;

    private const int MostName = 120;
    private const string Binary = "application/octet-stream";

    public static void MapFirmwareActions(this IEndpointRouteBuilder routes)
    {
        routes.MapPost("/jobs/{id}/firmware/images", (Delegate)Take);
        routes.MapPost("/jobs/{id}/firmware/role", (Delegate)Correct);
        routes.MapPost("/jobs/{id}/firmware/processor", (Delegate)AskProcessor);
        routes.MapPost("/jobs/{id}/firmware/capacity", (Delegate)NoteCapacity);
        routes.MapPost("/jobs/{id}/firmware/combine", (Delegate)Combine);
    }

    private static async Task<IResult> Take(
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
        string tab = form["step"] == "read-back" ? "read-back" : "images";
        List<string> problems = [];
        ImageRole? role = Role(form["role"]);
        if (role is null or ImageRole.Combined or ImageRole.SetAside)
        {
            problems.Add("Say what the image is to this job.");
        }
        IFormFile[] files =
        [
            .. form.Files.Where(file => file.Name == "file" && (file.Length > 0 || file.FileName.Length > 0)),
        ];
        if (files.Length == 0)
        {
            problems.Add("Choose an image first.");
        }
        List<(string Name, byte[] Bytes)> images = [];
        foreach (IFormFile file in files)
        {
            string name = PlainName(file.FileName);
            if (file.Length > MaxImageBytes)
            {
                problems.Add(
                    FormattableString.Invariant(
                        $"{name}: it has {file.Length / 1048576.0:0.0} MiB, at most {MaxImageBytes / 1048576} MiB an image are taken (our limit). Add the image of one chip alone."
                    )
                );
                continue;
            }
            byte[] bytes = new byte[file.Length];
            await using (Stream stream = file.OpenReadStream())
            {
                await stream.ReadExactlyAsync(bytes, http.RequestAborted);
            }
            if (RawImage.Problem(bytes) is { } why)
            {
                problems.Add($"{name}: {why}.");
                continue;
            }
            images.Add((name, bytes));
        }
        if (problems.Count > 0)
        {
            problems.Add("Nothing was stored.");
            return Refused(stored, desk, tab, problems);
        }
        try
        {
            foreach ((string name, byte[] bytes) in images)
            {
                bool anew = role == ImageRole.Read && form["anew"] == "yes";
                Keep(
                    store,
                    clock,
                    stored.Job,
                    EvidenceKind.Dump,
                    $"Image of the flash chip: {FirmwareView.Words(role!.Value)}{(anew ? ", read anew" : "")}.",
                    new FirmwareNote
                    {
                        Role = role,
                        Bytes = bytes.LongLength,
                        OwnRead = anew ? true : null,
                    },
                    new StoredFile(name, Binary, bytes)
                );
            }
        }
        catch (Exception refusal) when (refusal is ArgumentException or JobRefusedException)
        {
            return Refused(stored, desk, tab, [Plain(refusal)]);
        }
        return Back(id, tab, "images");
    }

    private static async Task<IResult> Correct(
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
        FirmwareRecord record = desk.Record(id);
        JobImage? image = long.TryParse(form["image"], NumberStyles.None, CultureInfo.InvariantCulture, out long line)
            ? record.Find(line)
            : null;
        ImageRole? role = Role(form["role"]);
        bool anew = form["anew"] == "yes";
        List<string> problems = [];
        if (image is null)
        {
            problems.Add("This job has no such image.");
        }
        if (!anew && role is null)
        {
            problems.Add("Say what the image is to this job.");
        }
        // What was combined here keeps its origin: it can be set aside and taken back, nothing else.
        else if (
            !anew
            && image is not null
            && (image.Combined is not null) != (role == ImageRole.Combined)
            && role != ImageRole.SetAside
        )
        {
            problems.Add(
                image.Combined is not null
                    ? "An image that was combined here can only be set aside or used as such."
                    : "Only an image that was combined here can be called so."
            );
        }
        if (problems.Count > 0)
        {
            return Refused(stored, desk, "images", problems);
        }
        string what = anew
            ? $"{image!.Name} (line {image.Line}) was read anew, with the clip seated again."
            : $"{image!.Name} (line {image.Line}): {FirmwareView.Words(role!.Value)}, before {FirmwareView.Words(image.Role)}.";
        Keep(
            store,
            clock,
            stored.Job,
            EvidenceKind.Decision,
            what,
            new FirmwareNote
            {
                Image = image.Line,
                Role = anew ? null : role,
                OwnRead = anew ? true : null,
            }
        );
        return Back(id, "images", "role");
    }

    private static async Task<IResult> AskProcessor(
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
        string typed = form["signature"].ToString().Trim();
        List<string> problems = [];
        if (!ProcessorSignature.TryParse(typed, out ProcessorSignature signature) || signature.Value == 0)
        {
            problems.Add($"Signature {ShownText.Of(typed)}: write 1 to 8 hexadecimal digits, like 000906EA.");
        }
        int? platform = null;
        string number = form["platform"].ToString();
        if (number.Length > 0)
        {
            bool read = int.TryParse(number, NumberStyles.None, CultureInfo.InvariantCulture, out int given);
            platform = given;
            if (!read || given > ChipQuestion.MaxPlatform)
            {
                problems.Add(
                    $"Platform {ShownText.Of(number)}: platforms have numbers 0 to {ChipQuestion.MaxPlatform}."
                );
            }
        }
        if (problems.Count > 0)
        {
            FirmwareView view = FirmwareEndpoints.Opened(stored, desk, "knows");
            return FirmwareEndpoints.Page(
                view with
                {
                    Signature = typed,
                    OwnKnows = desk.Knows(view.Record, view.Record.Reads.Count > 0 ? view.Record.Reads[0] : null),
                    NewerKnows = desk.Knows(view.Record, view.Record.Newer),
                    Problems = problems,
                },
                StatusCodes.Status422UnprocessableEntity
            );
        }
        Keep(
            store,
            clock,
            stored.Job,
            EvidenceKind.Decision,
            $"Processor that goes on the board: signature {signature}{(platform is null ? ", platform not known" : $", platform {platform}")}.",
            new FirmwareNote { Signature = signature.ToString(), Platform = platform }
        );
        return Back(id, "knows", "processor");
    }

    private static async Task<IResult> NoteCapacity(
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
        if (
            !long.TryParse(form["kib"], NumberStyles.None, CultureInfo.InvariantCulture, out long kib)
            || kib > 1024 * 1024
        )
        {
            return Refused(stored, desk, "trust", ["Choose the capacity that the chip's marking or data sheet gives."]);
        }
        Keep(
            store,
            clock,
            stored.Job,
            EvidenceKind.Decision,
            kib == 0
                ? "Capacity of the flash chip: not known."
                : $"Capacity of the flash chip by its marking: {FirmwareView.Size(kib * 1024)}.",
            new FirmwareNote { CapacityKib = kib }
        );
        return Back(id, "trust", "capacity");
    }

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
        Keep(
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
        return Back(id, "combined", "combined");
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
        Keep(
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

    private static void Keep(
        BenchStore store,
        BenchClock clock,
        Job job,
        EvidenceKind kind,
        string words,
        FirmwareNote note,
        StoredFile? file = null
    )
    {
        EvidenceEntry entry = new()
        {
            At = clock.Now,
            Who = Saving.Who(job),
            Kind = kind,
            Note = words,
            File = file?.Name,
            Sha256 = file is null ? null : EvidenceChain.FileHash(file.Bytes),
        };
        Saving.AddEvidence(
            store,
            job.Id,
            entry,
            new EvidenceDraft(
                entry.Who,
                FieldWords.NameOf(kind),
                JsonSerializer.Serialize(new FirmwarePayload(words, file?.Name, note), FirmwareNote.Json),
                file
            )
        );
    }

    private static RazorComponentResult<FirmwarePage> Refused(
        StoredJob stored,
        FirmwareDesk desk,
        string tab,
        IReadOnlyList<string> problems
    )
    {
        FirmwareView view = FirmwareEndpoints.Opened(stored, desk, tab);
        return FirmwareEndpoints.Page(
            view with
            {
                Problems = problems,
                Trust = tab == "trust" ? desk.Trust(view.Record) : null,
                Intended = view.Record.Combined,
            },
            StatusCodes.Status422UnprocessableEntity
        );
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

    private static IResult Back(string id, string tab, string done) =>
        Results.LocalRedirect($"/jobs/{id}/firmware?step={tab}&done={done}");

    private static ImageRole? Role(string? text) =>
        Enum.GetValues<ImageRole>()
            .Where(role => FieldWords.NameOf(role) == text)
            .Select(role => (ImageRole?)role)
            .FirstOrDefault();

    private static string Plain(Exception refusal) =>
        refusal is ArgumentException argument ? EvidenceRules.Plain(argument) : refusal.Message;

    private static string PlainName(string name)
    {
        string last = name.Split('/', '\\')[^1];
        string plain = ShownText
            .Of(string.Concat(last.Select(c => char.IsControl(c) || ":*?\"<>|".Contains(c) ? '_' : c)))
            .Trim('.', ' ');
        plain = plain.Length == 0 ? "image" : plain;
        // Never half of a pair of characters.
        int cut = Math.Min(plain.Length, MostName);
        return plain[..(cut < plain.Length && char.IsHighSurrogate(plain[cut - 1]) ? cut - 1 : cut)];
    }
}
