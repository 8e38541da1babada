using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;

namespace Graftbench.Web.Hosting;

/// <summary>Razor components as whole pages, and the pages for what went wrong.</summary>
internal static class Pages
{
    /// <summary>A page whose parameters are the given names and values.</summary>
    public static RazorComponentResult<TPage> Of<TPage>(int status, params (string Name, object? Value)[] parameters)
        where TPage : IComponent =>
        new(parameters.ToDictionary(pair => pair.Name, pair => pair.Value, StringComparer.Ordinal))
        {
            StatusCode = status,
        };

    /// <summary>A page that answers 200.</summary>
    public static RazorComponentResult<TPage> Of<TPage>(params (string Name, object? Value)[] parameters)
        where TPage : IComponent => Of<TPage>(StatusCodes.Status200OK, parameters);

    /// <summary>A page that says what went wrong and what to do.</summary>
    public static RazorComponentResult<ProblemPage> Problem(int status, string title, string text) =>
        Of<ProblemPage>(status, (nameof(ProblemPage.Title), title), (nameof(ProblemPage.Text), text));

    /// <summary>The page for an address that does not exist.</summary>
    public static RazorComponentResult<ProblemPage> NotFound(string path) =>
        Problem(StatusCodes.Status404NotFound, "Not on this bench", $"There is no page at {path}.");

    /// <summary>The page for a job that does not exist.</summary>
    public static RazorComponentResult<ProblemPage> NoSuchJob(string id) =>
        Problem(StatusCodes.Status404NotFound, "No such job", $"The store holds no job named '{id}'.");
}
