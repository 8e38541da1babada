using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Proof;
using Graftbench.Core.Returns;
using static System.FormattableString;

namespace Graftbench.Sheets.Pictures;

/// <summary>Ball fields of the proof: what stands for each joint, and which nets have moved on return.</summary>
public static class ProofPictures
{
    private static readonly (BallEvidence Evidence, BallMark Mark, BallTone Tone, string Words)[] Marks =
    [
        (BallEvidence.ByReading, BallMark.Square, BallTone.Good, "proven by a reading"),
        (BallEvidence.ByPicture, BallMark.Disc, BallTone.Good, "seen in a picture"),
        (BallEvidence.ByFunction, BallMark.Triangle, BallTone.Good, "something that works needs it"),
        (
            BallEvidence.RailNotShort,
            BallMark.Ring,
            BallTone.Warn,
            "its rail is not shorted; the ball itself is not proven"
        ),
        (BallEvidence.NotProven, BallMark.Bar, BallTone.Alert, "not proven"),
        (BallEvidence.NotNeeded, BallMark.Dot, BallTone.Quiet, "not connected inside"),
    ];

    /// <summary>What is proven of each ball.</summary>
    /// <param name="coverage">The coverage.</param>
    /// <param name="map">The ball list.</param>
    public static BallFieldPicture Coverage(ProofCoverage coverage, BallMap map)
    {
        ArgumentNullException.ThrowIfNull(coverage);
        ArgumentNullException.ThrowIfNull(map);
        Dictionary<BallEvidence, (BallMark Mark, BallTone Tone)> of = Marks.ToDictionary(
            one => one.Evidence,
            one => (one.Mark, one.Tone)
        );
        return new BallFieldPicture(
            [
                new DrawnField(
                    "Joints, by what stands for them",
                    map.Rows,
                    map.Columns,
                    map.Letters,
                    [
                        .. coverage.Balls.Select(ball => new FieldBall(
                            ball.Ball.Row,
                            ball.Ball.Column,
                            of[ball.Evidence].Mark,
                            of[ball.Evidence].Tone
                        )),
                    ]
                ),
            ],
            [
                .. Marks
                    .Where(one => coverage.CountOf(one.Evidence) > 0)
                    .Select(one => new FieldKey(
                        one.Mark,
                        one.Tone,
                        Invariant($"{coverage.CountOf(one.Evidence)} {one.Words}")
                    )),
            ],
            "Ball field: what stands for each joint",
            Invariant(
                $"{100 * coverage.ProvenFraction:0} % of {coverage.Needed} balls that must connect are proven by a reading, a picture or the function."
            )
        )
        {
            WidthPx = 520,
        };
    }

    /// <summary>Nets that moved between hand-over and return, on the ball field.</summary>
    /// <param name="answer">The comparison.</param>
    /// <param name="map">The ball list.</param>
    public static BallFieldPicture Returned(ReturnAnswer answer, BallMap map)
    {
        ArgumentNullException.ThrowIfNull(answer);
        ArgumentNullException.ThrowIfNull(map);
        Dictionary<string, bool> moved = new(StringComparer.OrdinalIgnoreCase);
        foreach (NetReturn net in answer.Nets.Where(net => net.Why is null))
        {
            foreach (string ball in net.Balls)
            {
                moved[ball] = net.StandsOut || moved.GetValueOrDefault(ball);
            }
        }
        int standing = moved.Count(one => one.Value);
        return new BallFieldPicture(
            [
                new DrawnField(
                    "Since hand-over",
                    map.Rows,
                    map.Columns,
                    map.Letters,
                    [
                        .. map.Balls.Select(ball =>
                            moved.TryGetValue(ball.Name, out bool stands)
                                ? stands
                                    ? new FieldBall(ball.Row, ball.Column, BallMark.Disc, BallTone.Alert, true)
                                    : new FieldBall(ball.Row, ball.Column, BallMark.Square, BallTone.Good)
                                : new FieldBall(ball.Row, ball.Column, BallMark.Dot)
                        ),
                    ]
                ),
            ],
            [
                new FieldKey(BallMark.Disc, BallTone.Alert, "its net has moved"),
                new FieldKey(BallMark.Square, BallTone.Good, "its net reads as at hand-over"),
                new FieldKey(BallMark.Dot, BallTone.Quiet, "not compared"),
            ],
            "Ball field: nets that moved since hand-over",
            Invariant($"{standing} of {moved.Count} balls that were compared lie on nets that moved.")
        )
        {
            WidthPx = 520,
        };
    }
}
