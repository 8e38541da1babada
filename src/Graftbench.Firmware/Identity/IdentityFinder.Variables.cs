using System.Text;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Variables;

namespace Graftbench.Firmware.Identity;

public static partial class IdentityFinder
{
    // Larger variables are settings and tables, not names of a machine.
    private const int LargestIdentity = 4096;

    private static void FindVariables(Search found)
    {
        VariableStore? mine = StoreOf(found.Given.Own);
        VariableStore? theirs = StoreOf(found.Given.Newer);
        foreach (VariableStore store in found.Given.Own.VariableStores.Where(store => store != mine))
        {
            if (store.Records.Count > 0)
            {
                found.Stale.Add(
                    new NotProposed(
                        store.Role == StoreRole.SpareCopy ? "old copy of the variable store" : "second variable store",
                        store.Space.IsFile ? store.Range : default,
                        $"{store.Records.Count} records; no source of identity"
                    )
                );
            }
        }
        if (mine is null)
        {
            return;
        }
        foreach (VariableRecord record in mine.Records)
        {
            if (record.IsLive)
            {
                AddVariable(found, mine, theirs, record);
            }
            else
            {
                found.Stale.Add(
                    new NotProposed(
                        Named(record),
                        record.Range,
                        record.Reachable
                            ? $"deleted or replaced record ({record.StateByte:X2}h), holds {IdentityShapes.Of(Data(mine, record)).Text}"
                            : "out of reach behind a damaged record"
                    )
                );
            }
        }
    }

    /// <summary>The store that the firmware uses: in the file, at the head of a variable volume.</summary>
    internal static VariableStore? StoreOf(ImageTree tree) =>
        tree.VariableStores.FirstOrDefault(store => store.Role == StoreRole.Main && store.Space.IsFile);

    internal static ReadOnlySpan<byte> Data(VariableStore store, VariableRecord record) =>
        store.Space.Bytes.Slice(record.DataRange.Start, record.DataRange.Length);

    internal static string Named(VariableRecord record) => $"variable {IdentityShapes.Shown(record.Name)}";

    private static void AddVariable(Search found, VariableStore mine, VariableStore? theirs, VariableRecord record)
    {
        ReadOnlySpan<byte> data = Data(mine, record);
        VariableRecord? same = theirs?.Live.FirstOrDefault(one =>
            (one.Vendor, one.Name) == (record.Vendor, record.Name)
        );
        ReadOnlySpan<byte> theirData = same is null ? [] : Data(theirs!, same);
        string? forbidden =
            VariableNames.NeverMoves(record.Name, record.Vendor)
            ?? (
                record.IsAuthenticated ? "protected by a signature or a count: bound to the keys of its platform" : null
            );
        if (forbidden is not null)
        {
            found.NotProposed.Add(new NotProposed(Named(record), record.Range, forbidden));
            return;
        }
        if (same is not null && same.Attributes == record.Attributes && theirData.SequenceEqual(data))
        {
            found.NotProposed.Add(new NotProposed(Named(record), record.Range, "the same in the newer image"));
            return;
        }
        (double confidence, string reason) = Weigh(found, record, data);
        if (confidence < IdentityAnswer.ProposeFraction)
        {
            found.NotProposed.Add(new NotProposed(Named(record), record.Range, reason));
            return;
        }
        ShapedValue shape = IdentityShapes.Of(data);
        ShapedValue instead = IdentityShapes.Of(theirData);
        if (same is not null && IsMark(shape.Shape) && instead.Shape == shape.Shape && instead.Text != shape.Text)
        {
            found.Foreign.Add((Named(record), shape.Text, instead.Text));
        }
        bool always = VariableNames.IsOwnership(record.Name);
        found.Proposals.Add(
            new IdentityProposal(
                found.Id("variable-" + Plain(record.Name)),
                ProposalKind.Variable,
                Named(record),
                record.Range,
                null,
                shape.Shape,
                // What locks or owns a machine is carried as it is, and not shown.
                always ? $"{data.Length} bytes" : shape.Text,
                reason,
                confidence
            )
            {
                Variable = record,
                Always = always,
                Instead = same is null ? null : instead.Text,
                Obstacle = Obstacle(found, mine, theirs, record),
            }
        );
    }

    private static (double ConfidenceFraction, string Reason) Weigh(
        Search found,
        VariableRecord record,
        ReadOnlySpan<byte> data
    )
    {
        if (VariableNames.IsOwnership(record.Name))
        {
            return (
                RegionFraction,
                "its name speaks of a password, lock or owner: stays with the board, neither read nor removed"
            );
        }
        if (HoldsGiven(found.Given.Known, data) is { } given)
        {
            return (GivenFraction, $"holds {given}");
        }
        if (VariableNames.IsErrorRecord(record.Name))
        {
            return (0.1, "an error or log record of the old firmware");
        }
        if (data.Length is 0 or > LargestIdentity)
        {
            return (0.1, $"{data.Length} bytes: no name or number of a machine");
        }
        if (SameInOthers(found, record, data))
        {
            return (0.2, "the same in another board of the model: no identity");
        }
        IdentityShape shape = IdentityShapes.Of(data).Shape;
        string? word = VariableNames.IdentityWord(record.Name);
        if (word is not null && !VariableNames.IsSetting(record.Name))
        {
            bool fits = IsMark(shape) || shape is IdentityShape.Text or IdentityShape.Dense;
            return fits
                ? (0.92, $"its name says {word.ToLowerInvariant()}, and its value looks like {Word(shape)}")
                : (0.82, $"its name says {word.ToLowerInvariant()}");
        }
        if (VariableNames.IsSetting(record.Name))
        {
            return (0.1, "settings: their layout may have changed with the version");
        }
        return shape switch
        {
            IdentityShape.Serial or IdentityShape.Uuid => (
                0.7,
                $"its value looks like {Word(shape)}; the name says nothing"
            ),
            IdentityShape.NetworkAddress => IsSure(found, data)
                ? (0.85, "its value is the board's network address")
                : (0.6, $"its value looks like {Word(shape)}; the name says nothing"),
            _ => (0.3, "neither its name nor its value speaks of identity"),
        };
    }

    private static bool SameInOthers(Search found, VariableRecord record, ReadOnlySpan<byte> data)
    {
        foreach (ImageTree other in found.Given.Others)
        {
            if (
                StoreOf(other) is { } store
                && store.Live.FirstOrDefault(one => (one.Vendor, one.Name) == (record.Vendor, record.Name))
                    is { } theirs
                && Data(store, theirs).SequenceEqual(data)
            )
            {
                return true;
            }
        }
        return false;
    }

    private static string? Obstacle(Search found, VariableStore mine, VariableStore? theirs, VariableRecord record)
    {
        if (theirs is null)
        {
            return "the newer image has no variable store of its own";
        }
        if (!found.ReadsAgree(record.Range))
        {
            return "the reads of the board differ there";
        }
        if (NameFault(mine, record) is { } fault)
        {
            return fault;
        }
        int twins = mine.Records.Count(one =>
            one.Reachable && one.State is VariableState.Added && (one.Vendor, one.Name) == (record.Vendor, record.Name)
        );
        return twins > 1 ? "the board's store has it twice, both valid" : null;
    }

    /// <summary>Why a name cannot be carried; null where it can.</summary>
    internal static string? NameFault(VariableStore store, VariableRecord record)
    {
        const int LongestName = 1024;
        ReadOnlySpan<byte> name = store.Space.Bytes.Slice(record.NameRange.Start, record.NameRange.Length);
        if (name.Length > LongestName)
        {
            return $"its name has {name.Length} bytes, more than {LongestName}, which is our limit";
        }
        if (name.Length < 4 || name.Length % 2 != 0 || name.Length != 2 * (record.Name.Length + 1))
        {
            return "its name does not end where it says";
        }
        // Half a pair of UTF-16 is read as a replacement sign: written again it would be another name.
        if (!name.SequenceEqual(Encoding.Unicode.GetBytes(record.Name + '\0')))
        {
            return "its name is no text";
        }
        return record.Name.Any(char.IsControl) ? "its name holds control signs" : null;
    }

    private static bool IsSure(Search found, ReadOnlySpan<byte> data)
    {
        ReadOnlySpan<byte> value =
            data.Length == 6 ? data : IdentityShapes.AddressOf(IdentityShapes.Of(data).Text) ?? [];
        foreach (byte[] sure in found.SureAddresses)
        {
            if (value.SequenceEqual(sure))
            {
                return true;
            }
        }
        return false;
    }

    private static bool IsMark(IdentityShape shape) =>
        shape is IdentityShape.Serial or IdentityShape.Uuid or IdentityShape.NetworkAddress;

    private static string Word(IdentityShape shape) =>
        shape switch
        {
            IdentityShape.Serial => "a serial number",
            IdentityShape.Uuid => "a UUID",
            IdentityShape.NetworkAddress => "a network address",
            IdentityShape.Dense => "dense data, as calibration is",
            IdentityShape.Text => "text",
            _ => "nothing known",
        };

    // Fit for a command line whatever the name holds.
    private static string Plain(string name)
    {
        const int Most = 32;
        string plain = string.Concat(name.Where(c => char.IsAsciiLetterOrDigit(c) || c is '-' or '_').Take(Most));
        return plain.Length == 0 ? "unnamed" : plain;
    }
}
