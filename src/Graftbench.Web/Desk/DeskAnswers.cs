using Graftbench.Web.Forms;
using Microsoft.AspNetCore.Http;

namespace Graftbench.Web.Desk;

/// <summary>What a page's script is told of a desk.</summary>
internal static class DeskAnswers
{
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
