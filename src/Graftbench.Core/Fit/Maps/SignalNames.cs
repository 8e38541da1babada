namespace Graftbench.Core.Fit.Maps;

/// <summary>Names of signals: case does not count, nor how the number of a bit is written.</summary>
internal static class SignalNames
{
    /// <summary>What two names of one signal have alike: <c>DQ(7)</c>, <c>DQ[7]</c>, <c>DQ&lt;07&gt;</c> and <c>dq7</c> are one.</summary>
    /// <param name="signal">Name as a list has it.</param>
    public static string Key(string signal)
    {
        ReadOnlySpan<char> name = signal.AsSpan().Trim();
        bool bracket = name.Length > 2 && name[^1] is ')' or ']' or '>';
        int end = bracket ? name.Length - 1 : name.Length;
        int start = end;
        while (start > 0 && char.IsAsciiDigit(name[start - 1]))
        {
            start--;
        }
        if (start == end || start == 0 || (bracket && name[start - 1] is not ('(' or '[' or '<')))
        {
            return name.ToString().ToUpperInvariant();
        }
        ReadOnlySpan<char> bit = name[start..end].TrimStart('0');
        ReadOnlySpan<char> stem = name[..(bracket ? start - 1 : start)];
        return string.Concat(stem, "(", bit.Length == 0 ? "0" : bit, ")").ToUpperInvariant();
    }
}
