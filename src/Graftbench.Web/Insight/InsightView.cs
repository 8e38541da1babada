using System.Globalization;
using Graftbench.Core.Insight;
using Graftbench.Sheets.Pictures;
using Graftbench.Web.Desk;

namespace Graftbench.Web.Insight;

/// <summary>Everything that the page of what the shop learned shows.</summary>
/// <param name="Answer">The answer.</param>
/// <param name="Status">Where the reading of the store stands.</param>
/// <param name="Unread">Jobs that could not be read.</param>
public sealed record InsightView(InsightAnswer Answer, IDeskStatus Status, IReadOnlyList<string> Unread)
{
    /// <summary>Most names of jobs that are listed.</summary>
    public const int MostNamed = 10;

    /// <summary>The first day, as it was typed.</summary>
    public string Since { get; init; } = "";

    /// <summary>Days of watching, as they were typed.</summary>
    public string Days { get; init; } = "";

    /// <summary>What is wrong with what was asked for.</summary>
    public IReadOnlyList<string> Problems { get; init; } = [];

    /// <summary>Address that asks the same again.</summary>
    public string Here => $"/insight?since={Uri.EscapeDataString(Since)}&days={Uri.EscapeDataString(Days)}";

    /// <summary>All decided cases as one row.</summary>
    public string OutcomePicture =>
        SharePicture.Svg("Jobs that worked", [new ShareRow("All decided jobs", Answer.Counts.Share)]);

    /// <summary>The groups of a dimension as bars.</summary>
    public static string Picture(InsightTable table)
    {
        ArgumentNullException.ThrowIfNull(table);
        return SharePicture.Svg(
            $"{InsightWords.Of(table.Dimension)}: jobs that worked",
            [
                .. table.Groups.Select(group => new ShareRow(
                    InsightWords.Group(group.Name),
                    group.Share,
                    group.Verdict is GroupVerdict.Better or GroupVerdict.Worse
                )),
            ]
        );
    }

    /// <summary>The yield of donors as bars.</summary>
    public string DonorPicture =>
        SharePicture.Svg(
            "Chips of donors that worked",
            [.. Answer.Donors.Select(donor => new ShareRow(InsightWords.Group(donor.Source), donor.Share))]
        );

    /// <summary>An interval in figures.</summary>
    public static string Interval(CountedShare share)
    {
        ArgumentNullException.ThrowIfNull(share);
        return string.Create(CultureInfo.InvariantCulture, $"{share.LowFraction:0.00} to {share.HighFraction:0.00}");
    }

    /// <summary>A figure, short.</summary>
    public static string Number(double? figure, string format = "0.#") =>
        figure is { } number ? number.ToString(format, CultureInfo.InvariantCulture) : "not said";

    /// <summary>Money with its currency.</summary>
    public static string Money(double amount, string currency) =>
        string.Create(CultureInfo.InvariantCulture, $"{amount:0.00} {currency}").TrimEnd();
}
