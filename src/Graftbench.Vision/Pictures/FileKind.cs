using System.Text;

namespace Graftbench.Vision.Pictures;

/// <summary>What a file is by its first bytes, where it is nothing that can be read here, and what to do about it.</summary>
/// <remarks>Magic numbers as published with each format; those of camera raw files from memory.</remarks>
internal static class FileKind
{
    private const string AsJpeg = "Set the camera to JPEG, or open it and save a copy as JPEG or PNG.";

    /// <summary>Name and advice of a kind that is known and not read; null for everything else.</summary>
    public static (string Name, string Todo)? NotRead(ReadOnlySpan<byte> file)
    {
        if (file.Length >= 12 && file[4..8].SequenceEqual("ftyp"u8))
        {
            string brand = Encoding.ASCII.GetString(file[8..12]);
            return brand switch
            {
                "heic" or "heix" or "hevc" or "hevx" or "heim" or "heis" or "mif1" or "msf1" => (
                    "a HEIC picture, as phones store it",
                    "On the phone choose the camera setting for the most compatible format, or send the picture as JPEG."
                ),
                "avif" or "avis" => ("an AVIF picture", AsJpeg),
                "crx " => ("a camera raw file", AsJpeg),
                _ => ("a film", "Take a still picture, or save one frame of it as JPEG or PNG."),
            };
        }
        if (Starts(file, "FUJIFILMCCD-RAW"u8) || Starts(file, "IIU\0"u8) || Starts(file, "IIRO"u8))
        {
            return ("a camera raw file", AsJpeg);
        }
        if (
            Starts(file, [0x49, 0x49, 0x2A, 0])
            || Starts(file, [0x4D, 0x4D, 0, 0x2A])
            || Starts(file, [0x49, 0x49, 0x2B, 0])
        )
        {
            return ("a TIFF picture or a camera raw file", "Open it and save a copy as PNG, which keeps 16 bits.");
        }
        if (Starts(file, [0xFF, 0x0A]) || Starts(file, [0, 0, 0, 0x0C, 0x4A, 0x58, 0x4C, 0x20]))
        {
            return ("a JPEG XL picture", AsJpeg);
        }
        if (Starts(file, [0, 0, 0, 0x0C, 0x6A, 0x50]) || Starts(file, [0xFF, 0x4F, 0xFF, 0x51]))
        {
            return ("a JPEG 2000 picture", AsJpeg);
        }
        if (Starts(file, "%PDF"u8))
        {
            return ("a PDF document", "Save the picture in it as JPEG or PNG.");
        }
        if (Starts(file, "PK\u0003\u0004"u8))
        {
            return ("a zip archive or an office document", "Take the picture out of it.");
        }
        if (file.Length > 132 && file[128..132].SequenceEqual("DICM"u8))
        {
            return ("a DICOM file", "Export the picture as 16-bit PNG.");
        }
        return IsText(file) ? ("text, whatever its name says", "Choose the picture itself.") : null;
    }

    private static bool Starts(ReadOnlySpan<byte> file, ReadOnlySpan<byte> magic) => file.StartsWith(magic);

    private static bool IsText(ReadOnlySpan<byte> file)
    {
        ReadOnlySpan<byte> head = file[..Math.Min(file.Length, 512)];
        foreach (byte one in head)
        {
            if (one is < 0x20 and not ((byte)'\n' or (byte)'\r' or (byte)'\t' or 0x0C))
            {
                return false;
            }
        }
        // Cut within a letter of several bytes, a decoder would complain about the last one only.
        return head.Length > 0 && head.Count((byte)0x20) + head.Count((byte)'\n') > head.Length / 200;
    }
}
