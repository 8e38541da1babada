using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Heating;

/// <summary>An invented job for the heat tests: a 35 mm chip on a 300 x 200 mm board.</summary>
internal static class HeatJob
{
    public static Job Job(params Part[] parts) =>
        new()
        {
            Format = "graftbench-job-1",
            Id = "heat",
            Title = "Heat",
            Host = Board(parts),
            Chips = [Chip],
            Bench = new Bench
            {
                RoomC = 22,
                Heat = new HeatTools
                {
                    Gas = new GasTool { MaxC = 400 },
                    Preheater = new BottomHeater { MaxC = 300 },
                },
            },
            Materials = new Materials { BallAlloy = "SAC305", BallDiameterMm = 0.6 },
        };

    public static Board Board(params Part[] parts) =>
        new()
        {
            LengthMm = 300,
            WidthMm = 200,
            ThicknessMm = 1.6,
            CopperThicknessMm = 0.14,
            Parts = parts,
        };

    public static Chip Chip { get; } =
        new()
        {
            Id = "G1",
            From = ChipPlace.Shelf,
            To = ChipPlace.Host,
            BodyLengthMm = 35,
            BodyWidthMm = 35,
            BodyThicknessMm = 2.3,
            SubstrateThicknessMm = 1.2,
            Top = BodyTop.BareDie,
            DieLengthMm = 15,
            DieWidthMm = 12,
            PitchMm = 1,
            Rows = 34,
            Columns = 34,
            BallCount = 1156,
            BallDiameterMm = 0.6,
            StandoffMm = 0.45,
            BallAlloy = "SAC305",
            XMm = 205,
            YMm = 70,
        };

    public static Part Part(string reference, PartKind kind, double xMm, double yMm, double edgeMm = 10) =>
        new()
        {
            Ref = reference,
            Kind = kind,
            XMm = xMm,
            YMm = yMm,
            LengthMm = edgeMm,
            WidthMm = edgeMm,
            HeightMm = 2,
        };
}
