using System.Text;
using System.Text.Json;
using Graftbench.Store;
using Microsoft.Data.Sqlite;

namespace Graftbench.Cli.Tests;

public sealed class RecordVerbTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    private string Data => folder.File("data");

    [Fact]
    public async Task A_record_is_kept_shown_and_verified()
    {
        await Ok("save", Bench.Good("smallest.json"), "--who", "Ada");
        File.WriteAllBytes(folder.File("top.jpg"), [1, 2, 3]);
        Run note = await Ok("add", "smallest", "--note", "bag opened, 10 °C", "--who", "Ada");
        Assert.Matches("^ok 2 [0-9a-f]{64}$", note.Out.TrimEnd());
        await Ok("add", "smallest", "--file", folder.File("top.jpg"), "--who", "Ben");

        Run list = await Ok("list");
        Assert.Contains("smallest  As little as a job can say", list.Out, StringComparison.Ordinal);
        Assert.Contains("revision 1, 3 lines, 1 file", list.Out, StringComparison.Ordinal);
        Run show = await Ok("show", "smallest");
        Assert.Contains("bag opened, 10 °C", show.Out, StringComparison.Ordinal);
        Assert.Contains("file top.jpg (image/jpeg)", show.Out, StringComparison.Ordinal);
        Run verify = await Ok("verify");
        Assert.Contains(
            "1 record with 3 lines checked: all is as it was stored.",
            verify.Out,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task Json_says_the_same()
    {
        await Ok("save", Bench.Good("smallest.json"), "--json");
        JsonElement line = Json(await Ok("add", "smallest", "--note", "x", "--json"));
        JsonElement show = Json(await Ok("show", "smallest", "--json"));
        Assert.Equal(
            line.GetProperty("sha256").GetString(),
            show.GetProperty("lines")[1].GetProperty("sha256").GetString()
        );
        Assert.Equal("""{"note":"x"}""", show.GetProperty("lines")[1].GetProperty("payloadJson").GetString());
        Assert.Equal(2, Json(await Ok("list", "--json"))[0].GetProperty("lines").GetInt32());
        JsonElement verify = Json(await Ok("verify", "--json"));
        Assert.True(verify.GetProperty("isWhole").GetBoolean());
        Assert.Equal("ok", verify.GetProperty("findings")[0].GetProperty("verdict").GetString());
        Assert.Equal(
            line.GetProperty("sha256").GetString(),
            verify.GetProperty("records")[0].GetProperty("headSha256").GetString()
        );
    }

    [Fact]
    public async Task Each_line_of_standard_input_is_acknowledged()
    {
        await Ok("save", Bench.Good("smallest.json"));
        byte[] input = Encoding.UTF8.GetBytes($"one\n\ntwo µ\r\n{new string('x', 5000)}\nthree");
        Run run = (
            await Bench.RunAsync(input, ["record", "add", "smallest", "--lines", "-", "--data", Data])
        ).AssertFits();
        Assert.Equal(2, run.Code);
        Assert.Equal(
            ["ok 2", "ok 3", "ok 4"],
            run.Out.Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(line => line[..4])
        );
        Assert.Contains("input line 4 was not stored", run.Says, StringComparison.Ordinal);
        using BenchStore store = BenchStore.Open(Data, TimeProvider.System);
        Assert.Equal(
            ["""{"note":"one"}""", """{"note":"two µ"}""", """{"note":"three"}"""],
            store.Evidence("smallest").Skip(1).Select(line => line.PayloadJson)
        );
    }

    [Fact]
    public async Task Without_a_store_nothing_is_made()
    {
        foreach (
            string[] arguments in (string[][])
                [
                    ["list"],
                    ["show", "a"],
                    ["verify"],
                    ["add", "a", "--note", "x"],
                    ["export", "--all", "-o", "x.zip"],
                ]
        )
        {
            Run run = await Record(arguments);
            Assert.Equal(2, run.Code);
            Assert.Contains("There is no store in this folder", run.Says, StringComparison.Ordinal);
        }
        Assert.False(Directory.Exists(Data));
    }

    [Fact]
    public async Task Bad_command_lines_and_ids_are_said()
    {
        await Ok("save", Bench.Good("smallest.json"));
        await Bad("There is no record \"nobody\"", "show", "nobody");
        await Bad("There is no record \"nobody\"", "add", "nobody", "--note", "x");
        await Bad("There is no record \"nobody\"", "verify", "nobody");
        await Bad("--note, --file or both", "add", "smallest");
        await Bad("--note, --file or both", "add", "smallest", "--note", "x", "--lines", "-");
        await Bad("standard input only", "add", "smallest", "--lines", "file.txt");
        await Bad("there is no such file", "add", "smallest", "--file", folder.File("none"));
        await Bad("the kind must be", "add", "smallest", "--note", "x", "--kind", "A b");
        await Bad("written by saving", "add", "smallest", "--note", "x", "--kind", "job-saved");
        await Bad("who must be", "add", "smallest", "--note", "x", "--who", "");
        await Bad("more than 4000", "add", "smallest", "--note", new string('x', 4001));
        await Bad("64 hexadecimal digits", "verify", "smallest", "--head", "abc");
        await Bad("or --all", "export", "-o", folder.File("x.zip"));
        using BenchStore store = BenchStore.Open(Data, TimeProvider.System);
        Assert.Single(store.Evidence("smallest"));
    }

    [Fact]
    public async Task A_bad_job_is_listed_and_no_store_is_made()
    {
        File.WriteAllText(
            folder.File("bad.json"),
            """{ "format": "graftbench-job-1", "id": "bad", "title": "x", "hosst": {} }"""
        );
        await Bad("Did you mean host?", "save", folder.File("bad.json"));
        Assert.False(Directory.Exists(Data));
    }

    [Fact]
    public async Task A_stale_revision_is_said()
    {
        string text = File.ReadAllText(Bench.Good("smallest.json"));
        await Ok("save", Bench.Good("smallest.json"));
        File.WriteAllText(folder.File("two.json"), text.Replace("As little", "Hardly more", StringComparison.Ordinal));
        Assert.Contains("revision 2", (await Ok("save", folder.File("two.json"))).Out, StringComparison.Ordinal);
        File.WriteAllText(folder.File("three.json"), text.Replace("As little", "Again", StringComparison.Ordinal));
        await Bad(
            "revision 1 was edited, but revision 2 is in the store",
            "save",
            folder.File("three.json"),
            "--revision",
            "1"
        );
    }

    [Fact]
    public async Task A_change_beside_the_program_gives_exit_code_1()
    {
        await Ok("save", Bench.Good("smallest.json"));
        string head = (await Ok("add", "smallest", "--note", "true")).Out.Trim().Split(' ')[2];
        Assert.Contains(
            "is the record's head",
            (await Ok("verify", "smallest", "--head", head.ToUpperInvariant())).Out,
            StringComparison.Ordinal
        );
        await using (
            SqliteConnection connection = new($"Data Source={Path.Combine(Data, BenchStore.FileName)};Pooling=False")
        )
        {
            await connection.OpenAsync(TestContext.Current.CancellationToken);
            await using SqliteCommand command = connection.CreateCommand();
            command.CommandText =
                "DROP TRIGGER evidence_is_not_updated; UPDATE evidence SET payload = '{}' WHERE sequence = 2";
            await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
        }
        Run run = (await Record("verify")).AssertFits();
        Assert.Equal(1, run.Code);
        Assert.Contains("[record.line-altered]", run.Out, StringComparison.Ordinal);
        Assert.Contains("2 things wrong", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_noted_head_that_is_gone_gives_exit_code_1()
    {
        await Ok("save", Bench.Good("smallest.json"));
        Run run = await Record("verify", "smallest", "--head", new string('a', 64));
        Assert.Equal(1, run.Code);
        Assert.Contains("[record.noted-head-missing]", run.AssertFits().Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_record_travels_by_zip_and_a_damaged_zip_is_refused_whole()
    {
        await Ok("save", Bench.Good("smallest.json"));
        await Ok("add", "smallest", "--note", "x");
        string zip = folder.File("a.zip");
        Run export = await Ok("export", "smallest", "-o", zip);
        Assert.Contains($"{new FileInfo(zip).Length} bytes written", export.Out, StringComparison.Ordinal);
        await Bad("a file of this name already", "export", "smallest", "-o", zip);
        await Ok("export", "--all", "-o", zip, "--overwrite");

        string other = folder.File("other");
        byte[] bytes = await File.ReadAllBytesAsync(zip, TestContext.Current.CancellationToken);
        await File.WriteAllBytesAsync(folder.File("cut.zip"), bytes[..^30], TestContext.Current.CancellationToken);
        Run cut = (await Bench.RunAsync("record", "import", folder.File("cut.zip"), "--data", other)).AssertFits();
        Assert.Equal((2, ""), (cut.Code, cut.Out));
        Assert.Contains("[import.cut-off]", cut.Error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(other));

        Run import = await Bench.RunAsync("record", "import", zip, "--data", other);
        Assert.Equal((0, "smallest  new, 2 lines"), (import.Code, import.Out.TrimEnd()));
        Run again = await Bench.RunAsync("record", "import", zip, "--data", other);
        Assert.Equal((0, "smallest  nothing to add, 2 lines in the store"), (again.Code, again.Out.TrimEnd()));

        await Ok("add", "smallest", "--note", "here");
        await Ok("export", "smallest", "-o", zip, "--overwrite");
        Assert.Equal(0, (await Bench.RunAsync("record", "add", "smallest", "--note", "there", "--data", other)).Code);
        Run parted = (await Bench.RunAsync("record", "import", zip, "--data", other)).AssertFits();
        Assert.Equal(1, parted.Code);
        Assert.Contains("record smallest, line 3", parted.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Evidence_cannot_steer_the_terminal()
    {
        await Ok("save", Bench.Good("smallest.json"));
        await Ok("add", "smallest", "--note", "\u001b[2J\u0007 wide " + string.Concat(Enumerable.Repeat("漢🙂", 80)));
        await Ok("show", "smallest");
    }

    public void Dispose() => folder.Dispose();

    private Task<Run> Record(params string[] arguments) => Bench.RunAsync(["record", .. arguments, "--data", Data]);

    private async Task<Run> Ok(params string[] arguments)
    {
        Run run = await Record(arguments);
        Assert.True(run.Code == 0, $"{string.Join(' ', arguments)}: {run.Code} {run.Error}");
        if (!arguments.Contains("--json"))
        {
            run.AssertFits();
        }
        return run;
    }

    private async Task Bad(string says, params string[] arguments)
    {
        Run run = (await Record(arguments)).AssertFits();
        Assert.True(run.Code == 2, $"{string.Join(' ', arguments)}: {run.Code}");
        Assert.Contains(says, run.Says, StringComparison.Ordinal);
        Assert.Equal("", run.Out);
    }

    private static JsonElement Json(Run run) => JsonDocument.Parse(run.Out).RootElement;
}
