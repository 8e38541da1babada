using System.Diagnostics;
using System.Globalization;
using Graftbench.Core.Inspection;
using Graftbench.Shared.Vision;
using Graftbench.Vision.BeforeAfter;
using Graftbench.Vision.Lands;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Planes;
using Graftbench.Vision.SideView;
using Graftbench.Vision.Xray;

namespace Graftbench.Bench;

/// <summary>
/// Side views, before and after, and lands on made pictures, by factor:
/// dotnet run -c Release --project bench/Graftbench.Bench -- seat
/// </summary>
internal static class SeatFigures
{
    private const double Scale = 18;

    /// <summary>Measures and prints.</summary>
    public static void Print()
    {
        Side();
        Compare();
        Lands();
    }

    private static void Side()
    {
        Console.WriteLine("| side view | gaps | not judged | median µm | most µm | ± µm | inside ± |");
        Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- |");
        foreach (
            (string name, SideLook look) in new (string, SideLook)[]
            {
                ("base: 70 px/mm, blur 1.2 px, noise 2 %", new SideLook()),
                ("no balls seen", new SideLook { Balls = false }),
                ("noise 6 %", new SideLook { Noise = 0.06 }),
                ("blur 3 px", new SideLook { BlurPx = 3 }),
                ("camera turned 8°, tilt 0.1 mm", new SideLook { TurnDeg = 8, TiltMm = 0.1 }),
                ("45 px/mm", new SideLook { PxPerMm = 45 }),
                ("30 px/mm: gap of 12 px", new SideLook { PxPerMm = 30 }),
                ("dirt", new SideLook { Dirt = 20 }),
                (
                    "dark behind, bright balls",
                    new SideLook
                    {
                        Light = 0.05,
                        Board = 0.4,
                        Package = 0.3,
                        Ball = 0.7,
                    }
                ),
                ("gap 0.25 mm", new SideLook { GapMm = 0.25 }),
                (
                    "faint edges",
                    new SideLook
                    {
                        Light = 0.36,
                        Board = 0.35,
                        Package = 0.33,
                    }
                ),
            }
        )
        {
            List<double> off = [];
            double told = 0;
            int inside = 0;
            int no = 0;
            for (int seed = 0; seed < 8; seed++)
            {
                MadeSide made = SideMaker.Make(look with { Seed = seed });
                Random random = new(seed);
                double click = Math.Min(4, 0.12 * look.GapMm * look.PxPerMm);
                PicturePoint Near((double X, double Y) place, double error) =>
                    new(place.X + error * XrayMaker.Normal(random), place.Y + error * XrayMaker.Normal(random));
                double length =
                    Math.Sqrt(
                        Math.Pow(made.Package[1].X - made.Package[0].X, 2)
                            + Math.Pow(made.Package[1].Y - made.Package[0].Y, 2)
                    ) / made.PxPerMm;
                SideViewReading got = SideViewReader.Measure(
                    new SideViewRequest(
                        made.Picture,
                        "front",
                        Near(made.Package[0], click),
                        Near(made.Package[1], click),
                        Near(made.Board[0], click),
                        Near(made.Board[1], click),
                        new KnownLength(Near(made.Package[0], 1.5), Near(made.Package[1], 1.5), length)
                    )
                );
                no += got.Judged ? 0 : 3;
                for (int k = 0; k < got.Gaps.Count; k++)
                {
                    double error = Math.Abs(got.Gaps[k].GapMm - made.GapsMm[k]);
                    off.Add(1000 * error);
                    told += 1000 * got.Gaps[k].UncertaintyMm;
                    inside += error <= got.Gaps[k].UncertaintyMm ? 1 : 0;
                }
            }
            off.Sort();
            Say(
                off.Count == 0
                    ? (FormattableString)$"| {name} | {no} | {no} | - | - | - | - |"
                    : $"| {name} | {off.Count + no} | {no} | {off[off.Count / 2]:0.0} | {off[^1]:0.0} | {told / off.Count:0.0} | {inside}/{off.Count} |"
            );
        }
    }

    private static void Compare()
    {
        Console.WriteLine(
            "| before and after | parts | same told moved or gone | moved found | gone found | gone told same | not judged | other areas | s |"
        );
        Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- | --- | --- |");
        foreach (
            (string name, BoardLook look) in new (string, BoardLook)[]
            {
                ("same light", new BoardLook { Seed = 8 }),
                (
                    "other exposure and light",
                    new BoardLook
                    {
                        Seed = 8,
                        Exposure = 0.6,
                        Slope = 0.5,
                        Gamma = 0.8,
                    }
                ),
                (
                    "turned 7°, nearer or farther",
                    new BoardLook
                    {
                        Seed = 9,
                        TurnDeg = 7,
                        ShiftXMm = 1.5,
                        ScaleRatio = 0.95,
                    }
                ),
                (
                    "a quarter turn",
                    new BoardLook
                    {
                        Seed = 9,
                        TurnDeg = 90,
                        ScaleRatio = 0.75,
                    }
                ),
                (
                    "slanted, parts lean",
                    new BoardLook
                    {
                        Seed = 10,
                        Keystone = 0.12,
                        LeanX = 0.12,
                        TurnDeg = -4,
                    }
                ),
                (
                    "noise 5 %, soft",
                    new BoardLook
                    {
                        Seed = 10,
                        Noise = 0.05,
                        BlurPx = 1.5,
                        Exposure = 1.3,
                    }
                ),
                ("from farther, 0.65", new BoardLook { Seed = 10, ScaleRatio = 0.65 }),
            }
        )
        {
            int[] sum = new int[7];
            double seconds = 0;
            foreach (int board in (int[])[11, 12])
            {
                List<MadePart> parts = BoardMaker.Parts(board);
                Picture before = BoardMaker.Make(parts, new BoardLook(), board);
                foreach (bool changed in (bool[])[false, true])
                {
                    List<MadePart> now = [.. parts];
                    HashSet<string> moved = [];
                    HashSet<string> gone = [];
                    for (int i = 0; changed && i < 4; i++)
                    {
                        now[3 + 9 * i] = now[3 + 9 * i] with { MoveXMm = i % 2 == 0 ? 0.5 : -0.5, MoveYMm = 0.25 };
                        moved.Add(now[3 + 9 * i].Name);
                        now[5 + 9 * i] = now[5 + 9 * i] with { Gone = true };
                        gone.Add(now[5 + 9 * i].Name);
                    }
                    Stopwatch clock = Stopwatch.StartNew();
                    Picture after = BoardMaker.Make(now, look, board);
                    clock.Restart();
                    BoardComparison got = BoardComparer.Compare(
                        new ComparisonRequest(
                            before,
                            after,
                            [
                                .. parts.Select(part => new WatchedPart(
                                    part.Name,
                                    new PictureArea(
                                        (part.XMm - part.LengthMm / 2) * Scale,
                                        (part.YMm - part.WidthMm / 2) * Scale,
                                        part.LengthMm * Scale,
                                        part.WidthMm * Scale
                                    )
                                )),
                            ],
                            [new PictureArea(17.5 * Scale, 12.5 * Scale, 15 * Scale, 13 * Scale)],
                            Scale
                        )
                    );
                    seconds += clock.Elapsed.TotalSeconds / 4;
                    foreach (PartComparison part in got.Parts)
                    {
                        bool same = !moved.Contains(part.Name) && !gone.Contains(part.Name);
                        sum[0]++;
                        sum[1] += same && part.Change is PartChange.Moved or PartChange.Gone && same ? 1 : 0;
                        sum[2] += moved.Contains(part.Name) && part.Change == PartChange.Moved ? 1 : 0;
                        sum[3] +=
                            gone.Contains(part.Name)
                            && part.Change is PartChange.Gone or PartChange.Moved
                            && gone.Contains(part.Name)
                                ? 1
                                : 0;
                        sum[4] += gone.Contains(part.Name) && part.Change == PartChange.Same ? 1 : 0;
                        sum[5] += part.Change == PartChange.CannotJudge ? 1 : 0;
                    }
                    sum[6] += got.Areas.Count;
                }
            }
            Say(
                $"| {name} | {sum[0]} | {sum[1]} | {sum[2]}/8 | {sum[3]}/8 | {sum[4]} | {sum[5]} | {sum[6]} | {seconds:0.0} |"
            );
        }
    }

    private static void Lands()
    {
        Console.WriteLine(
            "| lands | lands seen | torn found | torn false | uneven found | uneven false | not judged |"
        );
        Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- |");
        foreach (
            (string name, LandMaking making) in new (string, LandMaking)[]
            {
                ("base: 24 px, green, tinned", new LandMaking()),
                ("without colour", new LandMaking { Colour = false }),
                ("noise 6 %", new LandMaking { Noise = 0.06 }),
                ("light falls by 80 %", new LandMaking { Slope = 0.8 }),
                ("blue, gold", new LandMaking { Mask = (0.08, 0.12, 0.35), Metal = (0.85, 0.68, 0.3) }),
                ("black", new LandMaking { Mask = (0.07, 0.07, 0.08) }),
                ("white", new LandMaking { Mask = (0.85, 0.85, 0.83), Metal = (0.55, 0.53, 0.5) }),
                ("14 px a land", new LandMaking { PitchPx = 26 }),
                ("blur 2.5 px", new LandMaking { BlurPx = 2.5 }),
                (
                    "all good",
                    new LandMaking
                    {
                        TornNumber = 0,
                        ShiftedNumber = 0,
                        UnevenNumber = 0,
                    }
                ),
            }
        )
        {
            int[] sum = new int[7];
            for (int seed = 1; seed <= 3; seed++)
            {
                (Picture picture, Dictionary<(int Row, int Column), LandState> truth) = LandMaker.Make(
                    making with
                    {
                        Seed = seed,
                    }
                );
                LandReading got = LandReader.Read(
                    new LandRequest(
                        picture,
                        name,
                        new BallField(making.Rows, making.Columns, 1),
                        PictureCorner.UpperLeft,
                        new Dictionary<string, LandUse>(StringComparer.Ordinal)
                    )
                );
                foreach (LandSite land in got.Lands)
                {
                    LandState real = truth[(land.Row, land.Column)];
                    sum[0]++;
                    sum[1] += real == LandState.LiftedOrTorn && land.State == real ? 1 : 0;
                    sum[2] += real != LandState.LiftedOrTorn && land.State == LandState.LiftedOrTorn ? 1 : 0;
                    sum[3] += real == LandState.UnevenSolder && land.State == real ? 1 : 0;
                    sum[4] += real != LandState.UnevenSolder && land.State == LandState.UnevenSolder ? 1 : 0;
                    sum[5] += land.State == LandState.CannotJudge ? 1 : 0;
                }
                sum[6] += truth.Values.Count(state => state == LandState.LiftedOrTorn);
            }
            Say(
                $"| {name} | {sum[0]} | {sum[1]}/{sum[6]} | {sum[2]} | {sum[3]}/{3 * making.UnevenNumber} | {sum[4]} | {sum[5]} |"
            );
        }
    }

    private static void Say(FormattableString line) => Console.WriteLine(line.ToString(CultureInfo.InvariantCulture));
}
