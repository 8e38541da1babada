using Graftbench.Core.Fit.Maps;
using static System.FormattableString;

namespace Graftbench.Sheets.Pictures;

/// <summary>Ball lists of host and chip side by side, with what differs.</summary>
public static class BallMapPicture
{
    private static readonly FieldKey[] Classes =
    [
        new(BallMark.Square, BallTone.Quiet, "ground"),
        new(BallMark.Disc, BallTone.Accent, "supply"),
        new(BallMark.Dot, BallTone.Quiet, "signal"),
        new(BallMark.Ring, BallTone.Quiet, "not connected"),
        new(BallMark.Bar, BallTone.Quiet, "reserved"),
        new(BallMark.Triangle, BallTone.Quiet, "not told what for"),
    ];

    private static readonly FieldKey[] Frames =
    [
        new(BallMark.Dot, BallTone.Alert, "stops it: supply, ground and signal meet, or a ball without its land", true),
        new(BallMark.Dot, BallTone.Warn, "to be looked at: another rail or name, open on one side, not told", true),
    ];

    /// <summary>The picture.</summary>
    /// <param name="comparison">The lists compared.</param>
    /// <param name="host">List of the host.</param>
    /// <param name="chip">List of the chip.</param>
    /// <param name="hostTitle">Words over the host's field.</param>
    /// <param name="chipTitle">Words over the chip's field.</param>
    public static BallFieldPicture Of(
        MapComparison comparison,
        BallMap host,
        BallMap chip,
        string hostTitle = "Board",
        string chipTitle = "Chip"
    )
    {
        ArgumentNullException.ThrowIfNull(comparison);
        ArgumentNullException.ThrowIfNull(host);
        ArgumentNullException.ThrowIfNull(chip);
        Dictionary<(int, int), BallTone> flags = [];
        foreach (SiteMatch site in comparison.Sites)
        {
            if (Tone(site.Match) is { } tone)
            {
                flags[(site.Row, site.Column)] = tone;
            }
        }
        int stops = comparison.Sites.Count(site => Tone(site.Match) == BallTone.Alert);
        int looks = comparison.Sites.Count(site => Tone(site.Match) == BallTone.Warn);
        return new BallFieldPicture(
            [Field(hostTitle, host, flags), Field(chipTitle, chip, flags)],
            [.. Classes, .. Frames],
            "Ball lists of board and chip side by side",
            Invariant(
                $"{comparison.Number(BallMatch.Same)} of {comparison.Sites.Count} balls do the same on both sides; {stops} stop it, {looks} are to be looked at."
            )
        );
    }

    /// <summary>A single list.</summary>
    /// <param name="map">The list.</param>
    /// <param name="title">Words over it.</param>
    public static BallFieldPicture Of(BallMap map, string title)
    {
        ArgumentNullException.ThrowIfNull(map);
        return new BallFieldPicture(
            [Field(title, map, [])],
            Classes,
            title,
            Invariant($"{map.Balls.Count} balls in {map.Rows} rows and {map.Columns} columns.")
        );
    }

    /// <summary>How much a match weighs; null where both are the same.</summary>
    /// <param name="match">The match.</param>
    public static BallTone? Tone(BallMatch match) =>
        match switch
        {
            BallMatch.Same => null,
            BallMatch.Clash or BallMatch.NoPower or BallMatch.OnlyDonor => BallTone.Alert,
            _ => BallTone.Warn,
        };

    private static DrawnField Field(string title, BallMap map, Dictionary<(int, int), BallTone> flags) =>
        new(
            title,
            map.Rows,
            map.Columns,
            map.Letters,
            [
                .. map.Balls.Select(ball =>
                {
                    FieldKey key = Classes[ClassAt(ball.Class)];
                    return flags.TryGetValue((ball.Row, ball.Column), out BallTone tone)
                        ? new FieldBall(ball.Row, ball.Column, key.Mark, tone, true)
                        : new FieldBall(ball.Row, ball.Column, key.Mark, key.Tone);
                }),
            ]
        );

    private static int ClassAt(BallClass of) =>
        of switch
        {
            BallClass.Ground => 0,
            BallClass.Supply => 1,
            BallClass.Signal => 2,
            BallClass.NoConnect => 3,
            BallClass.Reserved => 4,
            _ => 5,
        };
}
