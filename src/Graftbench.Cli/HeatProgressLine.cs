using Graftbench.Core.Heating;

namespace Graftbench.Cli;

/// <summary>One line on the error stream that says how far a plan is; only where a person watches it.</summary>
internal sealed class HeatProgressLine : IProgress<HeatProgress>
{
    private const int Width = 78;
    private readonly Lock gate = new();

    private HeatProgressLine() { }

    /// <summary>A line; null where the error stream is no terminal.</summary>
    public static HeatProgressLine? Create() => Console.IsErrorRedirected ? null : new HeatProgressLine();

    /// <summary>Wipes the line.</summary>
    public static void Clear()
    {
        if (!Console.IsErrorRedirected)
        {
            Console.Error.Write("\r" + new string(' ', Width) + "\r");
        }
    }

    /// <inheritdoc/>
    public void Report(HeatProgress value)
    {
        string line = $"{100 * value.DoneFraction, 3:0} %  {value.Step}";
        lock (gate)
        {
            Console.Error.Write("\r" + (line.Length > Width ? line[..Width] : line.PadRight(Width)));
        }
    }
}
