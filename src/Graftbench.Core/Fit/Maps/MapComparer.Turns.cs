using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using static System.FormattableString;

namespace Graftbench.Core.Fit.Maps;

public static partial class MapComparer
{
    // How many rows and columns a list is tried off by.
    private const int Farthest = 2;

    /// <summary>The donor's list moved against the host's.</summary>
    /// <param name="Down">Rows that it is moved down by to agree.</param>
    /// <param name="Right">Columns that it is moved right by.</param>
    /// <param name="FromRow">First row of the donor's list that is moved; 0 where all are.</param>
    /// <param name="AgreeNumber">Balls with the same function then.</param>
    private readonly record struct Shift(int Down, int Right, int FromRow, int AgreeNumber);

    private static IEnumerable<Finding> Turns(BallMap host, BallMap donor, List<TurnScore> scores)
    {
        TurnScore identity = scores.First(score => score.Turn == FieldTurn.AsIs);
        TurnScore best = scores[0];
        double clear = ClearFraction * donor.Balls.Count;
        string all = string.Join(", ", scores.Select(score => Invariant($"{Words(score.Turn)} {score.AgreeNumber}")));
        if (identity.AgreeNumber < Math.Max(host.Balls.Count, donor.Balls.Count))
        {
            Shift shift = BestShift(host, donor);
            if (shift.AgreeNumber - Math.Max(best.AgreeNumber, identity.AgreeNumber) >= clear)
            {
                yield return Shifted(donor, shift, identity);
                yield break;
            }
        }
        // The runner-up of the identity; the identity itself where something else wins.
        int next =
            best != identity ? identity.AgreeNumber
            : scores.Count > 1 ? scores[1].AgreeNumber
            : -1;
        if (next < 0 && 2 * identity.AgreeNumber < donor.Balls.Count)
        {
            yield return new Finding(
                Verdict.Unknown,
                "fit.turn-unclear",
                "ball lists",
                "The lists hardly agree, and fields of two sizes cannot be turned on each other: which way round they lie is not known.",
                all,
                Invariant($"half of {donor.Balls.Count} balls"),
                Rule,
                "Check that both lists are of the right package, and hold corner A1 against both drawings."
            );
        }
        else if (best.AgreeNumber - next < clear)
        {
            yield return new Finding(
                Verdict.Unknown,
                "fit.turn-unclear",
                "ball lists",
                "Turned or mirrored the lists agree as well: which way round they are cannot be told from them.",
                all,
                Invariant($"{100 * ClearFraction:0} % of the balls apart"),
                Rule,
                "Hold corner A1 and the view against both drawings."
            );
        }
        else if (best != identity)
        {
            bool mirror = best.Turn >= FieldTurn.MirroredColumns;
            yield return new Finding(
                Verdict.Blocker,
                mirror ? "fit.list-mirrored" : "fit.list-turned",
                "ball lists",
                mirror
                    ? "The lists agree best mirrored: one was typed from the other view."
                    : "The lists agree best turned: corner A1 of one is marked wrongly.",
                all,
                "as it is must agree best",
                Rule,
                mirror
                    ? "Say for each list whether it looks at the balls or through the top, and correct it."
                    : "Check corner A1 on both drawings."
            );
        }
        else
        {
            yield return new Finding(
                Verdict.Ok,
                "fit.turn",
                "ball lists",
                "Both lists lie the same way round.",
                all,
                Source: Rule
            );
        }
    }

    private static Finding Shifted(BallMap donor, Shift shift, TurnScore identity)
    {
        string off = string.Join(
            " and ",
            new[] { Off(shift.Down, "row", "down", "up"), Off(shift.Right, "column", "right", "left") }.OfType<string>()
        );
        string row = BallNames.Of(shift.FromRow, 0, donor.Letters)[..^1];
        return new Finding(
            Verdict.Blocker,
            "fit.list-shifted",
            "ball lists",
            shift.FromRow > 0
                ? $"From row {row} of the chip's list on the lists agree best moved {off}: a row letter was left out, or is one too many, in one of them."
                : $"The lists agree best with the chip's moved {off}: balls of one are named off by that.",
            Invariant($"moved {shift.AgreeNumber}, as it is {identity.AgreeNumber}"),
            "as it is must agree best",
            Rule,
            shift.FromRow > 0
                ? $"Hold the row letters around {row} against both package drawings, and correct the list."
                : "Hold ball A1 against both package drawings, and correct the list."
        );
    }

    private static string? Off(int by, string what, string plus, string minus) =>
        by == 0 ? null : Invariant($"{Math.Abs(by)} {what}{(Math.Abs(by) == 1 ? "" : "s")} {(by > 0 ? plus : minus)}");

    // Moved as a whole, or from one row on by a row: a letter of the alphabet too many or too few.
    private static Shift BestShift(BallMap host, BallMap donor)
    {
        MapBall?[] grid = Grid(host);
        Shift best = new(0, 0, 0, -1);
        int[] asIs = Agree(host, grid, donor, 0, 0);
        for (int down = -Farthest; down <= Farthest; down++)
        {
            for (int right = -Farthest; right <= Farthest; right++)
            {
                if ((down, right) == (0, 0))
                {
                    continue;
                }
                int[] moved = Agree(host, grid, donor, down, right);
                int agree = moved.Sum();
                best = agree > best.AgreeNumber ? new Shift(down, right, 0, agree) : best;
                if (right != 0 || Math.Abs(down) != 1)
                {
                    continue;
                }
                for (int from = 1; from < donor.Rows; from++)
                {
                    agree += asIs[from - 1] - moved[from - 1];
                    best = agree > best.AgreeNumber ? new Shift(down, 0, from, agree) : best;
                }
            }
        }
        return best;
    }

    // Balls that do the same, for each row of the donor.
    private static int[] Agree(BallMap host, MapBall?[] grid, BallMap donor, int down, int right)
    {
        int[] agree = new int[donor.Rows];
        foreach (MapBall ball in donor.Balls)
        {
            (int row, int column) = (ball.Row + down, ball.Column + right);
            if (
                row >= 0
                && row < host.Rows
                && column >= 0
                && column < host.Columns
                && grid[(row * host.Columns) + column] is { } other
                && other.DoesAs(ball)
            )
            {
                agree[ball.Row]++;
            }
        }
        return agree;
    }
}
