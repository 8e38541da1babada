using System.Text;
using System.Text.Json;
using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;

namespace Graftbench.Conventions;

/// <summary>The invented demo shop: three jobs that a new user looks at first must be right in themselves.</summary>
public class DemoTests
{
    // The demo is written as if it were this evening; loading shifts all dates by whole days.
    private static readonly DateTimeOffset WrittenAt = new(2026, 11, 24, 18, 0, 0, TimeSpan.FromHours(1));

    public static TheoryData<string> Files =>
        [
            .. Repository.TextFiles.Where(path =>
                path.StartsWith("demo/", StringComparison.Ordinal) && path.EndsWith(".json", StringComparison.Ordinal)
            ),
        ];

    private static Job Load(string file) => JsonSerializer.Deserialize<Job>(Repository.Read(file), JobFormat.Json)!;

    [Fact]
    public void There_are_three_jobs_at_different_stages_of_one_shop()
    {
        List<Job> jobs = [.. Files.Select(row => Load(row.Data))];
        Assert.Equal(3, jobs.Count);
        Assert.Equal(3, jobs.Select(job => job.Stage).Distinct().Count());
        Assert.Single(jobs.Select(job => job.Shop.Name).Distinct());
    }

    [Theory, MemberData(nameof(Files))]
    public void A_job_is_named_as_its_file(string file) =>
        Assert.Equal(Path.GetFileNameWithoutExtension(file), Load(file).Id);

    [Theory, MemberData(nameof(Files))]
    public void The_reader_finds_nothing_wrong(string file)
    {
        JobReading reading = JobReader.Read(Encoding.UTF8.GetBytes(Repository.Read(file)), WrittenAt);
        Assert.Equal([], reading.Problems);
        Assert.NotNull(reading.Job);
    }

    [Theory, MemberData(nameof(Files))]
    public void A_job_writes_and_reads_back_the_same(string file)
    {
        byte[] once = JobFormat.Write(Load(file));
        byte[] twice = JobFormat.Write(JsonSerializer.Deserialize<Job>(once, JobFormat.Json)!);
        Assert.Equal(once, twice);
    }

    [Theory, MemberData(nameof(Files))]
    public void Every_part_has_a_place_inside_its_board_and_overlaps_no_other(string file)
    {
        Job job = Load(file);
        foreach (
            (Board board, ChipPlace place) in new[] { (job.Host, ChipPlace.Host), (job.Donor, ChipPlace.Donor) }
                .Where(one => one.Item1 is not null)
                .Select(one => (one.Item1!, one.Item2))
        )
        {
            Assert.InRange(board.Parts.Count, 8, 25);
            Assert.Equal(board.Parts.Count, board.Parts.Select(part => part.Ref).Distinct().Count());
            List<(string Name, BoardSide Side, (double X, double Y)[] Corners)> boxes =
            [
                .. board.Parts.Select(part =>
                    (
                        part.Ref,
                        part.Side,
                        Corners(
                            part.XMm!.Value,
                            part.YMm!.Value,
                            part.LengthMm!.Value,
                            part.WidthMm!.Value,
                            part.RotationDeg
                        )
                    )
                ),
                .. job
                    .Chips.Where(chip => chip.From == place && chip.XMm is not null)
                    .Select(chip =>
                        (
                            chip.Id,
                            BoardSide.Top,
                            Corners(
                                chip.XMm!.Value,
                                chip.YMm!.Value,
                                chip.BodyLengthMm,
                                chip.BodyWidthMm,
                                chip.RotationDeg
                            )
                        )
                    ),
            ];
            Assert.All(
                boxes.SelectMany(box => box.Corners),
                corner =>
                {
                    Assert.InRange(corner.X, 0, board.LengthMm);
                    Assert.InRange(corner.Y, 0, board.WidthMm);
                }
            );
            for (int i = 0; i < boxes.Count; i++)
            {
                for (int j = i + 1; j < boxes.Count; j++)
                {
                    Assert.False(
                        boxes[i].Side == boxes[j].Side && Overlap(boxes[i].Corners, boxes[j].Corners),
                        $"{file}: {boxes[i].Name} and {boxes[j].Name} overlap"
                    );
                }
            }
        }
    }

    [Theory, MemberData(nameof(Files))]
    public void A_chip_comes_from_the_package_library(string file)
    {
        foreach (Chip chip in Load(file).Chips)
        {
            PackageClass one = PackageLibrary.Classes.Single(candidate => candidate.Id == chip.PackageClass);
            Assert.Equal(
                (one.BodyLengthMm, one.BodyWidthMm, one.BodyThicknessMm),
                (chip.BodyLengthMm, chip.BodyWidthMm, chip.BodyThicknessMm)
            );
            Assert.Equal(
                (one.PitchMm, one.Rows, one.Columns, one.BallCount),
                (chip.PitchMm, chip.Rows, chip.Columns, chip.BallCount)
            );
            Assert.Equal(one.BallDiameterMm, chip.BallDiameterMm);
        }
    }

    [Theory, MemberData(nameof(Files))]
    public void Nothing_happens_after_the_evening_that_the_demo_was_written(string file)
    {
        Job job = Load(file);
        History history = job.History;
        IEnumerable<DateTimeOffset?> all =
        [
            job.OpenedAt,
            .. history.Exposures.SelectMany(one => new DateTimeOffset?[] { one.From, one.To }),
            .. history
                .Exposures.SelectMany(one => one.Breaks)
                .SelectMany(one => new DateTimeOffset?[] { one.From, one.To }),
            .. history.Heats.Select(one => (DateTimeOffset?)one.At),
            .. history.Weighings.Select(one => (DateTimeOffset?)one.At),
            .. job.Evidence.Select(one => (DateTimeOffset?)one.At),
        ];
        Assert.All(all.Where(at => at is not null), at => Assert.True(at <= WrittenAt, $"{at}"));
    }

    [Theory, MemberData(nameof(Files))]
    public void Exposures_of_one_thing_follow_each_other(string file)
    {
        foreach (IGrouping<string, Exposure> one in Load(file).History.Exposures.GroupBy(exposure => exposure.Of))
        {
            List<Exposure> log = [.. one.OrderBy(exposure => exposure.From)];
            Assert.All(log.SkipLast(1), exposure => Assert.NotNull(exposure.To));
            Assert.All(
                log.Zip(log.Skip(1)),
                pair => Assert.True(pair.First.To <= pair.Second.From, $"{file}: {one.Key} at {pair.Second.From}")
            );
            Assert.All(
                log.SelectMany(exposure => exposure.Breaks.Select(pause => (exposure, pause))),
                pair => Assert.True(pair.exposure.From <= pair.pause.From && pair.pause.From < pair.pause.To)
            );
        }
    }

    [Fact]
    public void The_check_for_overlap_sees_one()
    {
        Assert.True(Overlap(Corners(0, 0, 10, 10, 0), Corners(9, 9, 10, 10, 0)));
        Assert.False(Overlap(Corners(0, 0, 10, 10, 0), Corners(10, 0, 10, 10, 0)));
        // Turned by 45 degrees the corner of the second reaches in.
        Assert.True(Overlap(Corners(0, 0, 10, 10, 0), Corners(11.5, 0, 10, 10, 45)));
    }

    private static (double X, double Y)[] Corners(double x, double y, double length, double width, double turnDeg)
    {
        (double sine, double cosine) = Math.SinCos(turnDeg * Math.PI / 180);
        return
        [
            .. new[] { (-1, -1), (1, -1), (1, 1), (-1, 1) }
                .Select(corner => (Dx: corner.Item1 * length / 2, Dy: corner.Item2 * width / 2))
                .Select(corner =>
                    (x + cosine * corner.Dx - sine * corner.Dy, y + sine * corner.Dx + cosine * corner.Dy)
                ),
        ];
    }

    // Two rectangles are apart where a side of one has the other wholly outside.
    private static bool Overlap((double X, double Y)[] a, (double X, double Y)[] b)
    {
        const double TouchMm = 1e-9;
        foreach ((double X, double Y)[] box in new[] { a, b })
        {
            for (int i = 0; i < 4; i++)
            {
                (double X, double Y) from = box[i];
                (double X, double Y) to = box[(i + 1) % 4];
                (double X, double Y) normal = (to.Y - from.Y, from.X - to.X);
                double[] first = [.. a.Select(corner => normal.X * corner.X + normal.Y * corner.Y)];
                double[] second = [.. b.Select(corner => normal.X * corner.X + normal.Y * corner.Y)];
                if (first.Max() <= second.Min() + TouchMm || second.Max() <= first.Min() + TouchMm)
                {
                    return false;
                }
            }
        }
        return true;
    }
}
