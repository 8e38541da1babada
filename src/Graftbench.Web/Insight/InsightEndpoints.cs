using System.Globalization;
using Graftbench.Core.Insight;
using Graftbench.Web.Desk;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Insight;

/// <summary>The page of what the shop has learned.</summary>
internal static class InsightEndpoints
{
    public static void MapInsight(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/insight", (Delegate)Show);
        routes.MapGet("/insight/state", (InsightDesk desk) => DeskAnswers.State(desk.Status));
    }

    private static async Task<IResult> Show(string? since, string? days, InsightDesk desk, BenchClock clock)
    {
        List<string> problems = [];
        InsightQuestion question = new(clock.Now);
        if (!string.IsNullOrWhiteSpace(since))
        {
            if (clock.ReadField(since) is { } from)
            {
                question = question with { Since = from };
            }
            else
            {
                problems.Add(
                    "From day: this is no date. Write year, month and day: 2026-03-31. All jobs are counted below."
                );
            }
        }
        if (!string.IsNullOrWhiteSpace(days))
        {
            if (
                int.TryParse(days.Trim(), CultureInfo.InvariantCulture, out int watch)
                && watch is >= 1 and <= InsightQuestion.MostWatchDays
            )
            {
                question = question with { WatchDays = watch };
            }
            else
            {
                problems.Add(
                    $"Days of watching: a whole number from 1 to {InsightQuestion.MostWatchDays} is needed. Counted below with {InsightQuestion.UsualWatchDays}."
                );
            }
        }
        IDeskStatus status = await desk.Look();
        InsightView view = new(InsightPlanner.Answer(desk.Book.Cases, question), status, desk.Book.Unread)
        {
            Since = since?.Trim() ?? "",
            Days = string.IsNullOrWhiteSpace(days)
                ? InsightQuestion.UsualWatchDays.ToString(CultureInfo.InvariantCulture)
                : days.Trim(),
            Problems = problems,
        };
        return Pages.Of<InsightPage>(
            problems.Count == 0 ? StatusCodes.Status200OK : StatusCodes.Status422UnprocessableEntity,
            (nameof(InsightPage.View), view)
        );
    }
}
