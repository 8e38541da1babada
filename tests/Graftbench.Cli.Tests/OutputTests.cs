using System.Diagnostics;
using Graftbench.Store;

namespace Graftbench.Cli.Tests;

/// <summary>What <c>-o</c> may replace, and what it may not.</summary>
public sealed class OutputTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    [Fact]
    public async Task A_store_is_never_replaced()
    {
        string data = folder.File("data");
        string db = Path.Combine(data, BenchStore.FileName);
        Assert.Equal(0, (await Bench.RunAsync("record", "save", Bench.Good("smallest.json"), "--data", data)).Code);
        byte[] before = await File.ReadAllBytesAsync(db, TestContext.Current.CancellationToken);
        File.CreateSymbolicLink(folder.File("link.html"), db);
        File.Copy(db, folder.File("copy.pdf"));
        string[][] attempts =
        [
            ["record", "export", "--all", "--data", data, "--overwrite", "-o", db],
            ["record", "export", "--all", "--data", data, "--overwrite", "-o", db + "-wal"],
            ["record", "export", "--all", "--data", data, "--overwrite", "-o", folder.File("link.html")],
            ["schema", "-o", db],
            ["schema", "-o", db + "-shm"],
            ["schema", "-o", folder.File("copy.pdf")],
            ["plan", Bench.Good("smallest.json"), "-o", folder.File("link.html")],
        ];
        foreach (string[] attempt in attempts)
        {
            Run run = (await Bench.RunAsync(attempt)).AssertFits();
            Assert.Equal((2, ""), (run.Code, run.Out));
            Assert.Contains("this is a store of records", run.Says, StringComparison.OrdinalIgnoreCase);
        }
        Assert.Equal(before, await File.ReadAllBytesAsync(db, TestContext.Current.CancellationToken));
        Assert.Equal([BenchStore.FileName], Directory.GetFiles(data).Select(Path.GetFileName));
    }

    [Fact]
    public async Task The_job_document_is_not_replaced_by_its_sheet()
    {
        string job = folder.File("job.html");
        File.Copy(Bench.Good("smallest.json"), job);
        Directory.CreateSymbolicLink(folder.File("way"), folder.Path);
        foreach (string target in (string[])[job, Path.Combine(folder.File("way"), "job.html")])
        {
            Run run = (await Bench.RunAsync("plan", job, "-o", target)).AssertFits();
            Assert.Equal((2, ""), (run.Code, run.Out));
            Assert.Contains("the job document itself", run.Says, StringComparison.Ordinal);
        }
        Assert.Equal(
            await File.ReadAllTextAsync(Bench.Good("smallest.json"), TestContext.Current.CancellationToken),
            await File.ReadAllTextAsync(job, TestContext.Current.CancellationToken)
        );
    }

    [Theory, InlineData(true), InlineData(false)]
    public async Task A_link_stays_a_link(bool targetExists)
    {
        if (targetExists)
        {
            await File.WriteAllTextAsync(folder.File("real.html"), "old", TestContext.Current.CancellationToken);
        }
        File.CreateSymbolicLink(folder.File("link.html"), "real.html");
        Run run = await Bench.RunAsync("plan", Bench.Good("smallest.json"), "-o", folder.File("link.html"));
        Assert.Equal("", run.Error);
        Assert.Equal("real.html", new FileInfo(folder.File("link.html")).LinkTarget);
        Assert.StartsWith(
            "<!",
            await File.ReadAllTextAsync(folder.File("real.html"), TestContext.Current.CancellationToken),
            StringComparison.Ordinal
        );
        Assert.Equal(2, Directory.GetFiles(folder.Path).Length);
    }

    [Fact]
    public async Task A_pipe_and_a_device_are_written_into()
    {
        string data = folder.File("data");
        Assert.Equal(0, (await Bench.RunAsync("record", "save", Bench.Good("smallest.json"), "--data", data)).Code);
        string none = folder.File("none");
        File.CreateSymbolicLink(none, "/dev/null");
        Assert.Equal(0, (await Bench.RunAsync("schema", "-o", none)).Code);
        Run nowhere = await Bench.RunAsync("record", "export", "--all", "--data", data, "-o", none);
        Assert.Equal((0, ""), (nowhere.Code, nowhere.Error));
        Assert.Equal("/dev/null", new FileInfo(none).LinkTarget);
        Assert.Empty(await File.ReadAllBytesAsync(none, TestContext.Current.CancellationToken));

        string pipe = folder.File("pipe");
        using (Process make = Process.Start("mkfifo", [pipe]))
        {
            await make.WaitForExitAsync(TestContext.Current.CancellationToken);
        }
        Task<byte[]> read = Task.Run(() => File.ReadAllBytes(pipe), TestContext.Current.CancellationToken);
        Run export = await Bench.RunAsync("record", "export", "--all", "--data", data, "-o", pipe);
        Assert.Equal((0, ""), (export.Code, export.Error));
        Assert.Equal("PK"u8.ToArray(), (await read)[..2]);
        Assert.Equal(
            ["data", "none", "pipe"],
            Directory.GetFileSystemEntries(folder.Path).Select(Path.GetFileName).Order()
        );
    }

    public void Dispose() => folder.Dispose();
}
