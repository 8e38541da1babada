using System.Text.RegularExpressions;

namespace Graftbench.Core.Fit.Maps;

/// <summary>Guesses what a ball is for from its name. Common practice of part makers, no source; a person confirms it.</summary>
internal static partial class BallClasses
{
    /// <summary>Class by the name of a signal.</summary>
    public static BallClass ByName(string signal)
    {
        string name = signal.Trim();
        return name.Length == 0 ? BallClass.Unknown
            : Ground().IsMatch(name) ? BallClass.Ground
            : NoConnect().IsMatch(name) ? BallClass.NoConnect
            : Reserved().IsMatch(name) ? BallClass.Reserved
            : Supply().IsMatch(name) ? BallClass.Supply
            : BallClass.Signal;
    }

    /// <summary>Class by a word in a column of types; null where the word says nothing.</summary>
    public static BallClass? ByWord(string word) =>
        word.Trim().ToUpperInvariant() switch
        {
            "GND" or "GROUND" or "VSS" => BallClass.Ground,
            "POWER" or "PWR" or "SUPPLY" or "VDD" or "VCC" => BallClass.Supply,
            "NC" or "N/C" or "NO CONNECT" or "NO-CONNECT" or "DNC" => BallClass.NoConnect,
            "RESERVED" or "RSVD" or "RFU" => BallClass.Reserved,
            "SIGNAL"
            or "IN"
            or "OUT"
            or "I"
            or "O"
            or "IO"
            or "I/O"
            or "INPUT"
            or "OUTPUT"
            or "INOUT"
            or "BUFFER"
            or "CLOCK"
            or "ANALOG" => BallClass.Signal,
            _ => null,
        };

    [GeneratedRegex(@"^(?:[A-Z]*GND[A-Z]*|[A-Z]?VSS[A-Z]*|VEE)(?:[_0-9].*)?$", RegexOptions.IgnoreCase, 1000)]
    private static partial Regex Ground();

    [GeneratedRegex(@"^(?:NC|N/C|DNC|DNU|NO_?CONNECT)(?:[_0-9].*)?$", RegexOptions.IgnoreCase, 1000)]
    private static partial Regex NoConnect();

    [GeneratedRegex(@"^(?:RSVD|RESERVED|RFU|RES)(?:[_0-9].*)?$", RegexOptions.IgnoreCase, 1000)]
    private static partial Regex Reserved();

    [GeneratedRegex(
        @"^(?:[A-Z]{0,3}V(?:DD|CC|BAT|PP|TT|REF|IN|IO|CORE|PLL)[A-Z]*|V[0-9]+(?:[PV_.][0-9]+)?|[A-Z]*PWR[A-Z]*|\+?[0-9]+V[0-9]*|P[0-9]+V[0-9]*)(?:[_0-9].*)?$",
        RegexOptions.IgnoreCase,
        1000
    )]
    private static partial Regex Supply();
}
