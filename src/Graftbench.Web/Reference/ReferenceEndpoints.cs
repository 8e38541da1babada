using Graftbench.Web.Hosting;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Reference;

internal static class ReferenceEndpoints
{
    public static void MapReference(this IEndpointRouteBuilder routes) =>
        routes.MapGet(
            "/reference",
            (string? q) => Pages.Of<ReferencePage>((nameof(ReferencePage.Query), (q ?? "").Trim()))
        );
}
