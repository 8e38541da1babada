using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace Graftbench.Core.Jobs;

/// <summary>How a job document is spelled: one home for names, enums and numbers in JSON.</summary>
public static class JobFormat
{
    /// <summary>Value of the <c>format</c> field of every job document.</summary>
    public const string Name = "graftbench-job-1";

    /// <summary>Largest job document that is read [bytes]. Pictures, logs and dumps are files beside the job.</summary>
    public const int MaxBytes = 16 * 1024 * 1024;

    /// <summary>Deepest nesting that is read.</summary>
    public const int MaxDepth = 32;

    /// <summary>Whether no job may have this id: it names the shop's own record, or the page for a new job.</summary>
    public static bool IsReservedId(string id) => id is "new" or "shop";

    /// <summary>Options that write a job document, and bind one that <see cref="JobReader"/> has already checked.</summary>
    public static JsonSerializerOptions Json { get; } = Create();

    private static JsonSerializerOptions Create()
    {
        JsonSerializerOptions options = new(JsonSerializerDefaults.General)
        {
            PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
            DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
            UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
            ReadCommentHandling = JsonCommentHandling.Skip,
            AllowTrailingCommas = true,
            RespectNullableAnnotations = true,
            MaxDepth = MaxDepth,
            WriteIndented = true,
            NewLine = "\n",
            // The document is never pasted into a page unescaped; readable text wins.
            Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        };
        options.Converters.Add(new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower, allowIntegerValues: false));
        options.MakeReadOnly(populateMissingResolver: true);
        return options;
    }

    /// <summary>Writes a job as UTF-8 JSON that <see cref="JobReader"/> reads back to an equal job.</summary>
    public static byte[] Write(Job job) => JsonSerializer.SerializeToUtf8Bytes(job, Json);
}
