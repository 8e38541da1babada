using System.Globalization;
using System.Text.Json;
using Graftbench.Core.Facts;
using Graftbench.Core.Inspection;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Vision.Answering;
using Graftbench.Vision.Pictures;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.Imaging;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Inspecting;

/// <summary>What changes the record of a job's pictures. Every change is a line that is added; nothing is taken out.</summary>
internal static class InspectionActions
{
    private const int MostFiles = 12;
    private const double MostLengthMm = 1100;

    public static void MapInspectionActions(this IEndpointRouteBuilder routes)
    {
        routes.MapPost("/jobs/{id}/pictures", (Delegate)Take);
        routes.MapPost("/jobs/{id}/pictures/{line:long}/said", On(Say));
        routes.MapPost("/jobs/{id}/pictures/{line:long}/changed", On(Change));
        routes.MapPost("/jobs/{id}/pictures/{line:long}/marked", On(Mark));
    }

    private static async Task<IResult> Take(
        string id,
        HttpContext http,
        BenchStore store,
        InspectionDesk desk,
        BenchClock clock
    )
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        List<string> problems = [];
        PictureKind? kind = Named<PictureKind>(form["kind"]);
        if (kind is null)
        {
            problems.Add("Say what the picture shows.");
        }
        bool ofBoard = kind is PictureKind.Before or PictureKind.After;
        string chip = form["chip"].ToString();
        if (!ofBoard && stored.Job.Chips.All(one => one.Id != chip))
        {
            problems.Add("Say which chip it is of.");
        }
        string corner = form["a1"].ToString();
        if (corner.Length > 0 && Named<PictureCorner>(corner) is null)
        {
            problems.Add($"'{FormText.Shown(corner)}' is no corner of a picture.");
        }
        IFormFile[] files =
        [
            .. form.Files.Where(file => file.Name == "file" && (file.Length > 0 || file.FileName.Length > 0)),
        ];
        if (files.Length == 0)
        {
            problems.Add("Choose a picture first.");
        }
        if (files.Length > MostFiles)
        {
            problems.Add(
                FormattableString.Invariant($"{files.Length} pictures at once; at most {MostFiles} are taken.")
            );
        }
        List<StoredFile> pictures = [];
        foreach (IFormFile file in files.Take(MostFiles))
        {
            byte[] bytes = [];
            string name = FileNames.Plain(file.FileName, "picture");
            if (file.Length <= PictureLimits.MaxBytes)
            {
                bytes = new byte[file.Length];
                await using Stream stream = file.OpenReadStream();
                await stream.ReadExactlyAsync(bytes, http.RequestAborted);
            }
            else
            {
                problems.Add(
                    FormattableString.Invariant(
                        $"{name}: it has {file.Length / 1048576.0:0.0} MiB, at most {PictureLimits.MaxBytes / 1048576} MiB are taken (our limit). Make a smaller copy."
                    )
                );
                continue;
            }
            if (desk.WhyNot(bytes, name) is { } why)
            {
                problems.Add($"{name}: {why}");
                continue;
            }
            pictures.Add(new StoredFile(name, MediaTypes.Of(bytes), bytes));
        }
        if (problems.Count > 0)
        {
            problems.Add("Nothing was saved.");
            return InspectionEndpoints.Page(
                InspectionEndpoints.Opened(stored, desk) with
                {
                    Problems = problems,
                },
                StatusCodes.Status422UnprocessableEntity
            );
        }
        BallView view =
            kind is PictureKind.Lands ? BallView.Top
            : kind is PictureKind.Stencil ? BallView.Stencil
            : Named<BallView>(form["view"]) ?? (kind is PictureKind.Xray ? BallView.Top : BallView.Bottom);
        foreach (StoredFile picture in pictures)
        {
            Keep(
                store,
                clock,
                stored.Job,
                EvidenceKind.Picture,
                $"Picture: {InspectionQuestion.Words(kind!.Value)}{(ofBoard ? "" : $", chip {chip}")}.",
                new InspectionNote
                {
                    Kind = kind,
                    Chip = ofBoard ? null : chip,
                    View = view,
                    A1 = corner.Length > 0 ? corner : null,
                    VoidLimit =
                        kind is PictureKind.Xray && InspectionFacts.FindVoidLimit(form["limit"].ToString()) is { } limit
                            ? limit.Name
                            : null,
                    Side = kind is PictureKind.Side ? ShortText(form["side"].ToString(), "one side") : null,
                },
                picture
            );
        }
        return pictures.Count == 1
            ? Results.LocalRedirect(
                $"/jobs/{id}/pictures/{desk.Pictures(id)[^1].Line.ToString(CultureInfo.InvariantCulture)}?done=added"
            )
            : Results.LocalRedirect($"/jobs/{id}/pictures?done=added");
    }

    private static IResult Say(PicturePost post)
    {
        (
            StoredJob stored,
            JobPicture picture,
            IFormCollection form,
            HttpContext http,
            BenchStore store,
            InspectionDesk desk,
            BenchClock clock
        ) = post;
        (string id, long line) = (stored.Job.Id, picture.Line);
        string name = form["site"].ToString();
        string says = form["says"].ToString();
        SeenSite? site = desk.Seen(stored.Job, picture).Sites.FirstOrDefault(one => one.Name == name);
        SiteSign? sign = site is null ? null : SiteSigns.Find(picture.Kind, site.Row < 0, says);
        if (site is null || (says.Length > 0 && sign is null))
        {
            return InspectionEndpoints.OpenPage(
                InspectionEndpoints.WithOpen(InspectionEndpoints.Opened(stored, desk), line, name)! with
                {
                    Problems = [site is null ? "This picture has no such place." : "Say what is there."],
                },
                StatusCodes.Status422UnprocessableEntity
            );
        }
        Keep(
            store,
            clock,
            stored.Job,
            EvidenceKind.Decision,
            sign is null
                ? $"{picture.Name} (line {line}), {site.Name}: a person's word is taken back; found was: {site.Found.Words}."
                : $"{picture.Name} (line {line}), {site.Name}: a person says {sign.Words}; found was: {site.Found.Words}.",
            new InspectionNote
            {
                Picture = line,
                Site = site.Name,
                Says = sign?.Id ?? "",
            }
        );
        if (http.Request.Headers["x-bench"] == "pictures")
        {
            SeenPicture seen = desk.Seen(stored.Job, desk.Pictures(id).First(one => one.Line == line));
            return Results.Json(
                new
                {
                    answer = seen.Answer,
                    verdict = FieldWords.NameOf(seen.Verdict),
                    site = site.Name,
                    sign = (sign ?? site.Found).Id,
                    letter = (sign ?? site.Found).Letter,
                    path = SitePath.Of((sign ?? site.Found).Mark, site.XPx, site.YPx, site.RadiusPx),
                    words = (sign ?? site.Found).Words,
                    weighs = FieldWords.NameOf((sign ?? site.Found).Verdict),
                }
            );
        }
        return Results.LocalRedirect(
            $"/jobs/{id}/pictures/{line.ToString(CultureInfo.InvariantCulture)}?done=said&site={Uri.EscapeDataString(site.Name)}#site"
        );
    }

    private static IResult Change(PicturePost post)
    {
        (StoredJob stored, JobPicture picture, IFormCollection form, _, BenchStore store, _, BenchClock clock) = post;
        (string id, long line) = (stored.Job.Id, picture.Line);
        InspectionNote note = new()
        {
            Picture = line,
            View = Named<BallView>(form["view"]),
            A1 = form.ContainsKey("a1") ? form["a1"].ToString() : null,
            VoidLimit = InspectionFacts.FindVoidLimit(form["limit"].ToString())?.Name,
            SetAside = form["aside"].ToString() switch
            {
                "yes" => true,
                "no" => false,
                _ => null,
            },
        };
        string what =
            note.SetAside is true ? "set aside, kept"
            : note.SetAside is false ? "taken in again"
            : $"view {FieldWords.NameOf(note.View ?? picture.View)}, A1 {(note.A1 is { Length: > 0 } corner ? corner : "not said")}{(note.VoidLimit is { } limit ? $", voids by {limit}" : "")}";
        Keep(store, clock, stored.Job, EvidenceKind.Decision, $"{picture.Name} (line {line}): {what}.", note);
        return Results.LocalRedirect($"/jobs/{id}/pictures/{line.ToString(CultureInfo.InvariantCulture)}?done=changed");
    }

    private static IResult Mark(PicturePost post)
    {
        (
            StoredJob stored,
            JobPicture picture,
            IFormCollection form,
            _,
            BenchStore store,
            InspectionDesk desk,
            BenchClock clock
        ) = post;
        (string id, long line) = (stored.Job.Id, picture.Line);
        List<string> problems = [];
        Dictionary<string, double[]> places = new(StringComparer.Ordinal);
        foreach (AskedPlace asked in PictureMeasuring.Places(picture.Kind))
        {
            string text = form[asked.Id].ToString().Trim();
            if (text.Length == 0)
            {
                continue;
            }
            double[] numbers =
            [
                .. text.Split([' ', ';', ','], StringSplitOptions.RemoveEmptyEntries)
                    .Select(part => FormText.Number(part) ?? double.NaN),
            ];
            if (numbers.Length == 2 && numbers.All(double.IsFinite))
            {
                places[asked.Id] = numbers;
            }
            else
            {
                problems.Add(
                    $"{asked.Words}: '{FormText.Shown(text)}' is no place. Tap it in the picture, or write column and row in pixels: 812 460."
                );
            }
        }
        Dictionary<string, double> lengths = new(StringComparer.Ordinal);
        foreach (AskedPlace asked in PictureMeasuring.Lengths(picture.Kind))
        {
            string text = form[asked.Id].ToString().Trim();
            if (text.Length == 0)
            {
                continue;
            }
            if (FormText.Number(text) is { } value && value is >= 0 and <= MostLengthMm)
            {
                lengths[asked.Id] = value;
            }
            else
            {
                problems.Add(
                    $"{asked.Words}: '{FormText.Shown(text)}' is no length from 0 to {MostLengthMm.ToString("0", CultureInfo.InvariantCulture)} mm."
                );
            }
        }
        if (problems.Count > 0)
        {
            problems.Add("Nothing was saved.");
            return InspectionEndpoints.OpenPage(
                InspectionEndpoints.WithOpen(InspectionEndpoints.Opened(stored, desk), line, "")! with
                {
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
            $"{picture.Name} (line {line}): places marked in the picture.",
            new InspectionNote
            {
                Picture = line,
                Places = places,
                LengthsMm = lengths,
            }
        );
        return Results.LocalRedirect($"/jobs/{id}/pictures/{line.ToString(CultureInfo.InvariantCulture)}?done=marked");
    }

    /// <summary>What somebody sends about a picture that is there.</summary>
    private sealed record PicturePost(
        StoredJob Stored,
        JobPicture Picture,
        IFormCollection Form,
        HttpContext Http,
        BenchStore Store,
        InspectionDesk Desk,
        BenchClock Clock
    );

    // One beginning for all that is sent about a picture: the form, the job, the picture, or what is missing of them.
    private static Delegate On(Func<PicturePost, IResult> work) =>
        async (string id, long line, HttpContext http, BenchStore store, InspectionDesk desk, BenchClock clock) =>
        {
            IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
            return store.FindJob(id) is not { } stored ? Pages.NoSuchJob(id)
                : desk.Pictures(id).FirstOrDefault(one => one.Line == line) is not { } picture
                    ? InspectionEndpoints.NoSuchPicture(line)
                : work(new PicturePost(stored, picture, form, http, store, desk, clock));
        };

    private static string ShortText(string text, string otherwise)
    {
        string plain = string.Concat(text.Where(sign => !char.IsControl(sign))).Trim();
        return plain.Length == 0 ? otherwise : plain[..Math.Min(plain.Length, 40)];
    }

    private static T? Named<T>(string? name)
        where T : struct, Enum =>
        Enum.GetValues<T>().Where(one => FieldWords.NameOf(one) == name).Select(one => (T?)one).FirstOrDefault();

    private static void Keep(
        BenchStore store,
        BenchClock clock,
        Job job,
        EvidenceKind kind,
        string words,
        InspectionNote note,
        StoredFile? file = null
    ) =>
        Saving.AddLine(
            store,
            clock,
            job,
            kind,
            words,
            JsonSerializer.Serialize(new InspectionPayload(words, file?.Name, note), InspectionNote.Json),
            file
        );
}
