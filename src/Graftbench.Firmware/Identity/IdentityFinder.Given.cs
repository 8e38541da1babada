using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Variables;

namespace Graftbench.Firmware.Identity;

public static partial class IdentityFinder
{
    private const int MostHits = 64;

    /// <summary>A value that a person gave, as it may stand in flash.</summary>
    private sealed record Spelling(string What, string Value, IdentityShape Shape, byte[] Bytes);

    private static IEnumerable<Spelling> Spellings(KnownIdentity known)
    {
        foreach (string serial in known.Serials)
        {
            yield return new("the given serial", serial, IdentityShape.Serial, Encoding.Latin1.GetBytes(serial));
            yield return new(
                "the given serial, UTF-16",
                serial,
                IdentityShape.Serial,
                Encoding.Unicode.GetBytes(serial)
            );
        }
        foreach (Guid uuid in known.Uuids)
        {
            string text = uuid.ToString();
            yield return new("the given UUID", text, IdentityShape.Uuid, uuid.ToByteArray());
            yield return new(
                "the given UUID, first fields reversed",
                text,
                IdentityShape.Uuid,
                uuid.ToByteArray(bigEndian: true)
            );
            yield return new("the given UUID as text", text, IdentityShape.Uuid, Encoding.ASCII.GetBytes(text));
            yield return new(
                "the given UUID as text",
                text,
                IdentityShape.Uuid,
                Encoding.ASCII.GetBytes(text.ToUpperInvariant())
            );
        }
        foreach (ReadOnlyMemory<byte> address in known.Addresses)
        {
            string text = IdentityShapes.AddressText(address.Span);
            string digits = Convert.ToHexString(address.Span);
            yield return new("the given network address", text, IdentityShape.NetworkAddress, address.ToArray());
            foreach (
                string form in new[]
                {
                    digits,
                    digits.ToLowerInvariant(),
                    text,
                    text.ToLowerInvariant(),
                    text.Replace(':', '-'),
                }
            )
            {
                yield return new(
                    "the given network address as text",
                    text,
                    IdentityShape.NetworkAddress,
                    Encoding.ASCII.GetBytes(form)
                );
                yield return new(
                    "the given network address as text",
                    text,
                    IdentityShape.NetworkAddress,
                    Encoding.Unicode.GetBytes(form)
                );
            }
        }
    }

    /// <summary>Which given value some bytes hold; null where none.</summary>
    private static string? HoldsGiven(KnownIdentity known, ReadOnlySpan<byte> data)
    {
        foreach (Spelling spelling in Spellings(known))
        {
            if (data.IndexOf(spelling.Bytes) >= 0)
            {
                return spelling.What;
            }
        }
        return null;
    }

    // Outside of variables: those were looked at with their records.
    private static void FindGiven(Search found)
    {
        foreach (Spelling spelling in Spellings(found.Given.Known))
        {
            foreach (int at in Hits(found.OwnBytes, spelling.Bytes))
            {
                ByteRange range = new(at, spelling.Bytes.Length);
                AreaKind area = found.OwnAreas.At(at);
                if (area == AreaKind.Raw)
                {
                    AddRange(
                        found,
                        range,
                        spelling.Shape,
                        IdentityShapes.Shown(spelling.Value),
                        $"{spelling.What} stands here",
                        GivenFraction
                    );
                }
                else if (ImageAreas.Forbids(area) is { } why && !InRecord(found.Given.Own, range))
                {
                    found.NotProposed.Add(new NotProposed(spelling.What, range, why));
                }
            }
        }
    }

    private static void CheckGiven(Search found)
    {
        KnownIdentity known = found.Given.Known;
        IEnumerable<(string Text, KnownIdentity Alone)> values =
        [
            .. known.Serials.Select(one => (one, KnownIdentity.None with { Serials = [one] })),
            .. known.Uuids.Select(one => (one.ToString(), KnownIdentity.None with { Uuids = [one] })),
            .. known.Addresses.Select(one =>
                (IdentityShapes.AddressText(one.Span), KnownIdentity.None with { Addresses = [one] })
            ),
        ];
        foreach ((string text, KnownIdentity alone) in values)
        {
            bool mine = HoldsGiven(alone, found.OwnBytes) is not null;
            bool theirs = HoldsGiven(alone, found.NewerBytes) is not null;
            if (mine)
            {
                continue;
            }
            found.Findings.Add(
                theirs
                    ? new Finding(
                        Verdict.Blocker,
                        "identity.swapped",
                        "both images",
                        "A value given for this machine stands in the newer image and not in the board's own dump.",
                        IdentityShapes.Shown(text),
                        Source: Practice,
                        Todo: "Check which file is which: identity goes only from a board's own dump to that same board."
                    )
                    : new Finding(
                        Verdict.Warning,
                        "identity.given-not-found",
                        "own dump",
                        "A value given for this machine does not stand in its dump as plain bytes.",
                        IdentityShapes.Shown(text),
                        Source: Practice,
                        Todo: "Check the value against the label; it may also be packed, coded, or kept in another chip."
                    )
            );
        }
    }

    private static bool InRecord(ImageTree tree, ByteRange range) =>
        StoreOf(tree) is { } store && store.Records.Any(record => record.Range.Overlaps(range));

    private static List<int> Hits(ReadOnlySpan<byte> bytes, ReadOnlySpan<byte> wanted)
    {
        List<int> hits = [];
        int from = 0;
        while (hits.Count < MostHits && from < bytes.Length)
        {
            int found = bytes[from..].IndexOf(wanted);
            if (found < 0)
            {
                break;
            }
            hits.Add(from + found);
            from += found + wanted.Length;
        }
        return hits;
    }

    /// <summary>Proposes bytes outside of volumes, or says why not.</summary>
    /// <returns>Whether they were proposed.</returns>
    private static bool AddRange(
        Search found,
        ByteRange own,
        IdentityShape shape,
        string looks,
        string reason,
        double confidence,
        string? title = null
    )
    {
        if (found.IsTaken(own))
        {
            return false;
        }
        ByteRange? target = found.Target(own);
        string? obstacle = target is null ? "no place in the newer image corresponds to it" : null;
        string? instead = null;
        if (target is { } there)
        {
            own = WithTail(found, own, ref there);
            target = there;
            ReadOnlySpan<byte> theirs = found.NewerBytes.Slice(there.Start, there.Length);
            if (theirs.SequenceEqual(found.OwnBytes.Slice(own.Start, own.Length)))
            {
                found.NotProposed.Add(new NotProposed(title ?? looks, own, "the same in the newer image"));
                return false;
            }
            if (found.NewerAreas.At(there.Start) != AreaKind.Raw || found.NewerAreas.At(there.End - 1) != AreaKind.Raw)
            {
                obstacle = "in the newer image this place belongs to a volume or a region that is not written";
            }
            ShapedValue value = IdentityShapes.Of(theirs);
            instead = IsBlank(theirs) ? null : value.Text;
            if (IsMark(shape) && value.Shape == shape && instead is not null)
            {
                found.Foreign.Add((title ?? $"bytes at {own.Start:X}h", looks, instead));
            }
        }
        obstacle ??= found.ReadsAgree(own) ? null : "the reads of the board differ there";
        found.Proposals.Add(
            new IdentityProposal(
                found.Id($"range-{own.Start:X}"),
                ProposalKind.Range,
                title ?? $"{own.Length} bytes outside of volumes",
                own,
                target,
                shape,
                looks,
                reason,
                confidence
            )
            {
                Instead = instead,
                Obstacle = obstacle,
            }
        );
        return true;
    }

    // Where the newer image has a longer text in the place, its tail goes with it: half of each would be neither.
    private static ByteRange WithTail(Search found, ByteRange own, ref ByteRange target)
    {
        const int MostTail = 64;
        int tail = 0;
        while (
            tail < MostTail
            && own.End + tail < found.OwnBytes.Length
            && target.End + tail < found.NewerBytes.Length
            && found.OwnBytes[own.End + tail] is 0 or 0xFF
            && found.NewerBytes[target.End + tail] is > 0x20 and < 0x7F
        )
        {
            tail++;
        }
        target = new ByteRange(target.Start, target.Length + tail);
        return new ByteRange(own.Start, own.Length + tail);
    }

    private static bool IsBlank(ReadOnlySpan<byte> bytes) => !bytes.ContainsAnyExcept((byte)0, (byte)0xFF, (byte)0x20);
}
