using System.Buffers;
using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace Graftbench.Core.Jobs;

/// <summary>
/// A stand-in for each field that is wrong, so that the checks across fields can run in the same reading. Nothing that
/// touches a stand-in is reported, and the repaired document is never handed out.
/// </summary>
internal sealed class JobReaderRepair
{
    private static readonly JsonSerializerOptions Lenient = new(JobFormat.Json)
    {
        UnmappedMemberHandling = JsonUnmappedMemberHandling.Skip,
    };

    private readonly List<(int Start, int End, string Text)> edits = [];
    private bool givenUp;
    private readonly HashSet<string> doubtful = new(StringComparer.Ordinal);

    /// <summary>Puts a stand-in in the place of a value.</summary>
    public void Replace(int start, int end, JobShape shape, JobField? field, string path)
    {
        edits.Add((start, end, StandIn(shape, field)));
        Doubt(path);
    }

    /// <summary>Puts a field in that is missing.</summary>
    public void Insert(int offset, JobField field, string path)
    {
        edits.Add((offset, offset, $"\"{field.Name}\":{StandIn(field.Shape, field)},"));
        Doubt(path);
    }

    /// <summary>Says that no repair is to be made.</summary>
    public void GiveUp() => givenUp = true;

    /// <summary>Marks a field whose value is not to be judged.</summary>
    public void Doubt(string path) => doubtful.Add(path);

    /// <summary>
    /// True where a path, or something above or below it, is a stand-in; a path that begins with <c>=</c> does not mind
    /// what is below it.
    /// </summary>
    public bool Touches(string path) =>
        path.StartsWith('=')
            ? doubtful.Any(doubt => IsSameOrBelow(path[1..], doubt))
            : doubtful.Any(doubt => IsSameOrBelow(path, doubt) || IsSameOrBelow(doubt, path));

    /// <summary>The document with its stand-ins; null where it still cannot be bound.</summary>
    public T? Apply<T>(ReadOnlySpan<byte> utf8)
        where T : class
    {
        if (givenUp)
        {
            return null;
        }
        ArrayBufferWriter<byte> repaired = new(utf8.Length + 64 * edits.Count + 1);
        int done = 0;
        foreach ((int start, int end, string text) in edits.OrderBy(edit => edit.Start))
        {
            if (start < done)
            {
                return null;
            }
            repaired.Write(utf8[done..start]);
            repaired.Write(Encoding.UTF8.GetBytes(text));
            done = end;
        }
        repaired.Write(utf8[done..]);
        try
        {
            return JsonSerializer.Deserialize<T>(repaired.WrittenSpan, Lenient);
        }
        catch (JsonException)
        {
            return null;
        }
    }

    private static bool IsSameOrBelow(string path, string above) =>
        path.StartsWith(above, StringComparison.Ordinal)
        && (path.Length == above.Length || above.Length == 0 || path[above.Length] is '.' or '[');

    private static string StandIn(JobShape shape, JobField? field)
    {
        if (field is { MayBeNull: true })
        {
            return "null";
        }
        return shape.Kind switch
        {
            JobValueKind.Object => "{"
                + string.Join(
                    ',',
                    shape
                        .Fields.Where(inner => inner.Required)
                        .Select(inner => $"\"{inner.Name}\":{StandIn(inner.Shape, inner)}")
                )
                + "}",
            JobValueKind.List => "[]",
            JobValueKind.Number or JobValueKind.WholeNumber => (
                field?.Allowed is { Min: > 0 } allowed ? allowed.Min : 0
            ).ToString("R", CultureInfo.InvariantCulture),
            JobValueKind.Text => "\"x\"",
            JobValueKind.Name => $"\"{shape.Names[0]}\"",
            JobValueKind.Date => "\"2000-01-01T00:00:00Z\"",
            _ => "false",
        };
    }
}
