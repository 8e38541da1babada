using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Drying;

/// <summary>A small job that is valid as it stands; each test changes what it is about.</summary>
internal static class SampleJob
{
    public static readonly DateTimeOffset Now = new(2026, 11, 20, 9, 0, 0, TimeSpan.FromHours(1));

    public static Part Body(string reference, double thicknessMm = 1.4, MoistureLevel level = MoistureLevel.L3) =>
        new()
        {
            Ref = reference,
            Kind = PartKind.MouldedPackage,
            BodyThicknessMm = thicknessMm,
            LengthMm = 10,
            WidthMm = 10,
            MoistureLevel = level,
            StackedDie = YesNo.No,
        };

    public static Part Of(string reference, PartKind kind, double? bakeLimitC = null) =>
        new()
        {
            Ref = reference,
            Kind = kind,
            BakeLimitC = bakeLimitC,
        };

    public static Chip Chip(string id = "U1", ChipPlace from = ChipPlace.Donor, ChipPlace to = ChipPlace.Host) =>
        new()
        {
            Id = id,
            From = from,
            To = to,
            BodyLengthMm = 15,
            BodyWidthMm = 15,
            BodyThicknessMm = 1.2,
            MoistureLevel = MoistureLevel.L3,
            InternalPlanes = YesNo.No,
            StackedDie = YesNo.No,
        };

    public static Board Board(params Part[] parts) =>
        new()
        {
            LengthMm = 200,
            WidthMm = 150,
            ThicknessMm = 1.6,
            CopperLayers = 2,
            SolidPlanes = YesNo.No,
            Laminate = LaminateKind.EpoxyTg150,
            Finish = FinishKind.NickelGold,
            Parts = parts,
        };

    public static Job Job(Board host, params Chip[] chips) =>
        new()
        {
            Format = JobFormat.Name,
            Id = "sample",
            Title = "Sample",
            Machine = new Machine { Authority = "signed, folder 7" },
            Host = host,
            Donor = chips.Any(chip => chip.From == ChipPlace.Donor) ? Board() : null,
            Chips = chips,
            Bench = new Bench { RoomC = 25, RoomHumidityPercent = 50 },
            Dryer = new Dryer
            {
                SetC = 125,
                MaxC = 150,
                SpreadDeltaK = 0,
                WarmUpMin = 30,
            },
        };

    public static Exposure In(
        string of,
        ExposurePlace place,
        double fromH,
        double? toH,
        double? atC = null,
        double? humidityPercent = null
    ) =>
        new()
        {
            Of = of,
            Place = place,
            From = Now.AddHours(fromH),
            To = toH is { } to ? Now.AddHours(to) : null,
            TemperatureC = atC,
            HumidityPercent = humidityPercent,
        };
}
