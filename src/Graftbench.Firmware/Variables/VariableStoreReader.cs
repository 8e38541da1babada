using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Variables;

/// <summary>Reads a store of variables (layout of the EDK II sources).</summary>
internal static class VariableStoreReader
{
    private const byte Formatted = 0x5A;
    private const byte Healthy = 0xFE;

    /// <summary>The store at a place; null when the bytes are none.</summary>
    public static Segment? TryRead(ReadContext context, ByteSpace space, int start, int limit, StoreRole role)
    {
        ReadOnlySpan<byte> bytes = space.Bytes[start..limit];
        if (bytes.Length < VariableStore.HeaderBytes)
        {
            return null;
        }
        Guid signature = bytes.Guid(0);
        bool authenticated = signature == VariableStore.AuthenticatedSignature;
        if (!authenticated && signature != VariableStore.PlainSignature)
        {
            return null;
        }
        uint size = bytes.U32(0x10);
        bool marked = bytes[0x14] == Formatted && bytes[0x15] == Healthy;
        bool sized = size >= VariableStore.HeaderBytes && size <= (uint)bytes.Length;
        // In a file or a raw area the signature may be a constant of code; in its own volume it is the store, sound or not.
        if (role != StoreRole.Main && !(marked && sized))
        {
            return null;
        }
        Notes notes = new(context, space);
        if (!marked)
        {
            notes.Damage(
                "variables.state",
                start,
                "The store of variables is not marked as formatted and healthy: firmware does not start with such a store.",
                FormattableString.Invariant($"{bytes[0x14]:X2}h {bytes[0x15]:X2}h"),
                FormattableString.Invariant($"{Formatted:X2}h {Healthy:X2}h"),
                Sources.Variables
            );
        }
        if (!sized)
        {
            notes.Damage(
                "variables.size",
                start,
                "The size of the store of variables makes no sense.",
                FormattableString.Invariant($"{size:X}h"),
                FormattableString.Invariant($"{VariableStore.HeaderBytes:X}h to {bytes.Length:X}h"),
                Sources.Variables
            );
        }
        int length = sized ? (int)size : bytes.Length;
        return new StoreWalk(context, space, new ByteRange(start, length), authenticated, notes).Read(size, role);
    }
}
