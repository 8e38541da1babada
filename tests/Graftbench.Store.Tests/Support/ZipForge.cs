using System.IO.Compression;
using System.Text;
using Graftbench.Store.Transfer;

namespace Graftbench.Store.Tests.Support;

/// <summary>Takes an export apart and puts it together again with something changed and the checksums right.</summary>
internal sealed class ZipForge
{
    public ZipForge(byte[] zip)
    {
        using ZipArchive archive = new(new MemoryStream(zip), ZipArchiveMode.Read);
        foreach (ZipArchiveEntry entry in archive.Entries)
        {
            using MemoryStream content = new();
            using Stream stream = entry.Open();
            stream.CopyTo(content);
            Entries.Add((entry.FullName, content.ToArray()));
        }
    }

    public List<(string Name, byte[] Content)> Entries { get; } = [];

    public byte[] this[string name]
    {
        get => Entries.Find(entry => entry.Name == name).Content;
        set => Entries[Entries.FindIndex(entry => entry.Name == name)] = (name, value);
    }

    public void Replace(string name, string old, string @new) =>
        this[name] = Encoding.UTF8.GetBytes(
            Encoding.UTF8.GetString(this[name]).Replace(old, @new, StringComparison.Ordinal)
        );

    public byte[] Zip()
    {
        using MemoryStream stream = new();
        PlainZipWriter writer = new(stream, "memory");
        foreach ((string name, byte[] content) in Entries)
        {
            writer.Add(name, target => target.Write(content));
        }
        writer.Finish();
        return stream.ToArray();
    }

    /// <summary>The same files as any other zip program packs them.</summary>
    public byte[] Packed()
    {
        using MemoryStream stream = new();
        using (ZipArchive archive = new(stream, ZipArchiveMode.Create, leaveOpen: true))
        {
            foreach ((string name, byte[] content) in Entries)
            {
                using Stream target = archive.CreateEntry(name).Open();
                target.Write(content);
            }
        }
        return stream.ToArray();
    }
}
