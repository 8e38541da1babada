using System.Diagnostics;
using System.Globalization;
using System.Runtime.CompilerServices;

namespace Graftbench.Store.Tests.Support;

/// <summary>A second process that writes to a store: this very test program, started with a variable set.</summary>
internal static class WriterProcess
{
    private const string Variable = "GRAFTBENCH_TEST_WRITER";
    private const char Separator = '\u001f';

    /// <summary>Starts a process that appends notes and writes <c>ok SEQUENCE SHA256</c> after each.</summary>
    public static Process Start(TestFolder folder, string record, string who, int count)
    {
        string dll = typeof(WriterProcess).Assembly.Location;
        string? program = Environment.ProcessPath;
        bool isHost = Path.GetFileNameWithoutExtension(program) == "dotnet";
        ProcessStartInfo start = new(program!)
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            UseShellExecute = false,
        };
        if (isHost)
        {
            start.ArgumentList.Add(dll);
        }
        start.Environment[Variable] = string.Join(
            Separator,
            folder.Path,
            record,
            who,
            count.ToString(CultureInfo.InvariantCulture),
            folder.Connection ?? ""
        );
        return Process.Start(start)!;
    }

    // Runs before the test program's own Main, which the test framework generates.
#pragma warning disable CA2255 // The module initializer is meant for this one use.
    [ModuleInitializer]
    internal static void Run()
#pragma warning restore CA2255
    {
        if (Environment.GetEnvironmentVariable(Variable) is not { Length: > 0 } order)
        {
            return;
        }
        int code = 0;
        try
        {
            Write(order.Split(Separator));
        }
        catch (StoreException problem)
        {
            Console.Error.WriteLine(problem.Message);
            code = 2;
        }
        Environment.Exit(code);
    }

    /// <summary>The name that makes the process write samples of a watched heat in place of notes.</summary>
    public const string Watcher = "watcher";

    private static void Write(string[] order)
    {
        using BenchStore store = BenchStore.Open(StorePlace.Of(order[0], order[4]), TimeProvider.System);
        if (order[2] == Watcher)
        {
            HeatRun run = store.StartRun(new HeatRunDraft(order[1], order[2], "{}", ["a", "b"]));
            Console.Out.WriteLine(run.Id);
            for (int number = 1; number <= int.Parse(order[3], CultureInfo.InvariantCulture); number++)
            {
                long stored = store.AppendSamples(run, [new HeatSample(number * 0.1, [number, -number])]);
                Console.Out.WriteLine(stored);
                Console.Out.Flush();
            }
            return;
        }
        for (int number = 1; number <= int.Parse(order[3], CultureInfo.InvariantCulture); number++)
        {
            EvidenceLine line = store.Append(order[1], Samples.Note($"{order[2]} {number}", order[2]));
            Console.Out.WriteLine($"ok {line.Sequence} {line.Sha256}");
            Console.Out.Flush();
        }
    }
}
