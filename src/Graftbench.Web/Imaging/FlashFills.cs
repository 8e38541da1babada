using System.Globalization;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Showing;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Web.Imaging;

/// <summary>Which pattern and which words stand for what.</summary>
internal static class FlashFills
{
    /// <summary>Signs of the map of reads.</summary>
    public static IReadOnlyList<FlashSign> Reads { get; } =
    [
        new('=', FlashFill.Plain, "equal"),
        new('F', FlashFill.Blank, "equal, all FFh"),
        new('0', FlashFill.Squared, "equal, all 00h"),
        new('n', FlashFill.Speckled, "lone bits differ"),
        new('l', FlashFill.Upright, "one data line differs"),
        new('c', FlashFill.Crossed, "contact lost"),
        new('s', FlashFill.Falling, "moved by bits or bytes"),
        new('a', FlashFill.Rising, "content of another address"),
        new('d', FlashFill.Loud, "other content"),
        new('-', FlashFill.Level, "missing in a read"),
    ];

    /// <summary>Signs of the map of two images.</summary>
    public static IReadOnlyList<FlashSign> Pair { get; } =
    [
        new('=', FlashFill.Plain, "equal"),
        new('d', FlashFill.Loud, "different"),
        new('-', FlashFill.Level, "only in the first"),
    ];

    /// <summary>Signs of an image; the sign is only a name here.</summary>
    public static IReadOnlyList<FlashSign> Parts { get; } =
    [
        .. Enum.GetValues<PartClass>()
            .Select(part => new FlashSign((char)('A' + (int)part), Of(part), ImageParts.Words(part))),
    ];

    /// <summary>The pattern of a part.</summary>
    public static FlashFill Of(PartClass part) =>
        part switch
        {
            PartClass.Descriptor => FlashFill.Upright,
            PartClass.Machine => FlashFill.Falling,
            PartClass.Code => FlashFill.Plain,
            PartClass.Variables => FlashFill.Rising,
            PartClass.Table => FlashFill.Level,
            PartClass.Free => FlashFill.Blank,
            PartClass.PaddingData => FlashFill.Crossed,
            _ => FlashFill.Dotted,
        };

    /// <summary>The sign of a class of blocks.</summary>
    public static FlashSign Of(BlockClass block) =>
        Reads.First(sign =>
            sign.Sign
            == block switch
            {
                BlockClass.LoneBits => 'n',
                BlockClass.OneLine => 'l',
                BlockClass.ContactLost => 'c',
                BlockClass.Shifted => 's',
                BlockClass.OtherAddress => 'a',
                BlockClass.OtherContent => 'd',
                BlockClass.Missing => '-',
                _ => '=',
            }
        );

    /// <summary>An offset as a technician reads it.</summary>
    public static string Hex(long at) => at.ToString("X", CultureInfo.InvariantCulture) + "h";
}
