using Graftbench.Core.Jobs;
using Graftbench.Store;

namespace Graftbench.Tests.Shared;

/// <summary>
/// An invented shop of 54 jobs, written into a store at the days on which they were saved. Of 48 that were watched long
/// enough 36 have lead-free solder, of which 3 came back after twelve days, and 12 leaded, of which 8 were handed back as they were.
/// </summary>
internal static class InsightShop
{
    public const int Decided = 48;
    public const int Worked = 37;
    public const int CameBack = 3;
    public const int DidNotWork = 8;
    public const int TooEarly = 2;
    public const int Open = 4;

    /// <summary>Writes the jobs.</summary>
    /// <param name="folder">Folder of the store.</param>
    /// <param name="now">The moment that they are looked at from.</param>
    public static void Fill(string folder, DateTimeOffset now)
    {
        Past past = new(now);
        using BenchStore store = BenchStore.Open(folder, past);
        for (int i = 0; i < Decided; i++)
        {
            DateTimeOffset over = now.AddDays(-50 - (4 * (Decided - i)));
            bool leaded = i % 4 == 3;
            bool fails = leaded && i % 12 != 11;
            past.Now = over;
            Job job = HandedOver(i, leaded, over) with { Result = fails ? WorkResult.DoesNotWork : WorkResult.Works };
            store.SaveJob(job, 0, "Ada");
            if (i is 4 or 20 or 40)
            {
                past.Now = over.AddDays(12);
                store.SaveJob(job with { Stage = JobStage.Returned }, 1, "Ada");
            }
        }
        for (int i = 0; i < TooEarly; i++)
        {
            past.Now = now.AddDays(-9 + i);
            store.SaveJob(HandedOver(Decided + i, false, past.Now), 0, "Ada");
        }
        for (int i = 0; i < Open; i++)
        {
            past.Now = now.AddDays(-5 + i);
            store.SaveJob(OnTheBench(Decided + TooEarly + i, false, past.Now.AddDays(-10)), 0, "Ada");
        }
    }

    private static Job HandedOver(int i, bool leaded, DateTimeOffset at) =>
        OnTheBench(i, leaded, at.AddDays(-10)) with
        {
            Stage = JobStage.HandedOver,
            Handover = new HandoverNote { HandedOverAt = at, WarrantyDays = 60 },
        };

    private static Job OnTheBench(int i, bool leaded, DateTimeOffset opened)
    {
        bool donor = i % 3 != 0;
        return new Job
        {
            Format = "graftbench-job-1",
            Id = FormattableString.Invariant($"invented-{i:00}"),
            Title = FormattableString.Invariant($"Invented job {i}"),
            OpenedAt = opened,
            Stage = JobStage.Placing,
            Shop = new Shop
            {
                Name = "Invented bench",
                Technician = i % 2 == 0 ? "Ada" : "Bo",
                Currency = "EUR",
            },
            Host = new Board
            {
                LengthMm = 160,
                WidthMm = 100,
                ThicknessMm = 1.6,
            },
            Donor = donor
                ? new Board
                {
                    LengthMm = 160,
                    WidthMm = 100,
                    ThicknessMm = 1.6,
                    Origin = i % 3 == 1 ? "Scrap dealer, water damage" : "Market",
                }
                : null,
            Chips =
            [
                new Chip
                {
                    Id = "U1",
                    From = donor ? ChipPlace.Donor : ChipPlace.Shelf,
                    To = ChipPlace.Host,
                    BodyLengthMm = 27,
                    BodyWidthMm = 27,
                    BodyThicknessMm = 1.4,
                    PitchMm = i % 5 == 0 ? 0.8 : 1.27,
                    BallCount = i % 5 == 0 ? 480 : 256,
                    BallAlloy = leaded ? "Sn63Pb37" : "SAC305",
                },
            ],
            History = new History
            {
                Heats =
                [
                    new Heat
                    {
                        Of = "U1",
                        At = opened.AddDays(3),
                        Kind = HeatKind.Place,
                        PeakC = (leaded ? 183 : 220) + 6 + (i % 6 * 4),
                    },
                ],
            },
            Work =
            [
                new WorkEntry { What = WorkStep.Lift, SpentMin = 15 + (i % 7 * 3) },
                new WorkEntry { What = WorkStep.Place, SpentMin = 22 + (i % 5 * 2) },
                new WorkEntry { What = WorkStep.Inspect, SpentMin = 12 + (i % 4 * 5) },
                new WorkEntry { What = WorkStep.Parts, Cost = donor ? 20 + (i % 9 * 5) : 60 },
            ],
        };
    }

    private sealed class Past(DateTimeOffset now) : TimeProvider
    {
        public DateTimeOffset Now { get; set; } = now;

        public override DateTimeOffset GetUtcNow() => Now.ToUniversalTime();
    }
}
