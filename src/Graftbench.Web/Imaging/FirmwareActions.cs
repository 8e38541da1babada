using System.Globalization;
using System.Text.Json;
using Graftbench.Core.Jobs;
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
        routes.MapCombining();
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
            string name = FileNames.Plain(ShownText.Of(file.FileName), "image");
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
            problems.Add("Nothing was saved.");
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

    /// <summary>Adds a line to the record, with its mention in the job.</summary>
    public static void Keep(
        BenchStore store,
        BenchClock clock,
        Job job,
        EvidenceKind kind,
        string words,
        FirmwareNote note,
        StoredFile? file = null
    ) =>
        Saving.AddLine(
            store,
            clock,
            job,
            kind,
            words,
            JsonSerializer.Serialize(new FirmwarePayload(words, file?.Name, note), FirmwareNote.Json),
            file
        );

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

    /// <summary>Back to a part of the screen, with a line about what was done.</summary>
    public static IResult Back(string id, string tab, string done) =>
        Results.LocalRedirect($"/jobs/{id}/firmware?step={tab}&done={done}");

    private static ImageRole? Role(string? text) =>
        Enum.GetValues<ImageRole>()
            .Where(role => FieldWords.NameOf(role) == text)
            .Select(role => (ImageRole?)role)
            .FirstOrDefault();

    private static string Plain(Exception refusal) =>
        refusal is ArgumentException argument ? EvidenceRules.Plain(argument) : refusal.Message;
}
