namespace Graftbench.Watch;

/// <summary>A run's curves for a screen, in bounded memory: where it is full, every second row goes and rows come half as often.</summary>
public sealed class RunHistory
{
    /// <summary>Columns before those of the channels: time, coldest joint, its band's ends, hottest joint, body, gas, bottom heater.</summary>
    public const int FixedColumns = 8;

    /// <summary>Most rows that are kept.</summary>
    public const int MostRows = 2400;

    private readonly float[] cells;
    private double strideS = 1;
    private double nextS;

    /// <summary>Empty.</summary>
    /// <param name="channels">Number of channels.</param>
    public RunHistory(int channels)
    {
        Columns = FixedColumns + channels;
        cells = new float[MostRows * Columns];
    }

    /// <summary>Values in a row.</summary>
    public int Columns { get; }

    /// <summary>Rows.</summary>
    public int Count { get; private set; }

    /// <summary>Whether a row is due.</summary>
    /// <param name="timeS">Time of the run [s].</param>
    public bool IsDue(double timeS) => timeS >= nextS;

    /// <summary>Adds a row.</summary>
    /// <param name="row">A value for each column, time first.</param>
    public void Add(ReadOnlySpan<float> row)
    {
        if (Count == MostRows)
        {
            for (int i = 1; i < MostRows / 2; i++)
            {
                cells.AsSpan(2 * i * Columns, Columns).CopyTo(cells.AsSpan(i * Columns));
            }
            Count = MostRows / 2;
            strideS *= 2;
        }
        row.CopyTo(cells.AsSpan(Count * Columns, Columns));
        Count++;
        nextS = row[0] + strideS;
    }

    /// <summary>All rows, one after the other.</summary>
    public float[] ToArray() => cells[..(Count * Columns)];
}
