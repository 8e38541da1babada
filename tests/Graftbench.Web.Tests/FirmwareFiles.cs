using Graftbench.Firmware.Tests.Identity;
using Graftbench.Tests.Shared.Firmware;
using static Graftbench.Tests.Shared.Firmware.Bytes;

namespace Graftbench.Web.Tests;

/// <summary>Images of an invented machine for the screen of the firmware: 1 MiB with descriptor, network block, engine, variables.</summary>
internal static class FirmwareFiles
{
    /// <summary>Signature of the processor that only the newer image knows.</summary>
    public const string Signature = "000906EA";

    public static string Serial => MachineValues.Of(7).Serial;

    /// <summary>The board's own chip.</summary>
    public static byte[] Own()
    {
        MachineValues mine = MachineValues.Of(7);
        return new MadeMachine(1)
        {
            SystemSerial = mine.Serial,
            BoardSerial = mine.BoardSerial,
            SystemUuid = mine.Uuid,
            Address = mine.Address,
            PlatformData = Join(Ascii($"SN={mine.Serial}"), new byte[16]),
        }
            .AddDecoys(used: true)
            .Put(0x4000, UpdateBuilder.Update(0x000506E3, 0x02))
            .Add("SystemSerialNumber", Ascii(mine.Serial))
            .Chip();
    }

    /// <summary>The newer image as its maker gives it.</summary>
    public static byte[] Newer() =>
        new MadeMachine(2).AddDecoys(used: false).Put(0x4000, UpdateBuilder.Update(0x000906EA, 0x02)).Chip();

    /// <summary>The board's chip, read with some noise.</summary>
    public static byte[] Noisy()
    {
        byte[] read = Own();
        read[0x90123] ^= 0x10;
        read[0xA4567] ^= 0x04;
        read[0xB89AB] ^= 0x80;
        return read;
    }

    /// <summary>An image whose variable has a name that wants to break a page.</summary>
    public static byte[] Hostile() =>
        new MadeMachine(1)
            .Add("<script>alert(1)</script>\u0007\u202EX", Ascii("\"'><img src=x onerror=alert(2)>"))
            .Chip();
}
