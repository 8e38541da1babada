using System.Text.Json;
using System.Text.Json.Nodes;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Forms;

namespace Graftbench.Web.JobScreen;

/// <summary>Two versions of a job that were made of the same revision, brought together.</summary>
/// <param name="Base">What both started from.</param>
/// <param name="Newest">What is in the store now.</param>
/// <param name="Savers">Who saved since then.</param>
/// <param name="Mine">What was typed and is not saved.</param>
/// <param name="Section">Part of the job that was edited.</param>
/// <param name="Taken">Decisions so far, by path: true for mine.</param>
/// <param name="Notice">What to do before it can be saved; null at first.</param>
public sealed record MergeView(
    StoredJob Base,
    StoredJob Newest,
    IReadOnlyList<string> Savers,
    JsonObject Mine,
    string Section,
    IReadOnlyDictionary<string, bool> Taken,
    string? Notice
)
{
    private readonly JsonObject _before = JobDraft.ToDocument(Base.Job);
    private readonly JsonObject _theirs = JobDraft.ToDocument(Newest.Job);

    /// <summary>Both together; what is not decided yet is theirs.</summary>
    public MergedJob Merged => JobMerge.Merge(_before, Mine, _theirs, path => Taken.GetValueOrDefault(path));

    /// <summary>What the others changed.</summary>
    public IReadOnlyList<FieldChange> TheirChanges => FieldChange.Between(_before, _theirs);

    /// <summary>What was typed here.</summary>
    public IReadOnlyList<FieldChange> MyChanges => FieldChange.Between(_before, Mine);

    /// <summary>A value for reading.</summary>
    public static string Words(JsonNode? value) =>
        value switch
        {
            null => "(nothing)",
            JsonValue single when single.GetValueKind() == JsonValueKind.String => single.GetValue<string>(),
            _ => value.ToJsonString(Readable),
        };

    private static JsonSerializerOptions Readable { get; } =
        new() { Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping, WriteIndented = true };
}
