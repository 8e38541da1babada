using Graftbench.Store;
using Graftbench.Tests.Shared;

namespace Graftbench.Cli.Tests;

/// <summary>The record verbs on a PostgreSQL database, and the whole way of a store there and back.</summary>
public sealed class SharedStoreTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("graftbench-cli-").FullName;

    private string Data => Path.Combine(folder, "data");

    [Fact]
    public async Task A_shop_moves_to_a_database_works_there_backs_up_and_comes_back()
    {
        string address = DatabaseServer.Instance.NewStore(out _);
        Run saved = await Bench.RunAsync("record", "save", Bench.Good("smallest.json"), "--data", Data);
        string id = saved.Out.Split(' ')[0];
        await Bench.RunAsync("record", "add", id, "--note", "bag opened", "--data", Data);

        Run empty = await Bench.RunAsync("record", "list", "--data", Data, "--store", address);
        Assert.Equal(2, empty.Code);
        Assert.Contains("There is no store in this database yet", empty.Says, StringComparison.Ordinal);

        Run moved = await Bench.RunAsync("record", "move", "--data", Data, "--to", address);
        Assert.Equal((0, true), (moved.Code, moved.Out.Contains($"{id}  2 lines", StringComparison.Ordinal)));
        Assert.Contains("evidence: 2 of 2", moved.Error, StringComparison.Ordinal);
        Assert.Equal(2, (await Bench.RunAsync("record", "move", "--data", Data, "--to", address)).Code);

        await Bench.RunAsync(
            "record",
            "add",
            id,
            "--note",
            "from the second bench",
            "--store",
            address,
            "--data",
            Data
        );
        Run verified = await Bench.RunAsync("record", "verify", "--store", address, "--data", Data);
        Assert.Equal(0, verified.Code);
        Assert.Contains(
            "1 record with 3 lines checked: all is as it was stored.",
            verified.Out,
            StringComparison.Ordinal
        );

        string file = Path.Combine(folder, "shop.graftbackup");
        Run backup = await Bench.RunAsync("record", "backup", file, "--store", address, "--data", Data);
        Assert.Equal(0, backup.AssertFits().Code);
        string head = backup.Out.Split('\n').Single(line => line.Contains("head ", StringComparison.Ordinal)).Trim();
        Run list = await Bench.RunAsync("record", "show", id, "--store", address, "--data", Data);
        Assert.Contains(head, list.Out, StringComparison.Ordinal);
        Assert.Equal(2, (await Bench.RunAsync("record", "backup", file, "--store", address, "--data", Data)).Code);

        string other = Path.Combine(folder, "restored");
        Run restored = await Bench.RunAsync("record", "restore", file, "--data", other);
        Assert.Equal(0, restored.AssertFits().Code);
        Assert.Contains(head, restored.Out, StringComparison.Ordinal);
        Run shown = await Bench.RunAsync("record", "show", id, "--data", other);
        Assert.Contains("from the second bench", shown.Out, StringComparison.Ordinal);
        Run again = await Bench.RunAsync("record", "restore", file, "--data", other);
        Assert.Equal(2, again.Code);
        Assert.Contains("There is a store here already", again.Says, StringComparison.Ordinal);

        string back = Path.Combine(folder, "back");
        Run returned = await Bench.RunAsync("record", "move", "--store", address, "--to-data", back);
        Assert.Equal(0, returned.Code);
        Assert.Contains(head, returned.Out, StringComparison.Ordinal);
        using BenchStore store = BenchStore.Open(back, TimeProvider.System);
        Assert.Equal(3, store.Evidence(id).Count);
    }

    [Theory]
    [InlineData("--store: nonsense", "record", "list", "--store", "nonsense")]
    [InlineData("Give --to CONNECTION", "record", "move")]
    [InlineData("need --backup-to", "serve", "--backup-keep", "3")]
    [InlineData("--backup-every 5", "serve", "--backup-to", "x", "--backup-every", "5")]
    [InlineData("keep 1 to 10000", "serve", "--backup-to", "x", "--backup-keep", "0")]
    public async Task What_cannot_be_is_refused(string says, params string[] arguments)
    {
        Run run = await Bench.RunAsync(arguments);
        Assert.Equal(2, run.AssertFits().Code);
        Assert.Contains(says == "--store: nonsense" ? "cannot be read" : says, run.Says, StringComparison.Ordinal);
    }

    public void Dispose() => Directory.Delete(folder, recursive: true);
}
