using System.IO.Compression;
using System.Security.Cryptography;
using System.Text.Json;

namespace Graftbench.Store.Backups;

/// <summary>
/// The file of a backup: a zip (with 64-bit lengths where needed) of two files that are not packed, the store and behind it
/// what the backup says about itself. Nothing in it can unfold to more than it is, and what was cut off has no manifest.
/// </summary>
internal static class BackupFile
{
    private const string StoreEntry = "graftbench.db";
    private const string ManifestEntry = "manifest.json";
    private const int MostManifestBytes = 16 * 1024 * 1024;
    private const int PieceBytes = 1024 * 1024;

    /// <summary>Writes a backup.</summary>
    /// <param name="target">Where to.</param>
    /// <param name="store">The file of the store.</param>
    /// <param name="manifestOf">Makes the manifest, given length and SHA-256 of the store.</param>
    /// <param name="stop">Stops it.</param>
    public static BackupManifest Write(
        Stream target,
        string store,
        Func<long, string, BackupManifest> manifestOf,
        CancellationToken stop
    )
    {
        using ZipArchive zip = new(target, ZipArchiveMode.Create, leaveOpen: true);
        long length;
        string hash;
        using (FileStream content = File.OpenRead(store))
        using (Stream entry = zip.CreateEntry(StoreEntry, CompressionLevel.NoCompression).Open())
        {
            (length, hash) = Copy(content, entry, long.MaxValue, stop);
        }
        BackupManifest manifest = manifestOf(length, hash);
        using (Stream entry = zip.CreateEntry(ManifestEntry, CompressionLevel.NoCompression).Open())
        {
            JsonSerializer.Serialize(entry, manifest, BackupManifest.Json);
        }
        return manifest;
    }

    /// <summary>Reads only what a backup says about itself.</summary>
    /// <exception cref="StoreException">The file is no whole backup of a format that this program knows.</exception>
    public static BackupManifest ReadManifest(string path)
    {
        using FileStream file = Open(path);
        return Guarded(path, () => ManifestOf(Entries(file, path), path));
    }

    /// <summary>Takes the store out of a backup, checked against what the backup says.</summary>
    /// <param name="path">The backup.</param>
    /// <param name="store">File to write the store to.</param>
    /// <param name="stop">Stops it.</param>
    /// <exception cref="StoreException">The file is no whole, unaltered backup of a format that this program knows.</exception>
    public static BackupManifest Extract(string path, string store, CancellationToken stop)
    {
        using FileStream file = Open(path);
        return Guarded(
            path,
            () =>
            {
                (ZipArchiveEntry content, ZipArchiveEntry _) entries = Entries(file, path);
                BackupManifest manifest = ManifestOf(entries, path);
                using Stream from = entries.content.Open();
                using FileStream to = new(store, FileMode.CreateNew, FileAccess.Write, FileShare.None, PieceBytes);
                (long length, string hash) = Copy(from, to, manifest.LengthBytes, stop);
                return length == manifest.LengthBytes && string.Equals(hash, manifest.Sha256, StringComparison.Ordinal)
                    ? manifest
                    : throw Bad(
                        path,
                        "The store in the backup is not the one that was backed up: its length or SHA-256 differs"
                    );
            }
        );
    }

    private static FileStream Open(string path)
    {
        try
        {
            return new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.Read, PieceBytes);
        }
        catch (Exception problem) when (problem is IOException or UnauthorizedAccessException)
        {
            throw new StoreException(
                $"The backup cannot be read ({problem.Message.TrimEnd('.')})",
                path,
                "Check the path and the rights to the file. Nothing was restored.",
                problem
            );
        }
    }

    private static BackupManifest Guarded(string path, Func<BackupManifest> work)
    {
        try
        {
            return work();
        }
        catch (InvalidDataException problem)
        {
            throw Bad(
                path,
                $"The file is no zip, or it is cut off or altered ({problem.Message.TrimEnd('.')})",
                problem
            );
        }
        catch (JsonException problem)
        {
            throw Bad(
                path,
                $"What the backup says about itself cannot be read ({problem.Message.TrimEnd('.')})",
                problem
            );
        }
        catch (EndOfStreamException problem)
        {
            throw Bad(path, "The file is cut off", problem);
        }
    }

    private static (ZipArchiveEntry Store, ZipArchiveEntry Manifest) Entries(FileStream file, string path)
    {
        ZipArchive zip = new(file, ZipArchiveMode.Read, leaveOpen: true);
        ZipArchiveEntry? store = null;
        ZipArchiveEntry? manifest = null;
        foreach (ZipArchiveEntry entry in zip.Entries)
        {
            if (entry.FullName == StoreEntry && store is null)
            {
                store = entry;
            }
            else if (entry.FullName == ManifestEntry && manifest is null)
            {
                manifest = entry;
            }
            else
            {
                throw Bad(
                    path,
                    entry.FullName is StoreEntry or ManifestEntry
                        ? $"The zip holds \"{entry.FullName}\" twice"
                        : $"The zip holds a file that no backup has (\"{Shown(entry.FullName)}\")"
                );
            }
            if (entry.CompressedLength != entry.Length || entry.Length > file.Length)
            {
                throw Bad(path, $"\"{entry.FullName}\" in the zip is packed; a backup's files never are");
            }
        }
        return store is null || manifest is null
            ? throw Bad(
                path,
                $"The zip does not hold \"{(store is null ? StoreEntry : ManifestEntry)}\": it is no whole backup"
            )
            : (store, manifest);
    }

    private static BackupManifest ManifestOf((ZipArchiveEntry Store, ZipArchiveEntry Manifest) entries, string path)
    {
        if (entries.Manifest.Length > MostManifestBytes)
        {
            throw Bad(path, $"What the backup says about itself has more than {MostManifestBytes} bytes");
        }
        byte[] bytes = new byte[entries.Manifest.Length];
        using (Stream content = entries.Manifest.Open())
        {
            content.ReadExactly(bytes);
        }
        using (JsonDocument any = JsonDocument.Parse(bytes))
        {
            string? format =
                any.RootElement.ValueKind == JsonValueKind.Object
                && any.RootElement.TryGetProperty("format", out JsonElement named)
                && named.ValueKind == JsonValueKind.String
                    ? named.GetString()
                    : null;
            if (format != BackupManifest.FormatName)
            {
                throw format?.StartsWith(BackupManifest.FormatFamily, StringComparison.Ordinal) == true
                    ? Newer(path, $"format {Shown(format)}")
                    : Bad(path, "The zip is no backup of a Graftbench store");
            }
        }
        BackupManifest manifest =
            JsonSerializer.Deserialize<BackupManifest>(bytes, BackupManifest.Json)
            ?? throw new JsonException("it is empty");
        if (manifest.StoreFormat > StoreSchema.Migrations[^1].Version)
        {
            throw Newer(path, $"a store of format {manifest.StoreFormat}");
        }
        return manifest.LengthBytes == entries.Store.Length && manifest.LengthBytes > 0
            ? manifest
            : throw Bad(
                path,
                $"The store in the backup has {entries.Store.Length} bytes, {manifest.LengthBytes} were backed up"
            );
    }

    // Stops behind the promised length, whatever the zip would still unfold.
    private static (long Length, string Sha256) Copy(Stream from, Stream to, long most, CancellationToken stop)
    {
        using IncrementalHash hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        byte[] piece = new byte[PieceBytes];
        long length = 0;
        for (int read; length <= most && (read = from.Read(piece)) > 0; length += read)
        {
            stop.ThrowIfCancellationRequested();
            hash.AppendData(piece, 0, read);
            to.Write(piece, 0, read);
        }
        return (length, Convert.ToHexStringLower(hash.GetHashAndReset()));
    }

    private static string Shown(string name) =>
        new([.. name.Take(80).Select(letter => char.IsControl(letter) ? '?' : letter)]);

    private static StoreException Newer(string path, string what) =>
        new(
            $"The backup has {what}, made by a newer Graftbench",
            path,
            "Restore it with that program. Nothing was restored."
        );

    internal static StoreException Bad(string path, string what, Exception? cause = null) =>
        new(
            what,
            path,
            "Nothing was restored. Fetch the backup anew from where it is kept, or take another one.",
            cause
        );
}
