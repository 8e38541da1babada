using static Graftbench.Tests.Shared.Firmware.Bytes;

namespace Graftbench.Tests.Shared.Firmware;

/// <summary>Builds stores of variables and the volumes around them.</summary>
internal static class StoreBuilder
{
    public const string AuthenticatedSignature = "AAF32C78-947B-439A-A180-2E144EC37792";
    public const string PlainSignature = "DDCF3616-3275-4164-98B6-FE85707FFE7D";
    public const string WorkingBlockSignature = "9E58292B-7C68-497D-A0CE-6500FD9F1B95";
    public const string Vendor = "5B3D0C8E-11A4-4F0B-9C5E-2D6A7F3B1E90";

    public static byte[] Record(
        string name,
        byte[] data,
        bool authenticated,
        byte state = 0x3F,
        uint attributes = 7,
        string vendor = Vendor
    )
    {
        int headerBytes = authenticated ? 0x3C : 0x20;
        int sizes = authenticated ? 0x24 : 0x08;
        byte[] text = Wide(name + '\0');
        byte[] record = new byte[headerBytes + text.Length + data.Length];
        record[0] = 0xAA;
        record[1] = 0x55;
        record[2] = state;
        Put32(record, 4, attributes);
        Put32(record, sizes, (uint)text.Length);
        Put32(record, sizes + 4, (uint)data.Length);
        PutGuid(record, sizes + 8, vendor);
        text.CopyTo(record, headerBytes);
        data.CopyTo(record, headerBytes + text.Length);
        return record;
    }

    public static byte[] Store(bool authenticated, int size, params ReadOnlySpan<byte[]> records)
    {
        byte[] store = Filled(size, 0xFF);
        PutGuid(store, 0, authenticated ? AuthenticatedSignature : PlainSignature);
        Put32(store, 0x10, (uint)size);
        store[0x14] = 0x5A;
        store[0x15] = 0xFE;
        store.AsSpan(0x16, 6).Clear();
        int at = 0x1C;
        foreach (byte[] record in records)
        {
            record.CopyTo(store, at);
            at = (at + record.Length + 3) & ~3;
        }
        return store;
    }

    public static byte[] WorkingBlock(int length)
    {
        byte[] block = Filled(length, 0xFF);
        PutGuid(block, 0, WorkingBlockSignature);
        Put64(block, 0x18, (ulong)(length - 0x20));
        Put32(block, 0x10, Crc32(block.AsSpan(0, 0x20)));
        block[0x14] = 0xFE;
        return block;
    }

    /// <summary>128 KiB: store, event log at E000h, working block at F000h, spare half.</summary>
    public static byte[] Volume(bool authenticated, params ReadOnlySpan<byte[]> records)
    {
        const int Length = 0x20000;
        byte[] volume = Filled(Length, 0xFF);
        VolumeBuilder.Header(VolumeBuilder.VariableData, Length).CopyTo(volume, 0);
        Store(authenticated, 0xDFB8, records).CopyTo(volume, VolumeBuilder.HeaderBytes);
        WorkingBlock(0x1000).CopyTo(volume, 0xF000);
        return volume;
    }
}
