using Graftbench.Core.Findings;
using Graftbench.Shared.Vision;
using Graftbench.Tests.Checks;
using Graftbench.Vision.BeforeAfter;
using Graftbench.Vision.Pictures;

namespace Graftbench.Vision.Tests.BeforeAfter;

/// <summary>Made boards: nothing changed, parts moved, parts gone, seen again in another light and from elsewhere.</summary>
public class BoardComparerTests
{
    private const double Scale = 14;
    private static readonly List<MadePart> Parts = BoardMaker.Parts(11);
    private static readonly Lazy<Picture> Before = new(() => BoardMaker.Make(Parts, new BoardLook { PxPerMm = Scale }));

    public static TheoryData<string> Looks => ["light", "far"];

    [Theory, MemberData(nameof(Looks))]
    public void Nothing_changed_gives_no_alarm(string name)
    {
        BoardComparison got = Compare(Parts, Look(name));
        Assert.True(got.Registered);
        PartComparison[] alarms = [.. got.Parts.Where(part => part.Change is PartChange.Moved or PartChange.Gone)];
        Truth.Note("pictures.changes", alarms.Length, got.Parts.Count);
        Assert.True(alarms.Length == 0, string.Join('\n', alarms.Select(part => $"{part}")));
        Assert.Empty(got.Areas);
        Assert.True(got.Parts.Count(part => part.Change == PartChange.Same) > 0.85 * got.Parts.Count, got.Answer);
    }

    [Fact]
    public void Moved_and_missing_parts_are_told()
    {
        List<MadePart> now = [.. Parts];
        Dictionary<string, (double X, double Y)> moved = [];
        HashSet<string> gone = [];
        for (int i = 0; i < 4; i++)
        {
            MadePart one = now[3 + 9 * i];
            (double X, double Y) way = (i % 2 == 0 ? 0.6 : -0.6, 0.3);
            now[3 + 9 * i] = one with { MoveXMm = way.X, MoveYMm = way.Y };
            moved[one.Name] = way;
            now[5 + 9 * i] = now[5 + 9 * i] with { Gone = true };
            gone.Add(now[5 + 9 * i].Name);
        }
        BoardComparison got = Compare(now, Look("turned"));
        Assert.Equal(7, got.TurnDeg!.Value, 0.1);
        Assert.Equal(0.95, got.ScaleRatio!.Value, 0.005);
        Assert.True(got.ResidualPx < 1.5, $"{got.ResidualPx}");
        Truth.Note(
            "pictures.changes",
            got.Parts.Count(part =>
                moved.ContainsKey(part.Name) ? part.Change == PartChange.Same
                : gone.Contains(part.Name) ? part.Change == PartChange.Same
                : part.Change is PartChange.Moved or PartChange.Gone
            ),
            got.Parts.Count
        );
        foreach (PartComparison part in got.Parts)
        {
            if (moved.TryGetValue(part.Name, out (double X, double Y) way))
            {
                Assert.Equal(PartChange.Moved, part.Change);
                Assert.Equal(way.X, part.MoveXPx!.Value / Scale, 0.1);
                Assert.Equal(way.Y, part.MoveYPx!.Value / Scale, 0.1);
                Assert.Contains(
                    got.Findings,
                    finding => finding.Where == part.Name && finding.Verdict == Verdict.FixFirst
                );
            }
            else if (gone.Contains(part.Name))
            {
                // A part as bright as its bare pads may stay open, but is never told to be there.
                Assert.NotEqual(PartChange.Same, part.Change);
            }
            else
            {
                Assert.True(part.Change is PartChange.Same or PartChange.CannotJudge, $"{part}");
            }
        }
        Assert.Contains(got.Parts, part => gone.Contains(part.Name) && part.Change == PartChange.Gone);
    }

    [Fact]
    public void An_unlisted_part_that_left_shows_as_an_area()
    {
        MadePart large = Parts.MaxBy(part => part.LengthMm * part.WidthMm)!;
        List<MadePart> now = [.. Parts.Select(part => part == large ? part with { Gone = true } : part)];
        BoardComparison got = BoardComparer.Compare(
            new ComparisonRequest(Before.Value, BoardMaker.Make(now, Look("light")), [], [], Scale)
        );
        Assert.Contains(got.Areas, area => area.Area.Holds(large.XMm * Scale, large.YMm * Scale));
        BoardComparison ignored = BoardComparer.Compare(
            new ComparisonRequest(
                Before.Value,
                BoardMaker.Make(now, Look("light")),
                [],
                [new PictureArea(0, 0, Before.Value.WidthPx, Before.Value.HeightPx)],
                Scale
            )
        );
        Assert.Empty(ignored.Areas);
    }

    [Fact]
    public void Another_board_is_refused()
    {
        Picture other = BoardMaker.Make(BoardMaker.Parts(99), new BoardLook { PxPerMm = Scale }, 77);
        BoardComparison got = BoardComparer.Compare(Request(other));
        Assert.False(got.Registered);
        Assert.All(got.Parts, part => Assert.Equal(PartChange.CannotJudge, part.Change));
        Assert.Equal(Verdict.Unknown, Assert.Single(got.Findings).Verdict);
    }

    [Fact]
    public void A_blank_or_tiny_picture_is_refused()
    {
        Assert.False(BoardComparer.Compare(Request(new Picture(300, 200, new float[60000]))).Registered);
        Assert.False(BoardComparer.Compare(Request(new Picture(1, 1, [0.5f]))).Registered);
    }

    [Fact]
    public void Parts_out_of_the_picture_or_too_small_are_not_judged()
    {
        BoardComparison got = BoardComparer.Compare(
            new ComparisonRequest(
                Before.Value,
                BoardMaker.Make(Parts, Look("light")),
                [
                    new WatchedPart("outside", new PictureArea(-500, 20, 40, 40)),
                    new WatchedPart("small", new PictureArea(200, 200, 3, 3)),
                ],
                []
            )
        );
        Assert.All(got.Parts, part => Assert.Equal(PartChange.CannotJudge, part.Change));
        Assert.All(got.Parts, part => Assert.NotEmpty(part.WhyNot!));
    }

    private static BoardLook Look(string name) =>
        (
            name switch
            {
                "turned" => new BoardLook
                {
                    TurnDeg = 7,
                    ShiftXMm = 1.5,
                    ScaleRatio = 0.95,
                },
                "far" => new BoardLook { ScaleRatio = 0.7 },
                _ => new BoardLook
                {
                    Exposure = 0.6,
                    Slope = 0.5,
                    Gamma = 0.8,
                },
            }
        ) with
        {
            PxPerMm = Scale,
            Seed = 8,
        };

    private static BoardComparison Compare(IReadOnlyList<MadePart> parts, BoardLook look) =>
        BoardComparer.Compare(Request(BoardMaker.Make(parts, look)));

    private static ComparisonRequest Request(Picture after) =>
        new(
            Before.Value,
            after,
            [
                .. Parts.Select(part => new WatchedPart(
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
        );
}
