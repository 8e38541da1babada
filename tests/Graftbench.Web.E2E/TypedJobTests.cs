using System.Globalization;
using System.Runtime.CompilerServices;
using System.Text.Json;
using System.Text.Json.Nodes;
using Microsoft.Playwright;

namespace Graftbench.Web.E2E;

/// <summary>Jobs of the cookbook typed into the forms: what a document can say can be typed, and is stored as the document says it.</summary>
public class TypedJobTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private static readonly string Home = Path.GetFullPath(Path.Combine(Folder(), "../../recipes"));

    // Between them every part of the document is typed that a recipe uses; the others came out the same when they were tried by hand.
    [Theory]
    [InlineData("from-intake-to-hand-over", "soak.json")]
    [InlineData("underside-parts", "job.json")]
    public async Task A_job_typed_into_the_forms_is_the_document(string recipe, string document)
    {
        JsonObject paper = Read(
            await File.ReadAllTextAsync(Path.Combine(Home, recipe, document), TestContext.Current.CancellationToken)
        );
        await using BenchPage bench = await browser.Open(demo: false);
        Typist typist = new(bench, paper);
        string address = await typist.Type();
        IAPIResponse stored = await bench.Page.APIRequest.GetAsync($"{bench.Address}{address}/job.json");
        Dictionary<string, string> there = Typist.Leaves(Read(await stored.TextAsync()));

        Assert.Empty(typist.NotTyped);
        Assert.Empty(
            Typist
                .Leaves(paper)
                .Where(leaf => Plain(leaf.Value) != Plain(there.GetValueOrDefault(leaf.Key, "")))
                .Select(leaf =>
                    $"{leaf.Key}: typed {leaf.Value}, stored {there.GetValueOrDefault(leaf.Key, "nothing")}"
                )
        );
        bench.AssertQuiet();
    }

    // 1.0 and 1 are the same number, and a moment is the same in every time zone.
    private static string Plain(string text) =>
        double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double number)
            ? number.ToString("R", CultureInfo.InvariantCulture)
        : text.Contains('T', StringComparison.Ordinal)
        && DateTimeOffset.TryParse(text, CultureInfo.InvariantCulture, out DateTimeOffset moment)
            ? moment.UtcDateTime.ToString("O", CultureInfo.InvariantCulture)
        : text;

    private static JsonObject Read(string text) => JsonNode.Parse(text)!.AsObject();

    private static string Folder([CallerFilePath] string file = "") => Path.GetDirectoryName(file)!;
}
