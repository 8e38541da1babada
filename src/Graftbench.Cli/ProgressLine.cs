using Graftbench.Core;

namespace Graftbench.Cli;

/// <summary>One line on the error stream that says how far a plan is; only where a person watches it.</summary>
internal sealed class ProgressLine : IProgress<PlanProgress>
{
    private const int Width = 78;
    private readonly Lock gate = new();

    private ProgressLine() { }

    /// <summary>A line; null where the error stream is no terminal.</summary>
    public static ProgressLine? Create() => Console.IsErrorRedirected ? null : new ProgressLine();

    /// <summary>Wipes the line.</summary>
    public static void Clear()
    {
        if (!Console.IsErrorRedirected)
        {
            Console.Error.Write("\r" + new string(' ', Width) + "\r");
        }
    }

    /// <inheritdoc/>
    public void Report(PlanProgress value)
    {
        string line = $"{100 * value.DoneFraction, 3:0} %  {value.Step}";
        lock (gate)
        {
            Console.Error.Write("\r" + (line.Length > Width ? line[..Width] : line.PadRight(Width)));
        }
    }
}
