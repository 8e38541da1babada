namespace Graftbench.Firmware.Dumps;

/// <summary>One read of a chip, from its first byte to its last.</summary>
/// <param name="Name">What the person calls it, usually the file's name.</param>
/// <param name="Bytes">What was read.</param>
public sealed record DumpRead(string Name, ReadOnlyMemory<byte> Bytes);

/// <summary>What is known of the chip beside its content.</summary>
/// <param name="CapacityBytes">Capacity by its marking or data sheet [bytes]; null where nobody looked.</param>
/// <param name="Sfdp">The chip's own parameter table as it was read (JESD216); null where it was not.</param>
public sealed record ChipFacts(long? CapacityBytes = null, ReadOnlyMemory<byte>? Sfdp = null);
