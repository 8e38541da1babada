using System.Text.Json;
using Graftbench.Core.Jobs;
using Json.Schema;

namespace Graftbench.Core.Tests.Jobs;

/// <summary>The job's schema, judged by a library that is not ours; built once, since an id is registered once a process.</summary>
internal static class PublishedSchema
{
    private static readonly JsonSchema Schema = JsonSchema.FromText(JobSchema.Write());

    private static readonly JsonDocumentOptions AsJobs = new()
    {
        AllowTrailingCommas = true,
        CommentHandling = JsonCommentHandling.Skip,
    };

    public static bool Accepts(byte[] json)
    {
        using JsonDocument document = JsonDocument.Parse(json, AsJobs);
        return Schema.Evaluate(document.RootElement).IsValid;
    }
}
