using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Microsoft.Extensions.Logging;

namespace Graftbench.Web.Network;

/// <summary>What happened to people and devices, as lines in the shop's record: chained like all evidence, without any secret.</summary>
public sealed partial class AuditTrail(BenchStore store, ILogger<AuditTrail> log)
{
    /// <summary>Kinds of lines.</summary>
    internal static readonly HashSet<string> Kinds = new(StringComparer.Ordinal)
    {
        "network-started",
        "device-paired",
        "device-revoked",
        "person-added",
        "person-removed",
        "role-changed",
        "passphrase-changed",
        "pairing-locked",
        "sign-in-locked",
    };

    /// <summary>Adds a line.</summary>
    /// <param name="who">Who did it.</param>
    /// <param name="kind">What it is.</param>
    /// <param name="words">The line in words.</param>
    public void Add(string who, string kind, string words)
    {
        if (!Kinds.Contains(kind))
        {
            throw new ArgumentException($"No such kind of line: {kind}.", nameof(kind));
        }
        try
        {
            store.Append(
                BenchStore.ShopRecord,
                new EvidenceDraft(who, kind, JsonSerializer.Serialize(new AuditNote(words), JobFormat.Json))
            );
        }
        catch (Exception failure) when (failure is StoreException or IOException)
        {
            // A revoked device is out whether or not the disk is full; the console still says what was not written.
            LogNotWritten(log, failure, kind, words);
        }
    }

    /// <summary>The newest lines, newest first.</summary>
    /// <param name="most">Most lines.</param>
    public IReadOnlyList<(EvidenceLine Line, string Words)> Newest(int most) =>
        [
            .. store
                .Evidence(BenchStore.ShopRecord)
                .Where(line => Kinds.Contains(line.Kind))
                .Reverse()
                .Take(most)
                .Select(line => (line, Words(line))),
        ];

    private static string Words(EvidenceLine line)
    {
        try
        {
            return JsonSerializer.Deserialize<AuditNote>(line.PayloadJson, JobFormat.Json)?.Words ?? "";
        }
        catch (JsonException)
        {
            return "";
        }
    }

    [LoggerMessage(Level = LogLevel.Error, Message = "The shop's record could not take {Kind}: {Words}")]
    private static partial void LogNotWritten(ILogger log, Exception failure, string kind, string words);

    private sealed record AuditNote(string Words);
}
