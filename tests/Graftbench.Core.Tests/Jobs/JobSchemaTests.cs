using System.Text.Json;
using Graftbench.Core.Jobs;
using Json.Schema;

namespace Graftbench.Core.Tests.Jobs;

public sealed class JobSchemaTests
{
    [Fact]
    public void Published_schema_is_the_one_that_the_types_make()
    {
        string file = Path.Combine(Corpus.Root, "docs/job.schema.json");
        string published = File.Exists(file) ? File.ReadAllText(file).ReplaceLineEndings("\n") : "";
        Assert.True(
            published == JobSchema.Write(),
            "docs/job.schema.json is not up to date. Make it anew: graftbench schema -o docs/job.schema.json"
        );
    }

    [Fact]
    public void Schema_keeps_to_its_dialect()
    {
        using JsonDocument document = JsonDocument.Parse(JobSchema.Write());
        EvaluationResults results = MetaSchemas.Draft202012.Evaluate(document.RootElement);
        Assert.True(results.IsValid);
    }

    [Theory, MemberData(nameof(Corpus.GoodFiles), MemberType = typeof(Corpus))]
    public void Good_files_keep_to_the_schema(string name) =>
        Assert.True(PublishedSchema.Accepts(Corpus.ReadGood(name)), name);

    [Theory, MemberData(nameof(FieldLevelFiles))]
    public void Files_with_a_wrong_field_do_not(string name) =>
        Assert.False(PublishedSchema.Accepts(Corpus.ReadBroken(name)), name);

    public static TheoryData<string> FieldLevelFiles() =>
        new(
            Directory
                .GetFiles(Corpus.Broken, "*.json")
                .Select(file => Path.GetFileName(file))
                .Where(name =>
                    name.Split('-')[0]
                        is "unit"
                            or "field"
                            or "kind"
                            or "name"
                            or "text"
                            or "list"
                            or "date"
                            or "mixed"
                            or "root"
                    || name is "number-negative.json" or "number-as-text.json"
                )
                // What a schema cannot see: NaN is no JSON, the last of two equal names wins, 16.0 is a whole number.
                .Where(name =>
                    name is not ("field-unknown.json" or "field-twice.json" or "mixed-field-and-across.json")
                )
                .Order(StringComparer.Ordinal)
        );
}
