namespace Graftbench.Web.Hosting;

/// <summary>Names and kinds of files that somebody sends.</summary>
internal static class FileNames
{
    /// <summary>Longest name that is kept.</summary>
    public const int MostCharacters = 120;

    /// <summary>The last part of a name without what a file system or a page could take amiss.</summary>
    /// <param name="name">The name as it was sent.</param>
    /// <param name="otherwise">What it is called where nothing is left.</param>
    public static string Plain(string name, string otherwise)
    {
        string last = name.Split('/', '\\')[^1];
        string plain = string.Concat(last.Select(c => char.IsControl(c) || ":*?\"<>|".Contains(c) ? '_' : c))
            .Trim('.', ' ');
        if (plain.Length == 0)
        {
            return otherwise;
        }
        // Never half of a pair of characters.
        int cut = Math.Min(plain.Length, MostCharacters);
        return plain[..(cut < plain.Length && char.IsHighSurrogate(plain[cut - 1]) ? cut - 1 : cut)];
    }
}

/// <summary>Kinds of content by the first bytes; what a browser claims is not asked.</summary>
internal static class MediaTypes
{
    /// <summary>The media type of some bytes.</summary>
    public static string Of(ReadOnlySpan<byte> bytes) =>
        bytes.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8, 0xFF]) ? "image/jpeg"
        : bytes.StartsWith((ReadOnlySpan<byte>)[0x89, (byte)'P', (byte)'N', (byte)'G']) ? "image/png"
        : bytes.StartsWith("GIF8"u8) ? "image/gif"
        : bytes.Length > 12 && bytes.StartsWith("RIFF"u8) && bytes[8..].StartsWith("WEBP"u8) ? "image/webp"
        : bytes.StartsWith("%PDF"u8) ? "application/pdf"
        : "application/octet-stream";
}
