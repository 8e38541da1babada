using System.Security.Cryptography;

namespace Graftbench.Cli;

/// <summary>Files that a job document names by a path relative to its own folder.</summary>
internal static class BesideFile
{
    /// <summary>The bytes of a file beside the job; null where it cannot be had, which is added.</summary>
    /// <param name="jobPath">Path of the job document; <c>-</c> for standard input, which stands in the present folder.</param>
    /// <param name="file">The file as the job names it.</param>
    /// <param name="sha256">Its SHA-256 as the job says; null where it does not.</param>
    /// <param name="mostBytes">Most bytes that are read.</param>
    /// <param name="wrong">What is wrong.</param>
    public static byte[]? Read(string jobPath, string file, string? sha256, long mostBytes, List<string> wrong)
    {
        string folder = jobPath == "-" ? "." : Path.GetDirectoryName(Path.GetFullPath(jobPath)) ?? ".";
        string path = Path.Combine(folder, file);
        try
        {
            FileInfo there = new(path);
            if (there.Exists && there.Length > mostBytes)
            {
                wrong.Add(
                    FormattableString.Invariant(
                        $"{path}: {there.Length} bytes are more than the {mostBytes} that are read (our limit)."
                    )
                );
                return null;
            }
            byte[] bytes = File.ReadAllBytes(path);
            string found = Convert.ToHexStringLower(SHA256.HashData(bytes));
            if (sha256 is not null && found != sha256)
            {
                wrong.Add($"{path}: it is not the file that the job means: SHA-256 {found}, the job says {sha256}.");
                return null;
            }
            return bytes;
        }
        catch (Exception error)
            when (error is IOException or UnauthorizedAccessException or NotSupportedException or ArgumentException)
        {
            wrong.Add(JobInput.Unreachable(path, error));
            return null;
        }
    }
}
