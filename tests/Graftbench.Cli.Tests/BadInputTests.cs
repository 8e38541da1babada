using System.Diagnostics;
using System.Runtime.InteropServices;
using System.Text;
using Graftbench.Tests.Shared;

namespace Graftbench.Cli.Tests;

/// <summary>Bad input of every sort: exit 2, everything said on the error stream, nothing written.</summary>
public sealed class BadInputTests
{
    [Theory]
    [InlineData("file-truncated.json", "The file ends here")]
    [InlineData("file-binary.json", "binary")]
    [InlineData("file-png.json", "PNG")]
    [InlineData("file-empty.json", "empty")]
    [InlineData("file-utf16.json", "UTF-16")]
    [InlineData("nested-too-deep.json", "nested too deep")]
    [InlineData("number-nan.json", "no NaN")]
    [InlineData("number-too-large.json", "1e999")]
    [InlineData("number-negative.json", "-1.6 mm")]
    [InlineData("across-future-dates.json", "lies in the future")]
    [InlineData("across-bake.json", "hotter than a user may bake")]
    [InlineData("across-overlapping-stays.json", "overlaps")]
    [InlineData("unit-ball-as-text.json", "Did you mean 0.76 (mm)?")]
    [InlineData("unit-ball-in-metres.json", "Did you mean 0.76 (mm)")]
    [InlineData("field-unknown.json", "Did you mean copperLayers?")]
    public async Task A_broken_job_is_refused(string name, string says)
    {
        using TemporaryFolder folder = new();
        await AssertRefusedAsync(
            folder,
            says,
            "plan",
            Bench.Broken(name),
            "--at",
            Bench.At,
            "-o",
            folder.File("plan.html")
        );
    }

    [Fact]
    public async Task Every_verb_that_reads_a_job_refuses_it()
    {
        using TemporaryFolder folder = new();
        await AssertRefusedAsync(folder, "no NaN", "plan", Bench.Broken("number-nan.json"), "--json");
        await AssertRefusedAsync(folder, "no NaN", "dry", Bench.Broken("number-nan.json"));
        await AssertRefusedAsync(folder, "no NaN", "dry", Bench.Broken("number-nan.json"), "--json");
    }

    private static async Task AssertRefusedAsync(TemporaryFolder folder, string says, params string[] arguments)
    {
        Run run = (await Bench.RunAsync(arguments)).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains(says, run.Says, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", run.Error, StringComparison.Ordinal);
        Assert.Empty(Directory.GetFileSystemEntries(folder.Path));
    }

    [Theory]
    [InlineData("mixed-field-and-across.json")]
    [InlineData("unit-ball-as-text.json")]
    public async Task Problems_for_a_person(string name)
    {
        Run run = await Bench.RunAsync(
            await File.ReadAllBytesAsync(Bench.Broken(name)),
            ["plan", "-", "--at", Bench.At]
        );
        Snapshot.Match(run.AssertFits().Error, Bench.Expected("problems-" + Path.GetFileNameWithoutExtension(name)));
    }

    [Fact]
    public async Task Fifty_megabytes_are_refused_by_file_and_by_pipe()
    {
        using TemporaryFolder folder = new();
        byte[] junk = new byte[50 * 1024 * 1024];
        junk.AsSpan().Fill((byte)'[');
        await File.WriteAllBytesAsync(folder.File("big.json"), junk);
        Stopwatch clock = Stopwatch.StartNew();
        Run file = (await Bench.RunAsync("plan", folder.File("big.json"))).AssertFits();
        Run pipe = (await Bench.RunAsync(junk, ["plan", "-"])).AssertFits();
        Assert.Equal((2, 2), (file.Code, pipe.Code));
        Assert.Contains("50 MiB", file.Says, StringComparison.Ordinal);
        Assert.Contains("at most 16 MiB", pipe.Says, StringComparison.Ordinal);
        Assert.True(clock.Elapsed < TimeSpan.FromSeconds(20), $"{clock.Elapsed}");
    }

    [Fact]
    public async Task A_file_that_is_not_there_and_a_folder_are_told_apart()
    {
        using TemporaryFolder folder = new();
        Run missing = await Bench.RunAsync("plan", folder.File("none.json"));
        Run isFolder = await Bench.RunAsync("plan", folder.Path);
        Assert.Equal((2, 2), (missing.Code, isFolder.Code));
        Assert.Contains("there is no such file", missing.Says, StringComparison.Ordinal);
        Assert.Contains("this is a folder", isFolder.Says, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("plan")]
    [InlineData("plan", "a.json", "b.json")]
    [InlineData("plan", "--frob")]
    [InlineData("plan", "a.json", "--at")]
    [InlineData("dry", "--thickness-mm", "thick", "--level", "3", "--at-c", "70")]
    [InlineData("dry", "--thickness-mm", "1.6", "--level", "9", "--at-c", "70")]
    [InlineData("frob")]
    [InlineData]
    public async Task A_bad_command_line_goes_to_the_error_stream(params string[] arguments)
    {
        Run run = (await Bench.RunAsync(arguments)).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains("--help", run.Says, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Everything_wrong_with_a_command_line_is_said_at_once()
    {
        Run run = await Bench.RunAsync("dry", "--thickness-mm", "thick", "--level", "9", "--planes", "maybe");
        Assert.Contains("thick", run.Says, StringComparison.Ordinal);
        Assert.Contains("'9'", run.Says, StringComparison.Ordinal);
        Assert.Contains("maybe", run.Says, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_name_does_not_steer_the_terminal()
    {
        byte[] job = Encoding.UTF8.GetBytes("{ \"\\u001b[2J\": 1, \"\\u202egnp.exe\": 2 }");
        Run run = (await Bench.RunAsync(job, ["plan", "-"])).AssertFits();
        Assert.Equal(2, run.Code);
        Assert.DoesNotContain('\u202e', run.Error);
    }

    [Fact]
    public async Task Planning_does_not_load_the_web()
    {
        using Process process = Bench.Start("plan", "-");
        await process.StandardInput.WriteAsync("{ ");
        await process.StandardInput.FlushAsync();
        string mapped = "";
        for (int i = 0; i < 100 && !mapped.Contains("System.CommandLine.dll", StringComparison.Ordinal); i++)
        {
            await Task.Delay(100);
            mapped = await File.ReadAllTextAsync($"/proc/{process.Id}/maps");
        }
        await Task.Delay(500);
        mapped = await File.ReadAllTextAsync($"/proc/{process.Id}/maps");
        process.Kill();
        Assert.Contains("System.CommandLine.dll", mapped, StringComparison.Ordinal);
        Assert.DoesNotContain("Microsoft.AspNetCore", mapped, StringComparison.Ordinal);
        Assert.DoesNotContain("Graftbench.Web.dll", mapped, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Ctrl_C_leaves_no_file()
    {
        using TemporaryFolder folder = new();
        using Process process = Bench.Start("plan", "-", "-o", folder.File("plan.html"));
        await process.StandardInput.WriteAsync("{ \"format\": ");
        await process.StandardInput.FlushAsync();
        await Task.Delay(TimeSpan.FromSeconds(1));
        Assert.False(process.HasExited);
        Assert.Equal(0, Kill(process.Id, Interrupt));
        using CancellationTokenSource patience = new(TimeSpan.FromSeconds(20));
        await process.WaitForExitAsync(patience.Token);
        Assert.Equal(130, process.ExitCode);
        Assert.Empty(Directory.GetFileSystemEntries(folder.Path));
    }

    private const int Interrupt = 2;

    [DllImport("libc", EntryPoint = "kill")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Kill(int process, int signal);
}
