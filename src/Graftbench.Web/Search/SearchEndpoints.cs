using System.Globalization;
using Graftbench.Store;
using Graftbench.Web.Hosting;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Search;

internal static class SearchEndpoints
{
    private const int LastPage = 100_000;

    public static void MapSearch(this IEndpointRouteBuilder routes) => routes.MapGet("/jobs", Show);

    private static RazorComponentResult<SearchPage> Show(HttpContext http, BenchStore store)
    {
        IQueryCollection query = http.Request.Query;
        SearchScope scope = Enum.TryParse(query["in"].ToString(), ignoreCase: true, out SearchScope asked)
            ? asked
            : SearchScope.All;
        int page = int.TryParse(query["page"], CultureInfo.InvariantCulture, out int number)
            ? Math.Clamp(number, 1, LastPage)
            : 1;
        return Pages.Of<SearchPage>(
            (nameof(SearchPage.View), SearchView.Of(store, query["q"].ToString(), scope, page))
        );
    }
}
