using Graftbench.Core.Inspection;
using Graftbench.Core.Numerics;

namespace Graftbench.Scenes;

/// <summary>What is true at a site.</summary>
public enum SiteTruth
{
    Present,
    Missing,
    Undersized,
    OffCentre,
}

/// <summary>A ball that lies somewhere: places in grid steps (column, row), sizes in steps.</summary>
public sealed record SceneBall(double U, double V, double RadiusSteps, int Look);

/// <summary>How strong each difficulty is, 0 (a good picture) to 1 (as bad as the program is asked to bear).</summary>
public sealed record Difficulty
{
    public double Turn { get; init; }
    public double Tilt { get; init; }
    public double Uneven { get; init; }
    public double Blur { get; init; }
    public double Noise { get; init; }
    public double Small { get; init; }
    public double Highlight { get; init; }
    public double Shadow { get; init; }
    public double Smear { get; init; }
    public double Missing { get; init; }
    public double Spread { get; init; }
    public double Substrate { get; init; }
    public double Parts { get; init; }
    public double Crop { get; init; }
    public double Stencil { get; init; }

    public static readonly IReadOnlyList<string> Names =
    [
        "turn",
        "tilt",
        "uneven light",
        "blur",
        "noise and JPEG",
        "resolution",
        "highlights",
        "hard shadow",
        "flux smears",
        "missing share",
        "size spread",
        "substrate",
        "middle parts",
        "crop",
        "stencil",
    ];

    /// <summary>One difficulty alone.</summary>
    public static Difficulty Only(string name, double strength) => new Difficulty().With(name, strength);

    public Difficulty With(string name, double s) =>
        name switch
        {
            "turn" => this with { Turn = s },
            "tilt" => this with { Tilt = s },
            "uneven light" => this with { Uneven = s },
            "blur" => this with { Blur = s },
            "noise and JPEG" => this with { Noise = s },
            "resolution" => this with { Small = s },
            "highlights" => this with { Highlight = s },
            "hard shadow" => this with { Shadow = s },
            "flux smears" => this with { Smear = s },
            "missing share" => this with { Missing = s },
            "size spread" => this with { Spread = s },
            "substrate" => this with { Substrate = s },
            "middle parts" => this with { Parts = s },
            "crop" => this with { Crop = s },
            "stencil" => this with { Stencil = s },
            _ => throw new ArgumentOutOfRangeException(nameof(name), name, "No such difficulty."),
        };

    /// <summary>All at once, each of its own strength.</summary>
    public static Difficulty Mixed(Dice dice, double most)
    {
        Difficulty all = new();
        foreach (string name in Names)
        {
            double strength = name == "stencil" ? (dice.Uniform() < 0.2 ? 1 : 0) : dice.Uniform() * most;
            all = all.With(name, name is "crop" or "parts" && dice.Uniform() < 0.6 ? 0 : strength);
        }
        return all;
    }
}

/// <summary>A ball field with its faults, a camera and a light: everything that a renderer needs, and the truth.</summary>
public sealed class BallScene
{
    public required BallField Field { get; init; }
    public required BallView View { get; init; }
    public required SiteTruth[] Truth { get; init; }
    public required bool[] Joined { get; init; }
    public required List<SceneBall> Balls { get; init; }
    public required List<(double U0, double V0, double U1, double V1, double Radius)> Bridges { get; init; }
    public required List<(double U, double V)> Strays { get; init; }
    public required List<(double U, double V, double Width, double Height)> Parts { get; init; }
    public required List<(double U, double V, double Radius, double Strength)> Smears { get; init; }
    public required Difficulty Difficulty { get; init; }
    public required int WidthPx { get; init; }
    public required int HeightPx { get; init; }
    public required double PitchPx { get; init; }
    public required double TurnDeg { get; init; }
    public required double TiltDeg { get; init; }
    public required double TowardsDeg { get; init; }
    public required double ShiftXPx { get; init; }
    public required double ShiftYPx { get; init; }
    public required double LandSteps { get; init; }
    public required ulong Seed { get; init; }

    /// <summary>Radius of a sound ball in steps.</summary>
    public required double BallSteps { get; init; }

    public SiteTruth At(int row, int column) => Truth[row * Field.Columns + column];

    /// <summary>A field with faults; the same numbers give the same scene.</summary>
    public static BallScene Make(
        ulong seed,
        Difficulty difficulty,
        int rows = 16,
        int columns = 16,
        double? pitchPx = null,
        bool faults = true,
        double? missingShare = null
    )
    {
        Dice dice = new(seed * 7919 + 17);
        bool[] has = Layout(dice, rows, columns, difficulty.Parts);
        double ball = dice.Between(0.27, 0.325);
        BallField field = new(rows, columns, 1.0, has, 2 * ball);
        SiteTruth[] truth = new SiteTruth[rows * columns];
        bool[] joined = new bool[rows * columns];
        List<SceneBall> balls = [];
        double missing = missingShare ?? (faults ? 0.02 + 0.38 * difficulty.Missing : 0);
        double spread = 0.01 + 0.05 * difficulty.Spread;
        foreach ((int row, int column) in field.Sites())
        {
            double throwOf = dice.Uniform();
            int at = row * columns + column;
            truth[at] =
                throwOf < missing ? SiteTruth.Missing
                : !faults ? SiteTruth.Present
                : throwOf < missing + 0.012 ? SiteTruth.Undersized
                : throwOf < missing + 0.024 ? SiteTruth.OffCentre
                : SiteTruth.Present;
            if (truth[at] == SiteTruth.Missing)
            {
                continue;
            }
            double size = Math.Clamp(1 + spread * dice.Normal(), 0.87, 1.13);
            double angle = dice.Between(0, 2 * Math.PI);
            double away = truth[at] == SiteTruth.OffCentre ? dice.Between(0.2, 0.26) : 0.012 * Math.Abs(dice.Normal());
            size *= truth[at] == SiteTruth.Undersized ? dice.Between(0.5, 0.68) : 1;
            balls.Add(
                new SceneBall(
                    Seen(field, column) + away * Math.Cos(angle),
                    row + away * Math.Sin(angle),
                    ball * size,
                    (int)dice.Between(0, 1e6)
                )
            );
        }
        List<(double, double, double, double, double)> bridges = [];
        List<(double, double)> strays = [];
        if (faults)
        {
            Bridge(dice, field, truth, joined, bridges, ball);
            Stray(dice, field, truth, strays, balls, ball);
        }
        double pitch = pitchPx ?? 34 - 19 * difficulty.Small;
        double crop = difficulty.Crop > 0 ? 0.35 * difficulty.Crop : 0;
        double turn = dice.Between(-4, 4) + difficulty.Turn * dice.Between(0, 360);
        double margin = 1.8;
        double side = pitch * (Math.Max(rows, columns) + 2 * margin) * (difficulty.Turn > 0 ? 1.25 : 1.05);
        double shift = crop * pitch * Math.Max(rows, columns);
        return new BallScene
        {
            Field = field,
            View = difficulty.Stencil > 0 ? BallView.Stencil : BallView.Bottom,
            Truth = truth,
            Joined = joined,
            Balls = balls,
            Bridges = bridges,
            Strays = strays,
            Parts = Middle(dice, field, difficulty.Parts),
            Smears = Smear(dice, rows, columns, difficulty.Smear),
            Difficulty = difficulty,
            WidthPx = (int)(side * 1.15),
            HeightPx = (int)side,
            PitchPx = pitch,
            TurnDeg = turn,
            TiltDeg = difficulty.Tilt * 25,
            TowardsDeg = dice.Between(0, 360),
            ShiftXPx = shift * (dice.Uniform() < 0.5 ? -1 : 1),
            ShiftYPx = shift * dice.Between(-0.6, 0.6),
            LandSteps = ball * dice.Between(0.75, 0.92),
            Seed = seed,
            BallSteps = ball,
        };
    }

    // Seen from below, columns run the other way.
    public static double Seen(BallField field, double column) => field.Columns - 1 - column;

    /// <summary>The site under a place of the drawn plane, and how far off it is in steps.</summary>
    public (int Row, int Column, double Away) Nearest(double u, double v)
    {
        int column = (int)Math.Round(Seen(Field, u));
        int row = (int)Math.Round(v);
        return (row, column, Math.Sqrt(Math.Pow(Seen(Field, u) - column, 2) + Math.Pow(v - row, 2)));
    }

    private static bool[] Layout(Dice dice, int rows, int columns, double parts)
    {
        bool[] has = new bool[rows * columns];
        int empty =
            parts > 0 ? 6
            : dice.Uniform() < 0.5 ? 0
            : (int)dice.Between(2, 6);
        for (int k = 0; k < has.Length; k++)
        {
            (int row, int column) = (k / columns, k % columns);
            bool middle = Math.Abs(2 * row - rows + 1) < empty && Math.Abs(2 * column - columns + 1) < empty;
            // Corner A1 and a few sites beside it are left out, so that every turn can be told.
            has[k] = !middle && !(row == 0 && column < 3);
        }
        return has;
    }

    private static void Bridge(
        Dice dice,
        BallField field,
        SiteTruth[] truth,
        bool[] joined,
        List<(double, double, double, double, double)> bridges,
        double ball
    )
    {
        for (int k = 0; k < 200 && bridges.Count < 3; k++)
        {
            int row = (int)dice.Between(0, field.Rows - 1);
            int column = (int)dice.Between(0, field.Columns - 1);
            (int r2, int c2) = dice.Uniform() < 0.5 ? (row + 1, column) : (row, column + 1);
            int a = row * field.Columns + column;
            int b = r2 * field.Columns + c2;
            if (
                field.Has(row, column)
                && field.Has(r2, c2)
                && truth[a] == SiteTruth.Present
                && truth[b] == SiteTruth.Present
                && !joined[a]
                && !joined[b]
            )
            {
                joined[a] = joined[b] = true;
                bridges.Add((Seen(field, column), row, Seen(field, c2), r2, ball * dice.Between(0.55, 0.85)));
            }
        }
    }

    private static void Stray(
        Dice dice,
        BallField field,
        SiteTruth[] truth,
        List<(double, double)> strays,
        List<SceneBall> balls,
        double ball
    )
    {
        for (int k = 0; k < 200 && strays.Count < 2; k++)
        {
            double u = (int)dice.Between(1, field.Columns - 2) + 0.5;
            double v = (int)dice.Between(1, field.Rows - 2) + 0.5;
            // The room between four balls takes a ball of this size without touching.
            double room = Math.Min(ball, 0.70 - ball - 0.04);
            strays.Add((u, v));
            balls.Add(new SceneBall(u, v, room * dice.Between(0.8, 1), k));
        }
    }

    private static List<(double, double, double, double)> Middle(Dice dice, BallField field, double strength)
    {
        List<(double, double, double, double)> parts = [];
        if (strength > 0)
        {
            double u = (field.Columns - 1) / 2.0;
            double v = (field.Rows - 1) / 2.0;
            parts.Add((u - 1.3, v - 0.9, 1.6, 0.9));
            parts.Add((u + 1.2, v - 0.8, 1.0, 0.6));
            parts.Add((u + dice.Between(-0.3, 0.3), v + 1.1, 2.0, 1.0));
        }
        return parts;
    }

    private static List<(double, double, double, double)> Smear(Dice dice, int rows, int columns, double strength)
    {
        List<(double, double, double, double)> smears = [];
        for (int k = 0; k < (int)(10 * strength + 0.5); k++)
        {
            smears.Add(
                (
                    dice.Between(-1, columns),
                    dice.Between(-1, rows),
                    dice.Between(0.5, 2.2),
                    dice.Between(0.25, 0.3 + 0.35 * strength)
                )
            );
        }
        return smears;
    }
}
