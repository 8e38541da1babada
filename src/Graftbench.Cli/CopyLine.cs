using System.Globalization;
using Graftbench.Store;

namespace Graftbench.Cli;

/// <summary>Says how far a copy of a store is: one line that changes on a terminal, one line a table elsewhere.</summary>
internal sealed class CopyLine(TextWriter error, bool isTerminal) : IProgress<CopyProgress>
{
    private const int Width = 60;

    /// <inheritdoc/>
    public void Report(CopyProgress value)
    {
        string line =
            value.Table == "check"
                ? "checking every hash of the copy"
                : string.Create(CultureInfo.InvariantCulture, $"{value.Table}: {value.Rows} of {value.Of}");
        if (isTerminal)
        {
            error.Write("\r" + line.PadRight(Width));
        }
        else if (value.Rows == value.Of && value.Table != "check")
        {
            error.WriteLine(line);
        }
    }

    /// <summary>Wipes the line.</summary>
    public void Clear()
    {
        if (isTerminal)
        {
            error.Write("\r" + new string(' ', Width) + "\r");
        }
    }
}
