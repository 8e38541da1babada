using CsCheck;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Jobs;

/// <summary>Any valid job comes back from its document unchanged, and the document has one spelling.</summary>
public sealed class JobRoundTripTests
{
    private static readonly Gen<string?> Words = Gen.OneOf(
        Gen.Const((string?)null),
        Gen.Const((string?)"Größe 17 × 17 mm — „µ“ 😀"),
        Gen.String[Gen.Char.AlphaNumeric, 0, 80].Select(text => (string?)text),
        Gen.Int[0, 3].Select(i => (string?)new[] { "\"quoted\"", "back\\slash", "</script>", "\u2028" }[i])
    );

    private static readonly Gen<YesNo> Answer = Gen.Enum<YesNo>();

    // Seconds within the last ten years, in any offset that clocks have.
    private static readonly Gen<DateTimeOffset> Past = Gen.Select(Gen.Long[1, 315_000_000], Gen.Int[-48, 56])
        .Select((ago, quarter) => Corpus.Now.AddSeconds(-ago).ToOffset(TimeSpan.FromMinutes(15 * quarter)));

    private static readonly Gen<Part> APart = Gen.Select(
            Gen.Enum<PartKind>(),
            Gen.Double[0, 100],
            Gen.Double[0, 80],
            Gen.Double[5, 60],
            Gen.Double[-360, 360],
            Gen.Enum<MoistureLevel>(),
            Answer,
            Gen.Bool
        )
        .Select(
            (kind, x, y, size, turn, level, planes, off) =>
                new Part
                {
                    Ref = "",
                    Kind = kind,
                    XMm = x,
                    YMm = y,
                    LengthMm = size,
                    WidthMm = size,
                    RotationDeg = turn,
                    Side = off ? BoardSide.Bottom : BoardSide.Top,
                    HeightMm = 4,
                    BodyThicknessMm = 3.1,
                    MoistureLevel = level,
                    InternalPlanes = planes,
                    StaySolid = planes,
                    Shield = off ? HeatShield.Foil : HeatShield.None,
                    TakenOff = off,
                }
        );

    private static readonly Gen<Board> ABoard = Gen.Select(
            Words,
            Gen.Double[100, 400],
            Gen.Double[100, 400],
            Gen.Double[0.4, 3.2],
            Gen.Int[1, 20],
            Gen.Enum<LaminateKind>(),
            Gen.Enum<FinishKind>(),
            APart.Array[0, 6]
        )
        .Select(
            (name, length, width, thickness, layers, laminate, finish, parts) =>
                new Board
                {
                    Name = name,
                    LengthMm = length,
                    WidthMm = width,
                    ThicknessMm = thickness,
                    CopperLayers = layers,
                    Laminate = laminate,
                    Finish = finish,
                    CopperThicknessMm = thickness / 10,
                    CopperRegions = parts
                        .Select(part => new CopperRegion
                        {
                            Amount = part.TakenOff ? CopperAmount.Poor : CopperAmount.Rich,
                            XMm = part.XMm!.Value * 0.9,
                            YMm = part.YMm!.Value * 0.9,
                            LengthMm = 9,
                            WidthMm = 9.5,
                            CopperThicknessMm = part.TakenOff ? null : thickness / 9,
                        })
                        .ToList(),
                    Support = parts.Length > 3 ? BoardSupport.Frame : BoardSupport.Unknown,
                    Parts = parts.Select((part, i) => part with { Ref = $"P{i}" }).ToList(),
                }
        );

    private static readonly Gen<Chip> AChip = Gen.Select(
            Words,
            Gen.Double[10, 40],
            Gen.Double[0.6, 3],
            Gen.Double[0.4, 1.0],
            Gen.Int[1, 10],
            Gen.Enum<MoistureLevel>(),
            Answer
        )
        .Select(
            (marking, body, thickness, pitch, rows, level, planes) =>
                new Chip
                {
                    Id = "U1",
                    Marking = marking,
                    From = ChipPlace.Shelf,
                    To = ChipPlace.Host,
                    BodyLengthMm = body,
                    BodyWidthMm = body,
                    BodyThicknessMm = thickness,
                    PitchMm = pitch,
                    Rows = rows,
                    Columns = rows,
                    BallCount = rows * rows,
                    BallDiameterMm = pitch * 0.6,
                    MoistureLevel = level,
                    InternalPlanes = planes,
                    Top = level == MoistureLevel.L3 ? BodyTop.Lid : BodyTop.Moulded,
                    DieLengthMm = body / 2,
                    DieThicknessMm = thickness / 3,
                    StandoffMm = pitch * 0.5,
                    HostXMm = 50,
                    HostYMm = body + 1,
                    HostRotationDeg = rows,
                }
        );

    private static readonly Gen<HeatTools> Tools = Gen.Select(
            Gen.Enum<HeatControl>(),
            Gen.Double[60, 600],
            Gen.Double[1, 200].Array[0, 4],
            Gen.Double[1, 100].Array[0, 4],
            Gen.Enum<PreheaterKind>(),
            Gen.Double[5, 300]
        )
        .Select(
            (control, max, nozzles, flows, kind, field) =>
                new HeatTools
                {
                    Control = control,
                    MaxStages = control == HeatControl.Stages ? 4 : null,
                    SetStepDeltaK = 1,
                    Gas = new GasTool
                    {
                        MaxC = max,
                        MaxRampKPerS = max / 100,
                        Nozzles =
                        [
                            .. nozzles.Select(
                                (size, i) =>
                                    new Nozzle
                                    {
                                        Name = $"n{i}",
                                        LengthMm = size,
                                        Round = i % 2 == 0,
                                    }
                            ),
                        ],
                        FlowSteps =
                        [
                            .. flows
                                .Order()
                                .Append(100)
                                .Select((flow, i) => new FlowStep { Name = $"{i}", FlowPercent = flow }),
                        ],
                    },
                    // Of a heater that is not there nothing else can be said.
                    Preheater =
                        kind == PreheaterKind.None
                            ? new BottomHeater { Kind = kind }
                            : new BottomHeater
                            {
                                Kind = kind,
                                LengthMm = field,
                                WidthMm = field,
                                MaxC = max,
                                Zones =
                                [
                                    new HeaterZone
                                    {
                                        Name = "all",
                                        XMm = -field,
                                        YMm = field,
                                        LengthMm = field,
                                        WidthMm = field,
                                        SharePercent = field / 3,
                                    },
                                ],
                            },
                }
        );

    // Cuts a stretch of time into stays without gaps or overlaps.
    private static readonly Gen<IReadOnlyList<Exposure>> Stays = Gen.Select(
            Past.Array[2, 8],
            Gen.Enum<ExposurePlace>().Array[8],
            Gen.Double[-40, 125],
            Words
        )
        .Select(
            (moments, places, temperature, note) =>
            {
                List<DateTimeOffset> sorted = moments.Order().ToList();
                return (IReadOnlyList<Exposure>)
                    sorted
                        .Zip(sorted.Skip(1), (from, to) => (from, to))
                        .Select(
                            (span, i) =>
                                new Exposure
                                {
                                    Of = i % 2 == 0 ? "U1" : "host",
                                    Place = places[i],
                                    From = span.from,
                                    To = span.to,
                                    TemperatureC = temperature,
                                    Breaks =
                                        places[i] == ExposurePlace.Bake
                                            ? [new Break { From = span.from, To = span.to }]
                                            : [],
                                    Note = note,
                                }
                        )
                        .ToList();
            }
        );

    private static readonly Gen<Job> AJob = Gen.Select(
            ABoard,
            ABoard.Null(),
            AChip,
            Stays,
            Past,
            Words,
            Gen.Double[20, 125],
            Tools
        )
        .Select(
            (host, donor, chip, stays, opened, words, set, tools) =>
                new Job
                {
                    Format = JobFormat.Name,
                    Id = "any-job",
                    Title = string.IsNullOrEmpty(words) ? "t" : words,
                    OpenedAt = opened,
                    Machine = new Machine { Symptom = words is null ? null : words + "\nsecond line\ttab" },
                    Host = host,
                    Donor = donor,
                    Chips = [chip],
                    Bench = new Bench { RoomC = 21, Heat = tools },
                    Dryer = new Dryer { SetC = set, MaxC = 125 },
                    History = new History { Exposures = stays },
                    Work =
                    [
                        new WorkEntry
                        {
                            What = WorkStep.FirstPower,
                            SpentMin = 7.5,
                            Cost = 0.05,
                            Note = words,
                            At = opened,
                        },
                    ],
                    Result = WorkResult.DoesNotWork,
                    Wishes = new Wishes
                    {
                        StartAt = Corpus.Now.AddDays(1),
                        Heat = new HeatWishes { MoltenS = set / 2, ChancePercent = set * 0.7 },
                    },
                    Evidence =
                    [
                        new EvidenceEntry
                        {
                            At = opened,
                            Who = "m",
                            Kind = EvidenceKind.Note,
                            Note = words,
                        },
                    ],
                }
        );

    [Fact]
    public void Any_valid_job_comes_back_unchanged() =>
        AJob.Sample(
            job =>
            {
                byte[] written = JobFormat.Write(job);
                JobReading reading = JobReader.Read(written, Corpus.Now);
                Assert.Equal("", Spelled.Problems(reading));
                Assert.Equal(written, JobFormat.Write(reading.Job!));
                AssertSame(job, reading.Job!);
            },
            iter: 500
        );

    // Records compare lists by reference, so what the lists hold is compared entry by entry.
    private static void AssertSame(Job expected, Job found)
    {
        AssertSame(expected.Host, found.Host);
        Assert.Equal(expected.Donor is null, found.Donor is null);
        if (expected.Donor is not null)
        {
            AssertSame(expected.Donor, found.Donor!);
        }
        Assert.Equal(expected.Chips, found.Chips);
        Assert.Equal(
            expected.History.Exposures.Select(stay => stay with { Breaks = [] }),
            found.History.Exposures.Select(stay => stay with { Breaks = [] })
        );
        Assert.Equal(
            expected.History.Exposures.SelectMany(stay => stay.Breaks),
            found.History.Exposures.SelectMany(stay => stay.Breaks)
        );
        Assert.Equal(expected.Evidence, found.Evidence);
        Assert.Equal(expected.Work, found.Work);
        AssertSame(expected.Bench.Heat, found.Bench.Heat);
        Assert.Equal(
            expected with
            {
                Bench = expected.Bench with { Heat = found.Bench.Heat },
                Host = found.Host,
                Donor = found.Donor,
                Chips = found.Chips,
                History = found.History,
                Evidence = found.Evidence,
                Work = found.Work,
            },
            found
        );
    }

    private static void AssertSame(HeatTools expected, HeatTools found)
    {
        Assert.Equal(expected.Gas.Nozzles, found.Gas.Nozzles);
        Assert.Equal(expected.Gas.FlowSteps, found.Gas.FlowSteps);
        Assert.Equal(expected.Preheater.Zones, found.Preheater.Zones);
        Assert.Equal(
            expected with
            {
                Gas = expected.Gas with { Nozzles = found.Gas.Nozzles, FlowSteps = found.Gas.FlowSteps },
                Preheater = expected.Preheater with { Zones = found.Preheater.Zones },
            },
            found
        );
    }

    private static void AssertSame(Board expected, Board found)
    {
        Assert.Equal(expected.Parts, found.Parts);
        Assert.Equal(expected.Outline, found.Outline);
        Assert.Equal(expected.CopperRegions, found.CopperRegions);
        Assert.Equal(
            expected with
            {
                Parts = found.Parts,
                Outline = found.Outline,
                CopperRegions = found.CopperRegions,
            },
            found
        );
    }
}
