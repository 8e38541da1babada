using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tree;
using Graftbench.Store;

namespace Graftbench.Web.Imaging;

/// <summary>Images that were read, by the SHA-256 of their bytes: a few of them, up to a number of bytes.</summary>
/// <param name="store">Where their bytes lie.</param>
public sealed class ImageCache(BenchStore store)
{
    /// <summary>Images kept; the one looked at longest ago goes first.</summary>
    public const int MostImages = 10;

    /// <summary>Bytes kept, of files and of what was unpacked from them.</summary>
    public const long MostBytes = 512L * 1024 * 1024;

    private readonly Lock gate = new();
    private readonly Dictionary<string, Entry> entries = new(StringComparer.Ordinal);
    private long looks;

    private sealed class Entry(Func<ImageTree> read)
    {
        public Lazy<ImageTree> Tree { get; } = new(read);
        public long Looked { get; set; }
        public long Bytes { get; set; }
    }

    /// <summary>Images that are kept now.</summary>
    public int Count
    {
        get
        {
            lock (gate)
            {
                return entries.Count;
            }
        }
    }

    /// <summary>The image of some bytes, read once.</summary>
    /// <param name="sha256">Their SHA-256.</param>
    /// <exception cref="StoreException">The store no longer holds them, or no longer the same.</exception>
    public ImageTree Tree(string sha256)
    {
        Entry entry;
        lock (gate)
        {
            if (!entries.TryGetValue(sha256, out Entry? known))
            {
                known = new Entry(() => ImageReader.Read(Bytes(sha256)));
                entries[sha256] = known;
            }
            known.Looked = ++looks;
            entry = known;
        }
        ImageTree tree;
        try
        {
            tree = entry.Tree.Value;
        }
        catch
        {
            lock (gate)
            {
                entries.Remove(sha256);
            }
            throw;
        }
        lock (gate)
        {
            entry.Bytes = tree.Spaces.Sum(space => (long)space.Bytes.Length);
            MakeRoom(entry);
        }
        return tree;
    }

    /// <summary>The bytes themselves, checked against their hash.</summary>
    /// <param name="sha256">Their SHA-256.</param>
    /// <exception cref="StoreException">The store no longer holds them, or no longer the same.</exception>
    public ReadOnlyMemory<byte> Bytes(string sha256)
    {
        lock (gate)
        {
            if (entries.TryGetValue(sha256, out Entry? known) && known.Tree.IsValueCreated)
            {
                return known.Tree.Value.File.Memory;
            }
        }
        return store.FindFile(sha256)?.Bytes ?? throw store.WhyNoFile("An image", sha256);
    }

    private void MakeRoom(Entry kept)
    {
        while (
            entries.Count > MostImages || (entries.Count > 1 && entries.Values.Sum(entry => entry.Bytes) > MostBytes)
        )
        {
            (string key, Entry _) = entries.Where(pair => pair.Value != kept).MinBy(pair => pair.Value.Looked);
            entries.Remove(key);
        }
    }
}

/// <summary>A few answers by what they hang on; the one looked at longest ago goes first.</summary>
/// <typeparam name="TAnswer">What is kept.</typeparam>
/// <param name="most">Most answers that are kept.</param>
internal sealed class AnswerMemo<TAnswer>(int most)
    where TAnswer : class
{
    private readonly Lock gate = new();
    private readonly List<(string Key, Lazy<TAnswer> Answer)> kept = [];

    /// <summary>The answer where it is there already.</summary>
    public TAnswer? Find(string key)
    {
        lock (gate)
        {
            return kept.Find(each => each.Key == key) is { Answer: { IsValueCreated: true } answer }
                ? answer.Value
                : null;
        }
    }

    /// <summary>The answer, computed where it is not there yet; never twice at once.</summary>
    public TAnswer Get(string key, Func<TAnswer> compute)
    {
        Lazy<TAnswer> answer;
        lock (gate)
        {
            int at = kept.FindIndex(each => each.Key == key);
            answer = at >= 0 ? kept[at].Answer : new Lazy<TAnswer>(compute);
            if (at >= 0)
            {
                kept.RemoveAt(at);
            }
            kept.Add((key, answer));
            if (kept.Count > most)
            {
                kept.RemoveAt(0);
            }
        }
        try
        {
            return answer.Value;
        }
        catch
        {
            lock (gate)
            {
                kept.RemoveAll(each => each.Key == key);
            }
            throw;
        }
    }
}
