using System.Diagnostics;
using System.Globalization;
using Graftbench.Firmware.Dumps;

namespace Graftbench.Bench;

/// <summary>
/// Comparing two reads of 32 MiB, against copying as many bytes in the same run.
/// <c>dotnet run -c Release --project bench/Graftbench.Bench -- dumps</c>
/// </summary>
internal static class DumpFigures
{
    private const int Size = 32 << 20;

    // Long enough for the run-time compiler to have done its work.
    private static readonly TimeSpan Warm = TimeSpan.FromSeconds(1.5);

    /// <summary>Prints the table.</summary>
    public static void Print()
    {
        byte[] first = new byte[Size];
        new Random(1).NextBytes(first);
        first.AsSpan(Size / 2, Size / 3).Fill(0xFF);
        byte[] noisy = [.. first];
        Random random = new(2);
        for (int i = 0; i < 500; i++)
        {
            noisy[random.Next(Size)] ^= (byte)(1 << random.Next(8));
        }
        byte[] line = [.. first];
        for (int i = 0; i < Size; i += 64)
        {
            line[i] ^= 4;
        }
        byte[] other = new byte[Size];
        random.NextBytes(other);
        byte[] moved = [.. first[1..], 0];
        byte[] target = new byte[Size];

        double copyS = BestS(() => first.AsSpan().CopyTo(target));
        Console.WriteLine($"copy of 32 MiB: {copyS * 1000:0.0} ms, {Size / copyS / 1e9:0.0} GB/s");
        Say("equal", [.. first]);
        Say("500 lone bits", noisy);
        Say("one bit in every 64 bytes", line);
        Say("other content throughout", other);
        Say("moved by a byte", moved);

        void Say(string what, byte[] second)
        {
            DumpRead[] reads = [new DumpRead("a", first), new DumpRead("b", second)];
            double compareS = BestS(() => PairComparison.Of(reads, 0, 1));
            Console.WriteLine(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{what, -28} {compareS * 1000, 7:0.0} ms, {Size / compareS / 1e9, 5:0.0} GB/s, {copyS / compareS:0.00} of the copy's speed"
                )
            );
        }
    }

    // The shortest of some rounds: what else runs on the machine only makes it longer.
    private static double BestS(Action work)
    {
        double best = double.MaxValue;
        long begun = Stopwatch.GetTimestamp();
        while (Stopwatch.GetElapsedTime(begun) < Warm)
        {
            long start = Stopwatch.GetTimestamp();
            work();
            best = Math.Min(best, Stopwatch.GetElapsedTime(start).TotalSeconds);
        }
        return best;
    }
}
