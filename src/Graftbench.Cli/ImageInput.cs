using Graftbench.Firmware.Reading;

namespace Graftbench.Cli;

/// <summary>Gets a flash image from disk or standard input.</summary>
internal static class ImageInput
{
    private const int MiB = 1024 * 1024;

    /// <summary>The bytes of an image.</summary>
    /// <param name="path">Path of the image; <c>-</c> for standard input.</param>
    /// <exception cref="BadInputException">It cannot be read, or it is longer than any image that is read.</exception>
    public static byte[] Bytes(string path)
    {
        if (string.IsNullOrWhiteSpace(path))
        {
            throw new BadInputException("The name of the image is empty.");
        }
        if (Directory.Exists(path))
        {
            throw new BadInputException($"{path}: this is a folder; name the image in it.");
        }
        try
        {
            using Stream stream =
                path == "-"
                    ? Console.OpenStandardInput()
                    : new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.Read);
            if (stream.CanSeek && stream.Length > ImageLimits.MaxImageBytes)
            {
                throw TooLong(path, FormattableString.Invariant($"{stream.Length} bytes"));
            }
            using MemoryStream held = new(stream.CanSeek ? (int)stream.Length : 0);
            byte[] part = new byte[MiB];
            int count;
            while ((count = stream.Read(part)) > 0)
            {
                if (held.Length + count > ImageLimits.MaxImageBytes)
                {
                    throw TooLong(path, FormattableString.Invariant($"more than {ImageLimits.MaxImageBytes} bytes"));
                }
                held.Write(part.AsSpan(0, count));
            }
            return held.Length == held.Capacity ? held.GetBuffer() : held.ToArray();
        }
        catch (Exception error)
            when (error is IOException or UnauthorizedAccessException or NotSupportedException or ArgumentException)
        {
            throw new BadInputException(JobInput.Unreachable(path, error));
        }
    }

    private static BadInputException TooLong(string path, string size) =>
        new(
            $"{path}: {size} are more than an image may have ({ImageLimits.MaxImageBytes / MiB} MiB, this program's own limit). Boot memories hold at most 64 MiB: is this the right file?"
        );
}
