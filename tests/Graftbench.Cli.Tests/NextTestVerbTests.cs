using System.Text.Json;

namespace Graftbench.Cli.Tests;

/// <summary><c>graftbench next-test</c>: the worked cases of the diagnosis, exit codes, bad input.</summary>
public sealed class NextTestVerbTests
{
    [Fact]
    public async Task A_worked_case_comes_out_as_printed_and_is_not_decided()
    {
        Run run = (
            await Bench.RunAsync("next-test", "--seen", "current=restarts", "--seen", "press=same")
        ).AssertFits();
        Assert.Equal((1, ""), (run.Code, run.Error));
        Assert.StartsWith(
            "Not decided. First: firmware does not know the chip, 25 in 100",
            run.Out,
            StringComparison.Ordinal
        );
        Assert.Contains("Test next: read the boot memory again and compare, 20 min", run.Out, StringComparison.Ordinal);
        Assert.Contains("27.4", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Power_is_barred_while_a_rail_has_failed()
    {
        Run run = (await Bench.RunAsync("next-test", "--seen", "current=standby", "--seen", "rail=low", "--json"));
        using JsonDocument document = JsonDocument.Parse(run.Out);
        JsonElement first = document.RootElement.GetProperty("tests")[0];
        Assert.Equal("neighbour", first.GetProperty("test").GetProperty("id").GetString());
        Assert.Contains(
            document.RootElement.GetProperty("tests").EnumerateArray(),
            test => test.TryGetProperty("barred", out JsonElement why) && why.ValueKind == JsonValueKind.String
        );
    }

    [Fact]
    public async Task A_cause_that_is_sure_enough_ends_with_zero() =>
        Assert.Equal(
            0,
            (
                await Bench.RunAsync("next-test", "--seen", "diode=tied", "--seen", "rail=low", "--seen", "side=uneven")
            ).Code
        );

    [Fact]
    public async Task All_that_is_wrong_is_said_at_once()
    {
        Run run = await Bench.RunAsync(
            "next-test",
            "--seen",
            "smell=burnt",
            "--seen",
            "press=maybe",
            "--seen",
            "press=changes*0@2",
            "--heats",
            "-3"
        );
        Assert.Equal((2, ""), (run.Code, run.Out));
        foreach (
            string says in new[]
            {
                "no test 'smell'",
                "shows changes or same, not 'maybe'",
                "trials from 1 to 1000",
                "--heats -3",
            }
        )
        {
            Assert.Contains(
                says,
                run.Error.ReplaceLineEndings(" ").Replace("     ", " ", StringComparison.Ordinal),
                StringComparison.Ordinal
            );
        }
    }

    [Fact]
    public async Task Tests_and_causes_are_listed()
    {
        Run run = (await Bench.RunAsync("next-test", "--tests")).AssertFits();
        Assert.Equal(0, run.Code);
        Assert.Contains("diode=tied:", run.Out, StringComparison.Ordinal);
        Assert.Contains("pillow", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Rows_of_a_file_of_ones_own_count_and_bad_ones_are_all_named()
    {
        string folder = Directory.CreateTempSubdirectory("graftbench-table-").FullName;
        try
        {
            string file = Path.Combine(folder, "ours.csv");
            await File.WriteAllTextAsync(
                file,
                "firmware,image,wrong=0.99|right=0.01\nimage,image,wrong=0.1|right=0.9\n",
                TestContext.Current.CancellationToken
            );
            string[] seen =
            [
                "next-test",
                "--seen",
                "current=restarts",
                "--seen",
                "press=same",
                "--seen",
                "image=wrong",
            ];
            // Without the file 64 in 100 (docs/models/diagnosis.md): not named.
            Assert.Equal(1, (await Bench.RunAsync(seen)).Code);
            Assert.Equal(0, (await Bench.RunAsync([.. seen, "--table", file])).Code);

            await File.WriteAllTextAsync(
                file,
                "firmware,image,wrong=0.9|right=0.2\nnobody,image,wrong=0.5|right=0.5\n",
                TestContext.Current.CancellationToken
            );
            Run bad = await Bench.RunAsync("next-test", "--table", file, "--seen", "smell=burnt");
            Assert.Equal((2, ""), (bad.Code, bad.Out));
            foreach (string says in (string[])["line 1", "sum to 1.1", "line 2", "'nobody'", "no test 'smell'"])
            {
                Assert.Contains(says, bad.Error, StringComparison.Ordinal);
            }
            Run none = await Bench.RunAsync("next-test", "--table", Path.Combine(folder, "none.csv"));
            Assert.Equal((2, ""), (none.Code, none.Out));
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }
}
