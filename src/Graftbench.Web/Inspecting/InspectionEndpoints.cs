using System.Globalization;
using Graftbench.Core.Planning;
using Graftbench.Store;
using Graftbench.Vision.Answering;
using Graftbench.Web.Hosting;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Inspecting;

/// <summary>The screen of the pictures: looking. What changes the record is in <see cref="InspectionActions"/>.</summary>
internal static class InspectionEndpoints
{
    private static readonly Dictionary<string, string> Done = new(StringComparer.Ordinal)
    {
        ["added"] = "Stored as evidence and looked at.",
        ["said"] = "Your word counts; what the picture reader found stays beside it in the record.",
        ["changed"] = "Changed by a line in the record; the picture itself stays.",
        ["marked"] = "Places saved and measured.",
    };

    public static void MapPictures(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/pictures", List);
        routes.MapGet("/jobs/{id}/pictures/{line:long}", Show);
        routes.MapGet("/jobs/{id}/pictures/{line:long}/shown.jpg", Jpeg);
        routes.MapGet("/jobs/{id}/pictures/{line:long}/sites.json", Sites);
        routes.MapGet("/jobs/{id}/pictures/{line:long}/marked.png", Marked);
        routes.MapInspectionActions();
    }

    private static IResult List(string id, HttpContext http, BenchStore store, InspectionDesk desk) =>
        store.FindJob(id) is { } stored
            ? Page(
                Opened(stored, desk) with
                {
                    Done = Done.GetValueOrDefault(http.Request.Query["done"].ToString()),
                },
                StatusCodes.Status200OK
            )
            : Pages.NoSuchJob(id);

    private static IResult Show(string id, long line, HttpContext http, BenchStore store, InspectionDesk desk)
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        return WithOpen(Opened(stored, desk), line, http.Request.Query["site"].ToString()) is { } view
            ? OpenPage(
                view with
                {
                    Done = Done.GetValueOrDefault(http.Request.Query["done"].ToString()),
                },
                StatusCodes.Status200OK
            )
            : NoSuchPicture(line);
    }

    // Upright, smaller, without where and when it was taken.
    private static IResult Jpeg(string id, long line, BenchStore store, InspectionDesk desk) =>
        store.FindJob(id) is not null
        && desk.Pictures(id).FirstOrDefault(one => one.Line == line) is { } picture
        && desk.Jpeg(picture) is { } jpeg
            ? Results.File(jpeg, "image/jpeg")
            : NoSuchPicture(line);

    private static IResult Marked(string id, long line, BenchStore store, InspectionDesk desk) =>
        store.FindJob(id) is { } stored
        && desk.Pictures(id).FirstOrDefault(one => one.Line == line) is { } picture
        && desk.Marked(stored.Job, picture) is { } png
            ? Results.File(png, "image/png", $"{id}-{line.ToString(CultureInfo.InvariantCulture)}-marked.png")
            : NoSuchPicture(line);

    private static IResult Sites(string id, long line, BenchStore store, InspectionDesk desk) =>
        store.FindJob(id) is { } stored && desk.Pictures(id).FirstOrDefault(one => one.Line == line) is { } picture
            ? Results.Json(desk.Seen(stored.Job, picture), PlanJson.Options)
            : NoSuchPicture(line);

    /// <summary>The page that says that there is no such picture.</summary>
    public static IResult NoSuchPicture(long line) =>
        Pages.Problem(
            StatusCodes.Status404NotFound,
            "No such picture",
            string.Create(CultureInfo.InvariantCulture, $"This job has no picture {line} that can be shown.")
        );

    /// <summary>The screen of a job with its pictures looked at.</summary>
    public static InspectionView Opened(StoredJob stored, InspectionDesk desk) =>
        new(
            stored,
            desk.Answer(stored.Job),
            [
                .. desk.Pictures(stored.Job.Id)
                    .Reverse()
                    .Select(picture => new LookedAt(picture, picture.SetAside ? null : desk.Seen(stored.Job, picture))),
            ]
        );

    /// <summary>The screen with one picture open; null where there is none of that line.</summary>
    public static InspectionView? WithOpen(InspectionView view, long line, string site)
    {
        LookedAt? open = view.Pictures.FirstOrDefault(one => one.Picture.Line == line);
        return open is null
            ? null
            : view with
            {
                Open = open,
                Site = open.Seen?.Sites.FirstOrDefault(one => one.Name == site),
            };
    }

    /// <summary>The page of all pictures.</summary>
    public static RazorComponentResult<PicturesPage> Page(InspectionView view, int status) =>
        Pages.Of<PicturesPage>(status, (nameof(PicturesPage.View), view));

    /// <summary>The page of one picture.</summary>
    public static RazorComponentResult<PicturePage> OpenPage(InspectionView view, int status) =>
        Pages.Of<PicturePage>(status, (nameof(PicturePage.View), view));
}
