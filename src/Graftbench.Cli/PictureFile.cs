using Graftbench.Vision.Pictures;

namespace Graftbench.Cli;

/// <summary>Gets the bytes of a picture from disk.</summary>
internal static class PictureFile
{
    /// <summary>The bytes; null where they cannot be had, and then what is wrong is added.</summary>
    public static byte[]? Bytes(string path, List<string> wrong)
    {
        if (string.IsNullOrWhiteSpace(path))
        {
            wrong.Add("The name of the picture is empty.");
            return null;
        }
        if (Directory.Exists(path))
        {
            wrong.Add($"{path}: this is a folder; name a picture in it.");
            return null;
        }
        try
        {
            using FileStream stream = new(path, FileMode.Open, FileAccess.Read, FileShare.Read);
            // One byte more than is allowed is enough for the reader to say so; pipes have no length to ask for.
            byte[] bytes = new byte[
                Math.Min(stream.CanSeek ? stream.Length : PictureLimits.MaxBytes, PictureLimits.MaxBytes) + 1
            ];
            int count = stream.ReadAtLeast(bytes, bytes.Length, throwOnEndOfStream: false);
            return bytes[..count];
        }
        catch (Exception error)
            when (error is IOException or UnauthorizedAccessException or NotSupportedException or ArgumentException)
        {
            wrong.Add(JobInput.Unreachable(path, error));
            return null;
        }
    }
}
