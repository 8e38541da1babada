using System.Diagnostics;
using System.Globalization;
using System.Text;
using Graftbench.Core.Diagnosis;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Inspection;

namespace Graftbench.Bench;

/// <summary>
/// What ball lists and a diagnosis cost: a boundary-scan description of 10 MB against cutting the same text into lines, two
/// lists of 3,000 balls under eight turns, chances and next test. <c>dotnet run -c Release --project bench/Graftbench.Bench -- maps</c>
/// </summary>
internal static class MapFigures
{
    private const int Runs = 9;

    /// <summary>Prints the figures.</summary>
    public static void Print()
    {
        string bsdl = Bsdl(10_000_000);
        double read = MedianMs(() => BallMapReader.Read(bsdl, BallView.Top).Packages.Count);
        double lines = MedianMs(() => bsdl.Split('\n').Sum(line => line.Length));
        Say(
            $"description of {bsdl.Length / 1e6:0.0} MB: {read:0} ms, {read / lines:0.0} times cutting it into lines ({lines:0} ms)"
        );
        BallMap map = BallMapReader.Read(List(55), BallView.Top).Packages[0];
        double compare = MedianMs(() => MapComparer.Compare(map, map).Scores.Count);
        Say($"{map.Balls.Count} balls under eight turns, ball by ball, with findings: {compare:0.0} ms");
        List<TestSeen> seen = [new("current", "restarts"), new("press", "same")];
        double diagnose = MedianMs(() => Diagnoser.Answer(new DiagnosisRequest(seen)).Tests.Count);
        Say($"chances, reasons, next tests and actions after two tests: {diagnose:0.00} ms");
    }

    // Many packages of the same part, as such files have them.
    private static string Bsdl(int length)
    {
        StringBuilder text = new("entity BIG is generic (PHYSICAL_PIN_MAP : string := \"P0\"); port (\n");
        for (int i = 0; i < 2000; i++)
        {
            text.Append(CultureInfo.InvariantCulture, $"  S{i} : inout bit;\n");
        }
        text.Append("  VSS : linkage bit_vector(1 to 400) );\n");
        for (int package = 0; text.Length < length; package++)
        {
            text.Append(CultureInfo.InvariantCulture, $"constant P{package} : PIN_MAP_STRING :=\n");
            for (int i = 0; i < 2000; i++)
            {
                text.Append(CultureInfo.InvariantCulture, $"  \"S{i} : {BallNames.Of(i / 50, i % 50)},\" &\n");
            }
            text.Append("  \"VSS : (")
                .AppendJoin(',', Enumerable.Range(2000, 400).Select(i => BallNames.Of(i / 50, i % 50)))
                .Append(")\";\n");
        }
        return text.Append("end BIG;\n").ToString();
    }

    private static string List(int side)
    {
        StringBuilder text = new("ball,signal,type\n");
        for (int i = 0; i < side * side; i++)
        {
            text.Append(BallNames.Of(i / side, i % side))
                .Append(i % 3 == 0 ? ",VSS,ground\n" : FormattableString.Invariant($",S{i},signal\n"));
        }
        return text.ToString();
    }

    private static double MedianMs(Func<int> work)
    {
        work();
        double[] times = new double[Runs];
        for (int i = 0; i < Runs; i++)
        {
            long start = Stopwatch.GetTimestamp();
            work();
            times[i] = Stopwatch.GetElapsedTime(start).TotalMilliseconds;
        }
        Array.Sort(times);
        return times[Runs / 2];
    }

    private static void Say(FormattableString text) => Console.WriteLine(text.ToString(CultureInfo.InvariantCulture));
}
