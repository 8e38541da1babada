using Graftbench.Core.Jobs;

namespace Graftbench.Sheets.Tests;

/// <summary>Invented boards and chips.</summary>
internal static class Boards
{
    public static Chip Chip(string id = "U1", double x = 82, double y = 52, double turn = 0) =>
        new()
        {
            Id = id,
            Marking = "VX-3 rev C",
            From = ChipPlace.Donor,
            To = ChipPlace.Host,
            BodyLengthMm = 27,
            BodyWidthMm = 27,
            BodyThicknessMm = 2.3,
            PitchMm = 1.27,
            Rows = 20,
            Columns = 20,
            BallCount = 272,
            BallDiameterMm = 0.76,
            MoistureLevel = MoistureLevel.L3,
            InternalPlanes = YesNo.Yes,
            XMm = x,
            YMm = y,
            RotationDeg = turn,
        };

    public static Board OnePart() =>
        new()
        {
            Name = "Test coupon",
            LengthMm = 40,
            WidthMm = 25,
            ThicknessMm = 1.6,
            Parts = [Part("C1", PartKind.CeramicCapacitor, 20, 12, 3.2, 1.6)],
        };

    /// <summary>A board with uneven copper and shielded parts.</summary>
    public static Board Shielded() =>
        new()
        {
            Name = "Radio board",
            LengthMm = 100,
            WidthMm = 60,
            ThicknessMm = 1.6,
            CopperThicknessMm = 0.1,
            CopperRegions =
            [
                new CopperRegion
                {
                    Amount = CopperAmount.Rich,
                    XMm = 0,
                    YMm = 0,
                    LengthMm = 40,
                    WidthMm = 20,
                },
                new CopperRegion
                {
                    Amount = CopperAmount.Poor,
                    XMm = 70,
                    YMm = 35,
                    LengthMm = 30,
                    WidthMm = 25,
                },
            ],
            Parts =
            [
                Part("C1", PartKind.AluminiumElectrolytic, 20, 45, 8, 8) with
                {
                    Shield = HeatShield.Foil,
                },
                Part("X1", PartKind.Crystal, 80, 15, 5, 3) with
                {
                    Shield = HeatShield.Cover,
                },
                Part("C2", PartKind.CeramicCapacitor, 65, 50, 3.2, 1.6) with
                {
                    Shield = HeatShield.Tape,
                },
                Part("J1", PartKind.ConnectorOther, 90, 50, 8, 6),
            ],
        };

    /// <summary>A heater that reaches over the long sides of that board and has its right zone off.</summary>
    public static BottomHeater Heater() =>
        new()
        {
            Kind = PreheaterKind.Infrared,
            LengthMm = 90,
            WidthMm = 120,
            Zones =
            [
                new HeaterZone
                {
                    Name = "left",
                    XMm = 5,
                    YMm = -30,
                    LengthMm = 45,
                    WidthMm = 120,
                },
                new HeaterZone
                {
                    Name = "right",
                    XMm = 50,
                    YMm = -30,
                    LengthMm = 45,
                    WidthMm = 120,
                    SharePercent = 0,
                },
            ],
        };

    /// <summary>An arcade board with one part of every kind.</summary>
    public static Board Arcade() =>
        new()
        {
            Name = "Arcade video board",
            Serial = "AVB-0417",
            LengthMm = 180,
            WidthMm = 110,
            ThicknessMm = 1.6,
            CopperLayers = 6,
            SolidPlanes = YesNo.Yes,
            Outline =
            [
                new PointMm { XMm = 0, YMm = 0 },
                new PointMm { XMm = 180, YMm = 0 },
                new PointMm { XMm = 180, YMm = 80 },
                new PointMm { XMm = 168, YMm = 92 },
                new PointMm { XMm = 168, YMm = 110 },
                new PointMm { XMm = 0, YMm = 110 },
            ],
            Parts =
            [
                Part("U2", PartKind.BallGridPackage, 130, 52, 13, 11),
                Part("U3", PartKind.BallGridPackage, 130, 70, 13, 11),
                Part("U7", PartKind.MouldedPackage, 40, 60, 20, 14),
                Part("U8", PartKind.HermeticPackage, 40, 84, 22, 10),
                Part("C12", PartKind.AluminiumElectrolytic, 112, 28, 10, 10),
                Part("C13", PartKind.AluminiumElectrolytic, 99, 28, 10, 10) with
                {
                    RotationDeg = 90,
                },
                Part("C14", PartKind.PolymerCapacitor, 84, 26, 7.3, 4.3),
                Part("C20", PartKind.CeramicCapacitor, 62, 52, 3.2, 1.6) with
                {
                    RotationDeg = 90,
                },
                Part("C21", PartKind.CeramicCapacitor, 82, 73, 3.2, 1.6),
                Part("C22", PartKind.CeramicCapacitor, 104, 52, 3.2, 1.6) with
                {
                    Side = BoardSide.Bottom,
                },
                Part("C30", PartKind.FilmCapacitorPolypropylene, 20, 20, 18, 8),
                Part("C31", PartKind.FilmCapacitorPolyester, 44, 20, 13, 6),
                Part("C40", PartKind.Supercapacitor, 62, 22, 13, 13),
                Part("BT1", PartKind.CoinCell, 22, 92, 20, 20),
                Part("BT2", PartKind.LithiumPack, 150, 14, 36, 18),
                Part("Y1", PartKind.Crystal, 106, 70, 11, 4.5) with
                {
                    RotationDeg = 30,
                },
                Part("FL1", PartKind.LcFilter, 134, 34, 9, 6),
                Part("RF1", PartKind.RadioModule, 150, 96, 24, 16),
                Part("J1", PartKind.ConnectorHeatProof, 80, 4, 60, 6),
                Part("J2", PartKind.ConnectorOther, 92, 104, 50, 9),
                Part("P1", PartKind.PlasticPart, 64, 92, 16, 10),
                Part("L1", PartKind.LabelOrTape, 14, 46, 18, 12),
                Part("X1", PartKind.Other, 160, 60, 10, 10) with
                {
                    TakenOff = true,
                },
                Part("X2", PartKind.Other, null, null, 4, 4),
                Part("X3", PartKind.Other, 12, 64, null, null),
                Part("U9", PartKind.MouldedPackage, 84, 52, 12, 8) with
                {
                    Side = BoardSide.Bottom,
                },
            ],
        };

    /// <summary>Two hundred parts in a dense field around the chip.</summary>
    public static Board TwoHundred()
    {
        List<Part> parts = [];
        PartKind[] kinds = Enum.GetValues<PartKind>();
        for (int i = 0; i < 200; i++)
        {
            double x = 8 + (i % 20 * 11.2);
            double y = 8 + (i / 20 * 13.5);
            PartKind kind = kinds[i % kinds.Length];
            double size = 2 + (i * 7 % 9);
            parts.Add(
                Part($"{"CURJ"[i % 4]}{100 + i}", kind, x, y, size, PartGlyphsRound(kind) ? size : size * 0.6) with
                {
                    RotationDeg = i % 5 == 0 ? 90 : 0,
                    Side = i % 7 == 0 ? BoardSide.Bottom : BoardSide.Top,
                }
            );
        }
        return new Board
        {
            Name = "Dense controller",
            LengthMm = 230,
            WidthMm = 145,
            ThicknessMm = 2,
            Parts = parts,
        };
    }

    public static Part Part(string name, PartKind kind, double? x, double? y, double? length, double? width) =>
        new()
        {
            Ref = name,
            Kind = kind,
            XMm = x,
            YMm = y,
            LengthMm = length,
            WidthMm = width,
        };

    private static bool PartGlyphsRound(PartKind kind) =>
        kind is PartKind.AluminiumElectrolytic or PartKind.CoinCell or PartKind.Supercapacitor;
}
