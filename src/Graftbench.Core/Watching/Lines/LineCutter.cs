using System.Text;

namespace Graftbench.Core.Watching.Lines;

/// <summary>Cuts bytes as they arrive into lines, with bounded memory whatever comes.</summary>
/// <remarks>
/// A line ends with CR, LF or both. What comes before the first line end may be half a line and is not given out. A line
/// over <see cref="LongestLine"/> bytes is left out and counted. Bytes that are no UTF-8 become the replacement sign; NUL
/// bytes are dropped and counted.
/// </remarks>
public sealed class LineCutter
{
    /// <summary>Longest line that is read [bytes].</summary>
    public const int LongestLine = 4096;

    private readonly byte[] kept = new byte[LongestLine];
    private int length;
    private bool tooLong;
    private bool whole;

    /// <summary>Cuts from the start of a file, where the first line is whole.</summary>
    public static LineCutter OfFile() => new() { whole = true };

    /// <summary>Lines that were too long and left out.</summary>
    public long TooLongNumber { get; private set; }

    /// <summary>NUL bytes that were dropped.</summary>
    public long NulNumber { get; private set; }

    /// <summary>Takes bytes and gives out the lines that they end, without line ends; empty lines are left out.</summary>
    /// <param name="bytes">Bytes as they arrived.</param>
    /// <param name="take">Called for each line, in order.</param>
    public void Feed(ReadOnlySpan<byte> bytes, Action<string> take)
    {
        ArgumentNullException.ThrowIfNull(take);
        foreach (byte one in bytes)
        {
            if (one is (byte)'\n' or (byte)'\r')
            {
                End(take);
            }
            else if (one == 0)
            {
                NulNumber++;
            }
            else if (length < LongestLine)
            {
                kept[length++] = one;
            }
            else
            {
                tooLong = true;
            }
        }
    }

    /// <summary>Gives out what is left after the last line end of a file.</summary>
    /// <param name="take">Called with it where there is something.</param>
    public void Finish(Action<string> take)
    {
        ArgumentNullException.ThrowIfNull(take);
        End(take);
    }

    private void End(Action<string> take)
    {
        if (tooLong)
        {
            TooLongNumber++;
        }
        else if (whole && length > 0)
        {
            string line = Encoding.UTF8.GetString(kept, 0, length);
            if (!string.IsNullOrWhiteSpace(line))
            {
                length = 0;
                take(line);
            }
        }
        (length, tooLong, whole) = (0, false, true);
    }
}
