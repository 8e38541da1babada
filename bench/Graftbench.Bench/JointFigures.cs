using System.Diagnostics;
using System.Globalization;
using Graftbench.Core.Joints;
using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Bench;

/// <summary>
/// Times of the joint model, and one joint against Surface Evolver where it is installed (Debian package evolver):
/// dotnet run -c Release --project bench/Graftbench.Bench -- joints
/// </summary>
internal static class JointFigures
{
    private const double PublishedMilliN = -0.349126;

    /// <summary>Measures and prints.</summary>
    public static void Print()
    {
        BridgeCase bridge = new(0.3, 0.3, 0.2298473, 0.5, 7400);
        double solveMs = Milliseconds(400, () => LiquidBridge.AtGap(bridge, 0.643));
        double force = LiquidBridge.AtGap(bridge, 0.643).Shape!.ForceMilliN;
        Say(
            $"one joint, exact: {solveMs:0.000} ms; {force:0.000000} mN at 0.643 mm, fact sheet 5.1 F05 {PublishedMilliN:0.000000}"
        );
        if (Evolver() is { } other)
        {
            Say($"one energy by Surface Evolver: {other:0} ms; a force takes five: {5 * other / solveMs:0} times ours");
        }
        else
        {
            Say($"Surface Evolver is not installed: no comparison");
        }
        BridgeTable table = BridgeTable.Create(1, 0.013, 5, 20)!;
        double sum = 0;
        double readMs = Milliseconds(
            20,
            () =>
            {
                for (int i = 0; i < 100_000; i++)
                {
                    sum += table.At(1.5 + 1e-6 * i, 8.5).ForceRatio;
                }
            }
        );
        Say(
            $"table: {Milliseconds(3, () => BridgeTable.Create(1, 0.013, 5, 20)):0} ms to make, {10 * readMs:0} ns a reading ({sum:0})"
        );
        foreach (int side in new[] { 22, 32 })
        {
            JointRequest request = Request(side, 1);
            JointTables tables = JointTables.Create(request)!;
            Say(
                $"{side * side} joints, nominal seat: {Milliseconds(5, () => JointNominal.Settle(request, tables)):0.0} ms"
            );
        }
        JointRequest drawn = Request(22, 1);
        JointTables own = JointTables.Create(drawn)!;
        JointChances.Draw(drawn, own, 200);
        TimeSpan before = Environment.CpuUsage.TotalTime;
        Stopwatch clock = Stopwatch.StartNew();
        JointChance chance = JointChances.Draw(drawn, own, 10_000);
        Say(
            $"10,000 packages of 484 joints: {clock.Elapsed.TotalSeconds:0.00} s, {(Environment.CpuUsage.TotalTime - before).TotalSeconds:0.00} s of processor time on {Environment.ProcessorCount}, chance {chance.AllJoinedFraction:0.000}"
        );
    }

    private static JointRequest Request(int side, double trials)
    {
        JointSite[] sites =
        [
            .. Enumerable
                .Range(0, side * side)
                .Select(i => new JointSite(
                    $"{i}",
                    (i % side - (side - 1) / 2.0) * 1.27,
                    (i / side - (side - 1) / 2.0) * 1.27,
                    SolderCap.BallVolumeMm3(0.76),
                    SolderCap.VolumeMm3(0.03, 0.3),
                    0.3,
                    0.3
                )),
        ];
        JointStop[] stops =
        [
            .. Enumerable
                .Range(0, 4)
                .Select(k => new JointStop($"C{k}", k % 2 == 0 ? -3 : 3, k < 2 ? -3 : 3, 0.56, 0.03)),
        ];
        return new JointRequest(
            "bench",
            new JointSolder(0.5, 10, 7400, 1, 7400, "bench"),
            sites,
            stops,
            true,
            new JointLoad(5, 0, 0, 0, 0),
            0.08,
            0,
            true,
            new JointSpread(0.02 / 3, 0.004, 0.005, 25),
            1.27,
            null,
            new JointGoal(0.975, (int)trials)
        );
    }

    // The same joint there, refined twice in quadratic elements: what one energy costs.
    private static double? Evolver()
    {
        string file = Path.Combine(AppContext.BaseDirectory, "joint.fe");
        List<string> lines =
        [
            "gravity_constant 9.80665",
            "boundary 1 parameters 1",
            "x1: 0.3*cos(p1)",
            "x2: 0.3*sin(p1)",
            "x3: 0",
            "boundary 2 parameters 1",
            "x1: 0.3*cos(p1)",
            "x2: 0.3*sin(p1)",
            "x3: 0.643",
            "vertices",
        ];
        const int N = 8;
        for (int k = 0; k < 2 * N; k++)
        {
            lines.Add(
                FormattableString.Invariant(
                    $"{k + 1} {2 * Math.PI * (k % N) / N:0.000000000000} boundary {k / N + 1} fixed"
                )
            );
        }
        lines.Add("edges");
        for (int k = 0; k < N; k++)
        {
            lines.Add($"{k + 1} {k + 1} {(k + 1) % N + 1} boundary 1 fixed");
            lines.Add($"{N + k + 1} {N + k + 1} {N + (k + 1) % N + 1} boundary 2 fixed");
            lines.Add($"{2 * N + k + 1} {k + 1} {N + k + 1}");
        }
        lines.Add("faces");
        for (int k = 0; k < N; k++)
        {
            lines.Add($"{k + 1} {k + 1} {2 * N + (k + 1) % N + 1} {-(N + k + 1)} {-(2 * N + k + 1)} tension 0.5");
        }
        lines.Add("bodies");
        lines.Add(
            FormattableString.Invariant(
                $"1 {string.Join(' ', Enumerable.Range(1, N))} volume 0.2298473 volconst {Math.PI * 0.09 * 0.643:0.000000000000} density 7.4e-3"
            )
        );
        lines.Add("read");
        lines.Add(
            "r; g 20; u; g 20; r; g 30; u; V; g 30; M 2; g 40; hessian; hessian; r; g 10; hessian; hessian; hessian; q; q"
        );
        File.WriteAllLines(file, lines);
        try
        {
            Stopwatch clock = Stopwatch.StartNew();
            using Process? process = Process.Start(
                new ProcessStartInfo("evolver", file)
                {
                    RedirectStandardOutput = true,
                    RedirectStandardInput = true,
                    UseShellExecute = false,
                }
            );
            process!.StandardInput.Close();
            process.StandardOutput.ReadToEnd();
            process.WaitForExit();
            return clock.Elapsed.TotalMilliseconds;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return null;
        }
    }

    private static double Milliseconds(int times, Action work)
    {
        work();
        Stopwatch clock = Stopwatch.StartNew();
        for (int i = 0; i < times; i++)
        {
            work();
        }
        return clock.Elapsed.TotalMilliseconds / times;
    }

    private static void Say(FormattableString line) => Console.WriteLine(line.ToString(CultureInfo.InvariantCulture));
}
