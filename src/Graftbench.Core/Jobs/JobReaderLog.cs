using System.Text;

namespace Graftbench.Core.Jobs;

/// <summary>
/// Collects problems by their place in the text: keeps the first ones in document order, counts the others, and turns
/// byte offsets into lines and columns in one pass.
/// </summary>
internal sealed class JobReaderLog
{
    private static readonly Comparer<(long Offset, int Sequence)> LastFirst = Comparer<(
        long Offset,
        int Sequence
    )>.Create((a, b) => b.CompareTo(a));

    private readonly PriorityQueue<JobProblem, (long Offset, int Sequence)> kept = new(LastFirst);
    private int sequence;

    /// <summary>Problems found so far, listed or not.</summary>
    public int Count { get; private set; }

    /// <summary>True where a problem at this place would be listed, so that its message is worth making.</summary>
    public bool Wants(long offset) =>
        kept.Count < JobReading.MostProblems
        || !kept.TryPeek(out _, out (long Offset, int Sequence) last)
        || offset < last.Offset;

    /// <summary>Counts a problem that is not listed.</summary>
    public void CountOnly() => Count++;

    /// <summary>Adds a problem found at a byte offset; its line and column are set at the end.</summary>
    public void Add(long offset, JobProblem problem)
    {
        Count++;
        kept.Enqueue(problem, (offset, sequence++));
        if (kept.Count > JobReading.MostProblems)
        {
            kept.Dequeue();
        }
    }

    /// <summary>The reading that these problems make: no job, and the problems in document order.</summary>
    public JobReading ToReading(ReadOnlySpan<byte> utf8)
    {
        List<(JobProblem Problem, (long Offset, int Sequence) Place)> ordered = kept
            .UnorderedItems.Select(item => (item.Element, item.Priority))
            .OrderBy(item => item.Priority)
            .ToList();
        List<JobProblem> problems = new(ordered.Count);
        Cursor cursor = new();
        foreach ((JobProblem problem, (long offset, int _)) in ordered)
        {
            cursor.MoveTo(utf8, (int)Math.Min(offset, utf8.Length));
            problems.Add(problem with { Line = cursor.Line, Column = cursor.Column });
        }
        return new JobReading(null, problems, Count - problems.Count);
    }

    /// <summary>Walks forward through a text and knows its line and column, both from 1.</summary>
    private sealed class Cursor
    {
        private int offset;

        public int Line { get; private set; } = 1;

        public int Column { get; private set; } = 1;

        public void MoveTo(ReadOnlySpan<byte> utf8, int target)
        {
            while (offset < target)
            {
                ReadOnlySpan<byte> ahead = utf8[offset..target];
                int lineEnd = ahead.IndexOf((byte)'\n');
                if (lineEnd < 0)
                {
                    Column += Characters(ahead);
                    offset = target;
                }
                else
                {
                    offset += lineEnd + 1;
                    Line++;
                    Column = 1;
                }
            }
        }

        // Every byte but the followers of a multi-byte character begins one; works on broken UTF-8 too.
        private static int Characters(ReadOnlySpan<byte> utf8)
        {
            int count = 0;
            foreach (byte one in utf8)
            {
                if ((one & 0xC0) != 0x80)
                {
                    count++;
                }
            }
            return count;
        }
    }
}

/// <summary>The way from the document's root to a value.</summary>
internal sealed class JobPath
{
    private readonly List<(string? Name, int Index)> steps = [];

    public int Depth => steps.Count;

    public void Push(string name) => steps.Add((name, 0));

    public void Push(int index) => steps.Add((null, index));

    public void Pop() => steps.RemoveAt(steps.Count - 1);

    public void TrimTo(int depth) => steps.RemoveRange(depth, steps.Count - depth);

    /// <summary>Spells the path of the value, or of a field below it.</summary>
    public string Text(string? below = null)
    {
        StringBuilder text = new();
        foreach ((string? name, int index) in steps)
        {
            Append(text, name, index);
        }
        if (below is not null)
        {
            Append(text, below, 0);
        }
        return text.ToString();
    }

    /// <summary>Spells the first steps of the path.</summary>
    public string TextTo(int depth)
    {
        StringBuilder text = new();
        foreach ((string? name, int index) in steps.Take(depth))
        {
            Append(text, name, index);
        }
        return text.ToString();
    }

    private static void Append(StringBuilder text, string? name, int index)
    {
        if (name is null)
        {
            text.Append('[').Append(index).Append(']');
            return;
        }
        if (text.Length > 0)
        {
            text.Append('.');
        }
        text.Append(name);
    }
}
