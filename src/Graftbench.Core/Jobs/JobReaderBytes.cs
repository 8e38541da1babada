using System.Buffers;
using System.Text;

namespace Graftbench.Core.Jobs;

/// <summary>What can be said about a document before it is read as JSON: is it text at all, and in which encoding.</summary>
internal static class JobReaderBytes
{
    private static readonly (byte[] Magic, int At, string Name)[] Known =
    [
        ([0x89, 0x50, 0x4E, 0x47], 0, "a PNG picture"),
        ([0xFF, 0xD8, 0xFF], 0, "a JPEG picture"),
        ("GIF8"u8.ToArray(), 0, "a GIF picture"),
        ("WEBP"u8.ToArray(), 8, "a WebP picture"),
        ("II*\0"u8.ToArray(), 0, "a TIFF picture"),
        ("MM\0*"u8.ToArray(), 0, "a TIFF picture"),
        ("PK\u0003\u0004"u8.ToArray(), 0, "a ZIP archive"),
        ([0x1F, 0x8B], 0, "a gzip archive"),
        ("7z\u00BC\u00AF"u8.ToArray(), 0, "a 7z archive"),
        ([0x37, 0x7A, 0xBC, 0xAF, 0x27, 0x1C], 0, "a 7z archive"),
        ([0x28, 0xB5, 0x2F, 0xFD], 0, "a Zstandard archive"),
        ("%PDF"u8.ToArray(), 0, "a PDF document"),
        ([0x7F, 0x45, 0x4C, 0x46], 0, "an ELF program"),
        ("MZ"u8.ToArray(), 0, "a Windows program"),
        ("SQLite format 3\0"u8.ToArray(), 0, "a SQLite database, such as a store"),
        ("ftyp"u8.ToArray(), 4, "a film or HEIC picture"),
    ];

    /// <summary>A problem that ends the reading: too large, empty, binary, another encoding; null where there is none.</summary>
    public static JobProblem? Refuse(ReadOnlySpan<byte> utf8)
    {
        if (utf8.Length > JobFormat.MaxBytes)
        {
            return TooLarge(utf8.Length);
        }
        if (utf8.IsEmpty || utf8.IndexOfAnyExcept(" \t\r\n"u8) < 0)
        {
            return Document(
                "The file is empty.",
                $"{utf8.Length} bytes",
                "Write a job into it, or name the right file."
            );
        }
        if (FindEncoding(utf8) is { } encoding)
        {
            return Document($"The text is in {encoding}.", null, "Save it as UTF-8.") with { Allowed = "UTF-8" };
        }
        foreach ((byte[] magic, int at, string name) in Known)
        {
            if (utf8.Length >= at + magic.Length && utf8[at..].StartsWith(magic) && !LooksLikeJson(utf8))
            {
                return Document(
                    $"This is {name}, not a job document.",
                    null,
                    "Name the job document; other files belong beside it."
                );
            }
        }
        int nul = utf8.IndexOf((byte)0);
        if (nul >= 0 && utf8[..Math.Min(utf8.Length, 4096)].IndexOf((byte)0) >= 0)
        {
            return Document(
                "This is a binary file, not a job document.",
                $"a zero byte at offset {nul}",
                "Name the job document; other files belong beside it."
            );
        }
        return null;
    }

    /// <summary>The problem of a document over the limit.</summary>
    public static JobProblem TooLarge(long bytes) =>
        Document(
            "The document is too large.",
            Size(bytes),
            "Keep pictures, logs and dumps as files beside the job and refer to them under evidence."
        ) with
        {
            Allowed = $"at most {Size(JobFormat.MaxBytes)}",
        };

    /// <summary>
    /// Logs each run of bytes that is not UTF-8 and gives a copy with question marks in their place, so that the rest can
    /// be read; gives the text itself where all of it is UTF-8.
    /// </summary>
    public static ReadOnlySpan<byte> BlankBrokenText(ReadOnlySpan<byte> utf8, JobReaderLog log)
    {
        if (System.Text.Unicode.Utf8.IsValid(utf8))
        {
            return utf8;
        }
        byte[] copy = utf8.ToArray();
        int at = 0;
        int lastEnd = -1;
        while (at < copy.Length)
        {
            int ascii = copy.AsSpan(at).IndexOfAnyInRange((byte)0x80, (byte)0xFF);
            if (ascii < 0)
            {
                break;
            }
            at += ascii;
            if (Rune.DecodeFromUtf8(copy.AsSpan(at), out _, out int used) == OperationStatus.Done)
            {
                at += used;
                continue;
            }
            used = Math.Max(1, used);
            if (at != lastEnd)
            {
                BrokenText(utf8, at, log);
            }
            copy.AsSpan(at, used).Fill((byte)'?');
            at += used;
            lastEnd = at;
        }
        return copy;
    }

    private static void BrokenText(ReadOnlySpan<byte> utf8, int at, JobReaderLog log)
    {
        if (!log.Wants(at))
        {
            log.CountOnly();
            return;
        }
        byte one = utf8[at];
        string latin = one >= 0xA0 ? $" In Latin-1 this byte is “{(char)one}”." : "";
        log.Add(
            at,
            new JobProblem(
                "",
                0,
                0,
                "The text is not UTF-8 here.",
                $"byte {one:X2}",
                "UTF-8",
                "RFC 8259",
                $"Save the file as UTF-8.{latin}"
            )
        );
    }

    private static bool LooksLikeJson(ReadOnlySpan<byte> utf8)
    {
        int first = utf8.IndexOfAnyExcept(" \t\r\n"u8);
        return first >= 0 && utf8[first] is (byte)'{' or (byte)'[' or (byte)'/';
    }

    private static string? FindEncoding(ReadOnlySpan<byte> utf8)
    {
        if (
            utf8.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xFE, 0, 0])
            || utf8.StartsWith((ReadOnlySpan<byte>)[0, 0, 0xFE, 0xFF])
        )
        {
            return "UTF-32";
        }
        if (utf8.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xFE]) || utf8.StartsWith((ReadOnlySpan<byte>)[0xFE, 0xFF]))
        {
            return "UTF-16";
        }
        // Without a mark: text in two-byte units has a zero byte beside each of its first ASCII characters.
        if (utf8.Length >= 4)
        {
            bool little = utf8[0] != 0 && utf8[1] == 0 && utf8[2] != 0 && utf8[3] == 0;
            bool big = utf8[0] == 0 && utf8[1] != 0 && utf8[2] == 0 && utf8[3] != 0;
            byte first = little ? utf8[0] : utf8[1];
            if (
                (little || big)
                && first is (byte)'{' or (byte)'[' or (byte)'/' or (byte)' ' or (byte)'\r' or (byte)'\n' or (byte)'\t'
            )
            {
                return "UTF-16";
            }
        }
        return null;
    }

    private static string Size(long bytes) =>
        bytes >= 1024 * 1024 ? $"{bytes / 1024.0 / 1024.0:0.#} MiB" : $"{bytes} bytes";

    private static JobProblem Document(string what, string? value, string todo) =>
        new("", 1, 1, what, value, null, "job format", todo);
}
