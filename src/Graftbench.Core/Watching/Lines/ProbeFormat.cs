namespace Graftbench.Core.Watching.Lines;

/// <summary>What a column of a logger's line holds.</summary>
public enum ProbeColumnRole
{
    /// <summary>Nothing that is used: a counter, a mark, a checksum.</summary>
    Ignored,

    /// <summary>Temperature of a probe.</summary>
    Temperature,

    /// <summary>Time since the logger's start [s].</summary>
    ElapsedS,

    /// <summary>Time since the logger's start [ms].</summary>
    ElapsedMs,

    /// <summary>Time of day or date with time, by the logger's clock.</summary>
    Clock,

    /// <summary>Date alone; together with a clock column.</summary>
    Date,
}

/// <summary>Unit that a logger sends temperatures in.</summary>
public enum ProbeUnit
{
    /// <summary>Degrees Celsius.</summary>
    Celsius,

    /// <summary>Degrees Fahrenheit.</summary>
    Fahrenheit,

    /// <summary>Kelvin.</summary>
    Kelvin,
}

/// <summary>What stands between the fields of a line.</summary>
public enum ProbeSeparator
{
    /// <summary>One or more blanks or tabs.</summary>
    Blanks,

    /// <summary>A comma.</summary>
    Comma,

    /// <summary>A semicolon.</summary>
    Semicolon,

    /// <summary>A tab; two in a row hold an empty field.</summary>
    Tab,

    /// <summary>An upright bar.</summary>
    Bar,
}

/// <summary>A column of a logger's line.</summary>
/// <param name="Role">What it holds.</param>
/// <param name="Name">The channel's name; empty where it is no temperature.</param>
/// <param name="Unit">Unit of a temperature.</param>
public sealed record ProbeColumn(ProbeColumnRole Role, string Name, ProbeUnit Unit = ProbeUnit.Celsius);

/// <summary>How the lines of one logger are read; learned from its first lines, confirmed by a person, kept with the bench.</summary>
/// <param name="Separator">What stands between fields.</param>
/// <param name="DecimalComma">Whether a comma is the decimal mark.</param>
/// <param name="Columns">What each field holds, in order.</param>
public sealed record ProbeFormat(ProbeSeparator Separator, bool DecimalComma, IReadOnlyList<ProbeColumn> Columns)
{
    /// <summary>Most columns that a line may have.</summary>
    public const int MostColumns = 64;

    /// <summary>Names of the channels, in order.</summary>
    public IReadOnlyList<string> Channels =>
        [.. Columns.Where(column => column.Role == ProbeColumnRole.Temperature).Select(column => column.Name)];

    /// <summary>Whether lines carry a time of their own.</summary>
    public bool Timed =>
        Columns.Any(column =>
            column.Role is ProbeColumnRole.Clock or ProbeColumnRole.ElapsedS or ProbeColumnRole.ElapsedMs
        );
}
