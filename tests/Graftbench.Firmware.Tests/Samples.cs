using System.Security.Cryptography;

namespace Graftbench.Firmware.Tests;

/// <summary>One free image and what an independent reader counted in it.</summary>
/// <param name="Package">Debian package.</param>
/// <param name="Version">Its version.</param>
/// <param name="Path">Path of the file in it.</param>
/// <param name="Bytes">Size of the file.</param>
/// <param name="Sha">First 16 digits of its SHA-256.</param>
public sealed record Sample(string Package, string Version, string Path, int Bytes, string Sha)
{
    public override string ToString() => $"{Package} {Version} {System.IO.Path.GetFileName(Path)}";
}

/// <summary>The free images, as scripts/firmware-samples unpacks them.</summary>
public static class Samples
{
    private static readonly Lazy<string> Folder = new(Find);
    private static readonly Lazy<string[]> Packages = new(() =>
        File.ReadAllLines(Path.Combine(Folder.Value, "complete"))
    );

    /// <summary>Whether this machine's Debian has the version of the package that the sample comes from.</summary>
    public static bool IsHad(Sample sample) =>
        Packages.Value.Contains($"{sample.Package}_{sample.Version.Replace(":", "%3a", StringComparison.Ordinal)}_all");

    /// <summary>The bytes of a sample.</summary>
    public static byte[] Read(Sample sample)
    {
        byte[] bytes = File.ReadAllBytes(Path.Combine(Folder.Value, sample.Path));
        Assert.Equal(sample.Bytes, bytes.Length);
        Assert.Equal(sample.Sha, Convert.ToHexStringLower(SHA256.HashData(bytes))[..16]);
        return bytes;
    }

    /// <summary>Where a file of the samples is.</summary>
    public static string PathOf(string path) => Path.Combine(Folder.Value, path);

    /// <summary>All files of a folder of the samples, by their path.</summary>
    public static IEnumerable<string> Files(string folder) =>
        Directory.EnumerateFiles(Path.Combine(Folder.Value, folder)).Order(StringComparer.Ordinal);

    private static string Find()
    {
        if (Environment.GetEnvironmentVariable("GRAFTBENCH_FIRMWARE") is { Length: > 0 } given)
        {
            return given;
        }
        for (DirectoryInfo? folder = new(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
        {
            if (File.Exists(Path.Combine(folder.FullName, "Graftbench.slnx")))
            {
                string samples = Path.Combine(folder.FullName, "obj", "firmware-samples");
                return File.Exists(Path.Combine(samples, "complete"))
                    ? samples
                    : throw new InvalidOperationException(
                        "The free firmware images are not there. Run scripts/firmware-samples, or ./test, which does."
                    );
            }
        }
        throw new InvalidOperationException("The tests must run from inside a checkout.");
    }
}
