using System.Security.Cryptography;
using System.Text;
using Graftbench.Core.Watching.Lines;
using Graftbench.Store;
using Graftbench.Watch;
using Graftbench.Web.Hosting;

namespace Graftbench.Web.Watching;

/// <summary>Formats that a person may confirm: the one kept with the bench for this source where it reads the lines, and those that were learned.</summary>
internal static class PreparedFormats
{
    /// <summary>Formats to choose from, the likeliest first.</summary>
    public static IReadOnlyList<ProbeFormat> Of(WatchPreparation preparation, StoredJob stored, BenchStore store)
    {
        List<ProbeFormat> formats = [];
        if (KeptFor(preparation, stored, store) is { } kept)
        {
            formats.Add(kept);
        }
        formats.AddRange(preparation.Formats.Select(learned => learned.Format));
        if (formats.Count == 0 && preparation.Format is { } confirmed)
        {
            formats.Add(confirmed);
        }
        return [.. formats.DistinctBy(KeyOf)];
    }

    /// <summary>The format that is kept with the bench for this source; null where there is none or it does not read what comes.</summary>
    public static ProbeFormat? KeptFor(WatchPreparation preparation, StoredJob stored, BenchStore store) =>
        KeptFormats.For(store, stored.Job.Bench.Name, preparation.Source, preparation.Listener?.Newest ?? []);

    /// <summary>Keeps a confirmed format with the bench.</summary>
    public static void Keep(WatchPreparation preparation, ProbeFormat format, StoredJob stored, BenchStore store) =>
        KeptFormats.Keep(store, stored.Job.Bench.Name, preparation.Source, format, Saving.Who(stored.Job));

    /// <summary>What a form calls a format.</summary>
    public static string KeyOf(ProbeFormat format) =>
        Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(KeptFormats.TextOf(format))))[..12];
}
