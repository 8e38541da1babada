using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.NewJob;

internal static class NewJobEndpoints
{
    public static void MapNewJob(this IEndpointRouteBuilder routes)
    {
        routes.MapGet(
            "/jobs/new",
            (HttpContext http, BenchStore store, BenchClock clock) =>
                Show(
                    NewJobForm.Empty(
                        store.FindJobs(new JobQuery { Take = 1 }).Jobs is [var last] ? last : null,
                        ShelfChoice.Of(http.Request.Query, store),
                        BenchChoice.Of(store, null),
                        clock
                    )
                )
        );
        routes.MapPost("/jobs/new", Save);
    }

    private static async Task<IResult> Save(HttpContext http, BenchStore store, BenchClock clock)
    {
        IFormCollection posted = await http.Request.ReadFormAsync(http.RequestAborted);
        NewJobForm form = NewJobForm.Posted(posted, store, clock);
        switch (posted["do"].ToString())
        {
            case "take:board-size":
                form.TakeBoardSize();
                return Show(form);
            case "take:host-size":
                form.TakeHostForDonor();
                return Show(form);
            case "take:package-class":
                form.TakePackageClass();
                return Show(form);
        }
        if (form.Build(id => store.FindJob(id) is not null) is not { } job)
        {
            return Show(form, StatusCodes.Status422UnprocessableEntity);
        }
        if (Saving.TrySave(store, job, 0) is { } failure)
        {
            form.Draft.Notice = failure.Notice;
            return Show(form, failure.Status);
        }
        return Results.LocalRedirect($"/jobs/{job.Id}");
    }

    private static RazorComponentResult<NewJobPage> Show(NewJobForm form, int status = StatusCodes.Status200OK) =>
        Pages.Of<NewJobPage>(status, (nameof(NewJobPage.View), form));
}
