namespace Graftbench.Cli.Tests;

public sealed class HelpTests
{
    [Theory]
    [InlineData("plan")]
    [InlineData("dry")]
    [InlineData("joints")]
    [InlineData("alloy")]
    [InlineData("image")]
    [InlineData("schema")]
    [InlineData("serve")]
    public async Task Every_verb_has_help_with_a_worked_example(string verb)
    {
        Run run = (await Bench.RunAsync(verb, "--help")).AssertFits();
        Assert.Equal((0, ""), (run.Code, run.Error));
        Assert.Contains($"Example:{Environment.NewLine}  graftbench {verb} ", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_program_lists_its_verbs()
    {
        Run run = (await Bench.RunAsync("--help")).AssertFits();
        Assert.Equal((0, ""), (run.Code, run.Error));
        foreach (string verb in (string[])["plan", "dry", "joints", "alloy", "image", "record", "schema", "serve"])
        {
            Assert.Contains($"\n  {verb}", run.Out, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task Schema_is_the_published_one()
    {
        using TemporaryFolder folder = new();
        string published = await File.ReadAllTextAsync(Path.Combine(Bench.Root, "docs/job.schema.json"));
        Assert.Equal(new Run(0, published, ""), await Bench.RunAsync("schema"));
        Run toFile = await Bench.RunAsync("schema", "-o", folder.File("s.json"));
        Assert.Equal(0, toFile.Code);
        Assert.Equal(published, await File.ReadAllTextAsync(folder.File("s.json")));
    }
}
