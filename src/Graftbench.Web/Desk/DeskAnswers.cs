using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Microsoft.AspNetCore.Http;

namespace Graftbench.Web.Desk;

/// <summary>What a page's script is told of a desk.</summary>
internal static class DeskAnswers
{
    /// <summary>After a plan was asked for: back to the page, or why it cannot be computed.</summary>
    /// <param name="status">Where it stands.</param>
    /// <param name="back">The way back.</param>
    public static IResult Requested(IDeskStatus status, IResult back) =>
        status.State == DeskState.Failed
            ? Pages.Problem(StatusCodes.Status503ServiceUnavailable, "Not computed", status.Words)
            : back;

    /// <summary>Where a plan stands, as JSON.</summary>
    public static IResult State(IDeskStatus status) =>
        Results.Json(
            new
            {
                state = FieldWords.NameOf(status.State),
                done = Math.Round(status.DoneFraction, 3),
                words = status.Words,
            }
        );
}
