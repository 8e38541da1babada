namespace Graftbench.Core.Proof;

/// <summary>Columns of a list of readings and words of its cells: other names that people use are taken too.</summary>
internal static class ReadingColumns
{
    /// <summary>Columns in the order in which they are written, with the names that are taken for each.</summary>
    public static readonly (string Column, string[] Names)[] All =
    [
        ("net", ["net", "rail", "signal", "name", "net name", "rail name"]),
        ("to", ["to", "other end", "against"]),
        ("kind", ["kind", "type", "mode", "measurement", "quantity"]),
        ("value", ["value", "reading", "measured"]),
        ("unit", ["unit", "units"]),
        ("state", ["state", "stage", "board state"]),
        ("polarity", ["polarity", "leads polarity", "ground lead"]),
        ("meter", ["meter", "instrument", "dmm"]),
        ("person", ["person", "who", "by", "technician"]),
        ("repeat", ["repeat", "repeat no", "no", "n", "#"]),
        ("temperature", ["temperature", "temp", "board temperature", "board c", "t"]),
        ("when", ["when", "at", "time", "date", "timestamp"]),
        ("x", ["x", "x mm"]),
        ("y", ["y", "y mm"]),
        ("ball", ["ball", "pin", "ball name"]),
        ("junctions", ["junctions", "like junctions"]),
        ("leads", ["leads", "lead resistance", "wires"]),
        ("revision", ["revision", "rev", "board revision"]),
        ("note", ["note", "notes", "remark", "remarks", "comment"]),
    ];

    /// <summary>Words of kinds.</summary>
    public static readonly (ReadingKind Kind, string[] Words)[] Kinds =
    [
        (ReadingKind.Resistance, ["resistance", "resistance to ground", "ohm", "ohms", "r", "res"]),
        (ReadingKind.Diode, ["diode", "diode-mode", "diode mode", "diodemode"]),
        (ReadingKind.Voltage, ["voltage", "volt", "volts", "v", "dcv"]),
        (ReadingKind.Current, ["current", "ampere", "amps", "a", "dca"]),
    ];

    /// <summary>Words of states.</summary>
    public static readonly (ReadingState State, string[] Words)[] States =
    [
        (ReadingState.Baseline, ["baseline", "before", "host baseline"]),
        (ReadingState.DonorBaseline, ["donor-baseline", "donor baseline", "donor"]),
        (ReadingState.AfterLift, ["after-lift", "after lift", "lifted", "chip off"]),
        (ReadingState.AfterPlacing, ["after-placing", "after placing", "placed", "after", "chip on"]),
        (ReadingState.Healthy, ["healthy", "healthy board", "healthy-board", "good board"]),
        (ReadingState.Handover, ["handover", "hand-over", "hand over"]),
        (ReadingState.Return, ["return", "returned", "came back"]),
    ];

    /// <summary>Words of polarities.</summary>
    public static readonly (ProbePolarity Polarity, string[] Words)[] Polarities =
    [
        (ProbePolarity.RedOnGround, ["red-on-ground", "red on ground", "red", "red ground", "reverse"]),
        (ProbePolarity.BlackOnGround, ["black-on-ground", "black on ground", "black", "black ground", "forward"]),
    ];

    /// <summary>Words of what is known of leads.</summary>
    public static readonly (LeadState Leads, string[] Words)[] Leads =
    [
        (LeadState.Subtracted, ["subtracted", "zeroed", "relative", "rel"]),
        (LeadState.FourWire, ["four-wire", "four wire", "4-wire", "4 wire", "injected"]),
        (LeadState.Included, ["included", "not subtracted"]),
    ];

    /// <summary>The value that a word means; null where it means none.</summary>
    public static T? Find<T>((T Value, string[] Words)[] table, string word)
        where T : struct
    {
        string plain = word.Trim().Replace('_', ' ').ToLowerInvariant();
        foreach ((T value, string[] words) in table)
        {
            if (words.Contains(plain))
            {
                return value;
            }
        }
        return null;
    }

    /// <summary>The word that is written for a value: its first.</summary>
    public static string Word<T>((T Value, string[] Words)[] table, T value)
        where T : struct => table.First(one => one.Value.Equals(value)).Words[0];

    /// <summary>All words that are written, for a message.</summary>
    public static string Words<T>((T Value, string[] Words)[] table)
        where T : struct => string.Join(", ", table.Select(one => one.Words[0]));
}
