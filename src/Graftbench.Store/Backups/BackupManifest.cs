using System.Text.Json;
using System.Text.Json.Serialization;

namespace Graftbench.Store.Backups;

/// <summary>What a backup says about itself.</summary>
/// <param name="Format">Name of the format, <see cref="BackupManifest.FormatName"/>.</param>
/// <param name="Program">Version of the program that made it.</param>
/// <param name="MadeAt">When it was made, UTC.</param>
/// <param name="Source">What the store was called.</param>
/// <param name="StoreFormat">Format of the store in it.</param>
/// <param name="LengthBytes">Length of the store in it [bytes].</param>
/// <param name="Sha256">SHA-256 of the store in it.</param>
/// <param name="Rows">Rows of each table.</param>
/// <param name="Records">Records with their heads.</param>
/// <param name="FindingsThatCount">Number of findings that stood against the store when it was backed up; 0 for a whole one.</param>
public sealed record BackupManifest(
    [property: JsonRequired] string Format,
    [property: JsonRequired] string Program,
    [property: JsonRequired] string MadeAt,
    [property: JsonRequired] string Source,
    [property: JsonRequired] int StoreFormat,
    [property: JsonRequired] long LengthBytes,
    [property: JsonRequired] string Sha256,
    [property: JsonRequired] IReadOnlyDictionary<string, long> Rows,
    [property: JsonRequired] IReadOnlyList<RecordHead> Records,
    [property: JsonRequired] int FindingsThatCount
)
{
    /// <summary>Name of the format that this program writes.</summary>
    public const string FormatName = "graftbench-backup-1";

    /// <summary>What every version of the format begins with.</summary>
    internal const string FormatFamily = "graftbench-backup-";

    internal static JsonSerializerOptions Json { get; } =
        new(JsonSerializerDefaults.Web)
        {
            WriteIndented = true,
            UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
            AllowDuplicateProperties = false,
            RespectNullableAnnotations = true,
        };
}
