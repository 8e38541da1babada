using System.Text.Json;
using Graftbench.Core.Inspection;
using Graftbench.Scenes;

namespace Graftbench.Cli.Tests;

/// <summary><c>graftbench balls</c>: a picture by options, exit codes, the marked picture, and what bad input is told.</summary>
public sealed class BallsVerbTests : IDisposable
{
    private static readonly string[] Field = ["--rows", "12", "--columns", "12", "--pitch", "1.0"];
    private readonly string folder = Directory.CreateTempSubdirectory("graftbench-balls-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    private (string Path, string Absent) Picture(double missing)
    {
        BallScene scene = BallScene.Make(401, new Difficulty(), 12, 12, faults: false, missingShare: missing);
        string path = Path.Combine(folder, "underside.jpg");
        File.WriteAllBytes(path, RayRender.Jpeg(scene));
        List<string> absent = [];
        for (int k = 0; k < 144; k++)
        {
            if (!scene.Field.Has(k / 12, k % 12))
            {
                absent.Add(BallNames.Of(k / 12, k % 12));
            }
        }
        return (path, string.Join(',', absent));
    }

    [Fact]
    public async Task All_there_is_exit_0_and_the_marked_picture_is_written()
    {
        (string path, string absent) = Picture(0);
        string marked = Path.Combine(folder, "marked.png");
        Run run = (await Bench.RunAsync(["balls", path, .. Field, "--absent", absent, "-o", marked])).AssertFits();
        Assert.Equal((0, ""), (run.Code, run.Error));
        Assert.Contains("balls are there", run.Out, StringComparison.Ordinal);
        Assert.Equal([0x89, 0x50, 0x4E, 0x47], File.ReadAllBytes(marked)[..4]);
    }

    [Fact]
    public async Task Missing_balls_are_exit_1_and_named_in_text_and_JSON()
    {
        (string path, string absent) = Picture(0.06);
        Run text = (await Bench.RunAsync(["balls", path, .. Field, "--absent", absent])).AssertFits();
        Assert.Equal(1, text.Code);
        Run json = await Bench.RunAsync(["balls", path, .. Field, "--absent", absent, "--json"]);
        Assert.Equal(1, json.Code);
        using JsonDocument answer = JsonDocument.Parse(json.Out);
        string?[] missing =
        [
            .. answer
                .RootElement.GetProperty("sites")
                .EnumerateArray()
                .Where(site => site.GetProperty("class").GetString() == "missing")
                .Select(site => site.GetProperty("name").GetString()),
        ];
        Assert.NotEmpty(missing);
        Assert.All(missing, name => Assert.Contains(name!, text.Out, StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_list_of_names_in_a_file_does_the_same_as_absent_sites()
    {
        (string path, string absent) = Picture(0);
        string list = Path.Combine(folder, "balls.txt");
        string[] none = absent.Split(',');
        File.WriteAllLines(
            list,
            Enumerable.Range(0, 144).Select(k => BallNames.Of(k / 12, k % 12)).Where(name => !none.Contains(name))
        );
        Run run = await Bench.RunAsync(["balls", path, .. Field, "--ball-list", list]);
        Assert.Equal(0, run.Code);
    }

    [Fact]
    public async Task Everything_that_is_wrong_is_told_at_once()
    {
        string text = Path.Combine(folder, "list.jpg");
        File.WriteAllText(text, "A1,VCC\nA2,GND\n");
        Run run = (
            await Bench.RunAsync([
                "balls",
                text,
                Path.Combine(folder, "none.jpg"),
                "--rows",
                "12.5",
                "--columns",
                "0",
                "--ball",
                "9",
                "--view",
                "side",
                "--a1",
                "left",
            ])
        ).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.All(
            new[]
            {
                "--rows 12.5",
                "--columns 0",
                "--pitch is missing",
                "--ball 9",
                "--view side",
                "--a1 left",
                "there is no such file",
                "text, whatever its name says",
            },
            part => Assert.Contains(part, run.Says, StringComparison.Ordinal)
        );
    }

    [Fact]
    public async Task A_name_outside_of_the_field_is_told_with_its_limits()
    {
        (string path, _) = Picture(0);
        Run run = await Bench.RunAsync(["balls", path, .. Field, "--absent", "A1,I3,A1,N1"]);
        Assert.Equal(2, run.Code);
        Assert.Contains("I3 is no ball of a field of 12 rows (A to M)", run.Says, StringComparison.Ordinal);
        Assert.Contains("A1 is named twice", run.Says, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_picture_that_is_not_judged_is_exit_1_and_says_what_to_do()
    {
        (string path, _) = Picture(0);
        Run run = (
            await Bench.RunAsync(["balls", path, "--rows", "9", "--columns", "9", "--pitch", "0.8"])
        ).AssertFits();
        Assert.Equal(1, run.Code);
        Assert.Contains("Not judged", run.Out, StringComparison.Ordinal);
        Assert.Contains("Check rows, columns", run.Out, StringComparison.Ordinal);
    }
}
