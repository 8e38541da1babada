using Graftbench.Store;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Today;

internal static class TodayEndpoints
{
    public static void MapToday(this IEndpointRouteBuilder routes) => routes.MapGet("/", Show);

    private static RazorComponentResult<TodayPage> Show(BenchStore store, BenchPlans plans, BenchClock clock) =>
        Pages.Of<TodayPage>((nameof(TodayPage.View), TodayView.Of(store, plans, clock.Now)));
}
