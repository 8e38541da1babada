using System.Text.Json.Nodes;
using CsCheck;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Jobs;

public class JobMergeTests
{
    [Theory]
    // before, mine, theirs, merged, places that clash
    [InlineData("""{"a":1,"b":1}""", """{"a":2,"b":1}""", """{"a":1,"b":2}""", """{"a":2,"b":2}""", "")]
    [InlineData("""{"a":1}""", """{"a":2}""", """{"a":2}""", """{"a":2}""", "")]
    [InlineData("""{"a":1}""", """{"a":2}""", """{"a":3}""", """{"a":3}""", "a")]
    [InlineData("""{"a":1}""", """{}""", """{"a":1,"b":2}""", """{"b":2}""", "")]
    [InlineData("""{"a":1}""", """{}""", """{"a":3}""", """{"a":3}""", "a")]
    [InlineData("""{}""", """{"m":{"x":1}}""", """{"m":{"y":2}}""", """{"m":{"y":2,"x":1}}""", "")]
    [InlineData("""{}""", """{"m":{"x":1}}""", """{"m":{"x":2}}""", """{"m":{"x":2}}""", "m.x")]
    [InlineData(
        """{"c":[{"id":"1","p":1},{"id":"2","p":1}]}""",
        """{"c":[{"id":"1","p":5},{"id":"2","p":1}]}""",
        """{"c":[{"id":"2","p":7},{"id":"1","p":1},{"id":"3"}]}""",
        """{"c":[{"id":"2","p":7},{"id":"1","p":5},{"id":"3"}]}""",
        ""
    )]
    [InlineData("""{"c":[{"id":"1","p":1}]}""", """{"c":[{"id":"1","p":2}]}""", """{"c":[]}""", """{"c":[]}""", "c[0]")]
    [InlineData("""{"l":[1]}""", """{"l":[1,2]}""", """{"l":[1,3]}""", """{"l":[1,3,2]}""", "")]
    [InlineData("""{"l":[1,2]}""", """{"l":[2]}""", """{"l":[1,2,3]}""", """{"l":[2,3]}""", "")]
    [InlineData("""{"l":[1]}""", """{"l":[2]}""", """{"l":[3]}""", """{"l":[3]}""", "l")]
    [InlineData("""{"l":[1]}""", """{"l":[2]}""", """{"l":[2]}""", """{"l":[2]}""", "")]
    [InlineData("""{"l":[1,1]}""", """{"l":[1]}""", """{"l":[1,1]}""", """{"l":[1]}""", "")]
    public void Both_keep_what_only_one_changed(
        string before,
        string mine,
        string theirs,
        string merged,
        string clashes
    )
    {
        MergedJob job = JobMerge.Merge(Read(before), Read(mine), Read(theirs), _ => false);
        Assert.Equal(merged, job.Document.ToJsonString());
        Assert.Equal(clashes, string.Join(' ', job.Clashes.Select(clash => clash.Path)));
    }

    [Fact]
    public void A_clash_is_decided_by_its_place()
    {
        MergedJob job = JobMerge.Merge(
            Read("""{"a":1,"b":1}"""),
            Read("""{"a":2,"b":2}"""),
            Read("""{"a":3,"b":3}"""),
            path => path == "b"
        );
        Assert.Equal("""{"a":3,"b":2}""", job.Document.ToJsonString());
        MergeClash clash = job.Clashes[1];
        Assert.Equal(("b", "1", "2", "3"), (clash.Path, $"{clash.Before}", $"{clash.Mine}", $"{clash.Theirs}"));
    }

    [Fact]
    public void Without_a_change_of_one_the_other_is_taken_whole_and_clashes_are_the_same_from_both_sides() =>
        Gen.Select(Documents, Documents, Documents)
            .Sample(
                (before, mine, theirs) =>
                {
                    Assert.True(JsonNode.DeepEquals(theirs, Merged(before, before, theirs).Document));
                    Assert.True(JsonNode.DeepEquals(mine, Merged(before, mine, before).Document));
                    Assert.True(JsonNode.DeepEquals(mine, Merged(before, mine, mine).Document));
                    Assert.Equal(
                        Merged(before, mine, theirs).Clashes.Select(clash => clash.Path).Order(),
                        Merged(before, theirs, mine).Clashes.Select(clash => clash.Path).Order()
                    );
                }
            );

    // Small alphabets, so that the same values and places meet often; lists without names keep their order.
    private static readonly Gen<JsonObject> Documents = Gen.Select(
        Gen.Int[0, 2].Array[4],
        Gen.Int[0, 2].Array[0, 3],
        (fields, list) =>
        {
            JsonObject document = [];
            for (int i = 0; i < fields.Length; i++)
            {
                if (fields[i] > 0)
                {
                    document[$"f{i}"] = fields[i];
                }
            }
            document["inner"] = new JsonObject { ["x"] = fields[0] + fields[1] };
            document["list"] = new JsonArray([.. list.Select(entry => (JsonNode)entry)]);
            return document;
        }
    );

    private static MergedJob Merged(JsonObject before, JsonObject mine, JsonObject theirs) =>
        JobMerge.Merge(before, mine, theirs, _ => false);

    private static JsonObject Read(string json) => (JsonObject)JsonNode.Parse(json)!;
}
