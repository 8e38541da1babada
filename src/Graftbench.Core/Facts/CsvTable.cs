using System.Globalization;
using System.Reflection;
using System.Text;

namespace Graftbench.Core.Facts;

/// <summary>One row of a data table, cells by column name.</summary>
/// <param name="table">Name of the table, for messages.</param>
/// <param name="line">Line in the file, from 1.</param>
/// <param name="columns">Column positions by name.</param>
/// <param name="cells">Cells in file order.</param>
public sealed class CsvRow(
    string table,
    int line,
    IReadOnlyDictionary<string, int> columns,
    IReadOnlyList<string> cells
)
{
    /// <summary>Cells in file order.</summary>
    public IReadOnlyList<string> Cells { get; } = cells;

    /// <summary>File and line, for messages.</summary>
    public override string ToString() => $"data/{table}.csv line {line}";

    /// <summary>The cell of a column; empty where the file has nothing.</summary>
    public string this[string column] =>
        columns.TryGetValue(column, out int index)
            ? Cells[index]
            : throw new InvalidDataException($"data/{table}.csv has no column '{column}'.");

    /// <summary>The cell as a number.</summary>
    public double Number(string column) =>
        NumberOrNull(column) ?? throw new InvalidDataException($"data/{table}.csv line {line}: '{column}' is empty.");

    /// <summary>The cell as a number; null where it is empty.</summary>
    public double? NumberOrNull(string column)
    {
        string text = this[column];
        if (text.Length == 0)
        {
            return null;
        }
        return double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
            ? value
            : throw new InvalidDataException($"data/{table}.csv line {line}: '{column}' holds '{text}', not a number.");
    }

    /// <summary>The <c>confidence</c> cell.</summary>
    public Confidence Confidence =>
        this["confidence"] switch
        {
            "C" => Confidence.Seen,
            "M" => Confidence.FromMemory,
            "X" => Confidence.Computed,
            "P" => Confidence.CommonPractice,
            "E" => Confidence.Estimate,
            string other => throw new InvalidDataException($"data/{table}.csv line {line}: confidence '{other}'."),
        };
}

/// <summary>
/// A table of <c>data/</c>, carried inside the assembly and read-only. First line: column names. Lines that begin with
/// <c>#</c> are remarks; the first remark is the table's title, the others say what it holds and must not be used for.
/// </summary>
public sealed class CsvTable
{
    private CsvTable(string name, string title, string about, IReadOnlyList<string> columns, IReadOnlyList<CsvRow> rows)
    {
        Name = name;
        Title = title;
        About = about;
        Columns = columns;
        Rows = rows;
    }

    /// <summary>File name without its ending.</summary>
    public string Name { get; }

    /// <summary>First remark of the file.</summary>
    public string Title { get; }

    /// <summary>The other remarks, joined.</summary>
    public string About { get; }

    /// <summary>Column names in file order.</summary>
    public IReadOnlyList<string> Columns { get; }

    /// <summary>Rows in file order.</summary>
    public IReadOnlyList<CsvRow> Rows { get; }

    /// <summary>Names of all tables in the assembly, in order.</summary>
    public static IReadOnlyList<string> Names { get; } =
        typeof(CsvTable)
            .Assembly.GetManifestResourceNames()
            .Where(name => name.StartsWith("data/", StringComparison.Ordinal))
            .Select(name => name["data/".Length..^".csv".Length])
            .Order(StringComparer.Ordinal)
            .ToList();

    /// <summary>Loads a table by its name.</summary>
    /// <exception cref="InvalidDataException">The table is missing or its form is broken.</exception>
    public static CsvTable Load(string name)
    {
        Assembly assembly = typeof(CsvTable).Assembly;
        using Stream stream =
            assembly.GetManifestResourceStream($"data/{name}.csv")
            ?? throw new InvalidDataException($"data/{name}.csv is not in the assembly.");
        using StreamReader reader = new(stream, Encoding.UTF8);
        return Parse(name, reader.ReadToEnd());
    }

    /// <summary>Parses a table from its text.</summary>
    /// <exception cref="InvalidDataException">A row has another number of cells than the head.</exception>
    public static CsvTable Parse(string name, string text)
    {
        List<string> remarks = [];
        List<string>? columns = null;
        Dictionary<string, int> positions = new(StringComparer.Ordinal);
        List<CsvRow> rows = [];
        int lineNumber = 0;
        foreach (string raw in text.Split('\n'))
        {
            lineNumber++;
            string line = raw.TrimEnd('\r');
            if (line.Length == 0)
            {
                continue;
            }
            if (line[0] == '#')
            {
                remarks.Add(line[1..].Trim());
                continue;
            }
            List<string> cells = SplitLine(line);
            if (columns is null)
            {
                columns = cells;
                for (int i = 0; i < cells.Count; i++)
                {
                    positions[cells[i]] = i;
                }
                continue;
            }
            if (cells.Count != columns.Count)
            {
                throw new InvalidDataException(
                    $"data/{name}.csv line {lineNumber}: {cells.Count} cells, the head has {columns.Count}."
                );
            }
            rows.Add(new CsvRow(name, lineNumber, positions, cells));
        }
        return new CsvTable(
            name,
            remarks.FirstOrDefault() ?? name,
            string.Join(' ', remarks.Skip(1)),
            columns ?? [],
            rows
        );
    }

    private static List<string> SplitLine(string line)
    {
        List<string> cells = [];
        StringBuilder cell = new();
        bool quoted = false;
        for (int i = 0; i < line.Length; i++)
        {
            char c = line[i];
            if (quoted)
            {
                if (c != '"')
                {
                    cell.Append(c);
                }
                else if (i + 1 < line.Length && line[i + 1] == '"')
                {
                    cell.Append('"');
                    i++;
                }
                else
                {
                    quoted = false;
                }
            }
            else if (c == '"')
            {
                quoted = true;
            }
            else if (c == ',')
            {
                cells.Add(cell.ToString().Trim());
                cell.Clear();
            }
            else
            {
                cell.Append(c);
            }
        }
        cells.Add(cell.ToString().Trim());
        return cells;
    }
}
