using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Variables;

namespace Graftbench.Firmware.Combining;

/// <summary>Writes variables into the newer image's own formatted store.</summary>
/// <remarks>
/// The store's header, its volume and its working block stay as the newer image has them: an erased or wrongly summed store
/// stops the board. Each variable becomes one live record on a boundary of four bytes; the rest is erased. Where the newer
/// store holds deleted records, or one that is replaced, its live records are written anew one after the other, so that no
/// stale copy is left. A record moves between plain and authenticated stores by a new header with count, time and key 0;
/// authenticated variables never move.
/// </remarks>
internal static class StoreWriter
{
    private const byte Erased = 0xFF;
    private const byte Live = 0x3F;
    private const int StateAt = 2;

    // StartId, state, reserved, attributes stand alike in both headers; sizes and vendor follow in one piece.
    private const int CommonBytes = 8;
    private const int SizesBytes = 24;

    /// <summary>Why the store of the newer image cannot take records; null where it can.</summary>
    public static string? Fault(VariableStore store)
    {
        if (store.Range.Length != store.DeclaredSize)
        {
            return "it is longer than the volume that holds it";
        }
        if (!store.FreeIsErased)
        {
            return "its free space is not erased";
        }
        if (store.Records.Any(record => !record.Reachable))
        {
            return "it has records behind a damaged one";
        }
        return store.Records.Any(record => record.State is VariableState.HeaderOnly or VariableState.Other)
            ? "it has a record whose writing was interrupted"
            : null;
    }

    /// <summary>Bytes that the store takes with the records in it, and how many it has for them.</summary>
    public static (long Needed, long Room) Size(VariableStore newer, IReadOnlyList<VariableRecord> carried)
    {
        long needed = 0;
        foreach (VariableRecord record in Kept(newer, carried))
        {
            needed = Align(needed) + record.Range.Length;
        }
        foreach (VariableRecord record in carried)
        {
            needed = Align(needed) + newer.RecordHeaderBytes + record.NameRange.Length + record.DataRange.Length;
        }
        return (needed, newer.Range.Length - VariableStore.HeaderBytes);
    }

    /// <summary>Writes the records. They must fit.</summary>
    /// <returns>Deleted or replaced records of the newer store that are gone.</returns>
    public static int Write(
        Composition result,
        VariableStore own,
        VariableStore newer,
        IReadOnlyList<VariableRecord> carried
    )
    {
        List<VariableRecord> kept = [.. Kept(newer, carried)];
        bool asIs = kept.Count == newer.Records.Count && kept.TrueForAll(record => record.State == VariableState.Added);
        int at = newer.Range.Start + VariableStore.HeaderBytes;
        if (asIs)
        {
            // Nothing stale: what is there stays where it is, the new records go behind it.
            at = kept.Count == 0 ? at : kept[^1].Range.End;
        }
        else
        {
            result.Fill(at, newer.Range.End - at, Erased, "erased space of the variable store");
            foreach (VariableRecord record in kept)
            {
                at = AlignIn(newer.Range, at);
                result.PutNewer(
                    at,
                    record.Range.Length,
                    record.Range.Start,
                    $"live record {Name(record)} of the newer image"
                );
                at = MarkLive(result, at, record);
            }
        }
        foreach (VariableRecord record in carried)
        {
            at = AlignIn(newer.Range, at);
            at =
                own.Authenticated == newer.Authenticated
                    ? Copy(result, at, record)
                    : Rebuild(result, at, newer, record);
        }
        return newer.Records.Count - kept.Count;
    }

    /// <summary>Live records of the newer store that nothing takes the place of.</summary>
    public static IEnumerable<VariableRecord> Kept(VariableStore newer, IReadOnlyList<VariableRecord> carried) =>
        newer.Live.Where(record => !carried.Any(one => (one.Vendor, one.Name) == (record.Vendor, record.Name)));

    private static int Copy(Composition result, int at, VariableRecord record)
    {
        result.PutOwn(at, record.Range.Length, record.Range.Start, $"record {Name(record)} of the board");
        return MarkLive(result, at, record);
    }

    // A record that was being replaced counted as live: now it is the only one.
    private static int MarkLive(Composition result, int at, VariableRecord record)
    {
        if (record.StateByte != Live)
        {
            result.PutComputed(at + StateAt, [Live], $"state of record {Name(record)}: live");
        }
        return at + record.Range.Length;
    }

    private static int Rebuild(Composition result, int at, VariableStore newer, VariableRecord record)
    {
        int from = record.HeaderRange.Start;
        string name = Name(record);
        result.PutOwn(at, CommonBytes, from, $"attributes of variable {name}");
        MarkLive(result, at, record);
        at += CommonBytes;
        int sizesAt = record.HeaderRange.End - SizesBytes;
        int middle = newer.RecordHeaderBytes - CommonBytes - SizesBytes;
        if (middle > 0)
        {
            result.Fill(at, middle, 0, $"header of record {name} made authenticated: count, time and key index 0");
            at += middle;
        }
        result.PutOwn(at, SizesBytes, sizesAt, $"sizes and name space of variable {name}");
        at += SizesBytes;
        int body = record.NameRange.Length + record.DataRange.Length;
        result.PutOwn(at, body, record.NameRange.Start, $"name and data of variable {name}");
        return at + body;
    }

    private static string Name(VariableRecord record) => IdentityShapes.Shown(record.Name);

    private static int AlignIn(ByteRange store, int at) => store.Start + (int)Align(at - store.Start);

    private static long Align(long length) => (length + 3) & ~3L;
}
