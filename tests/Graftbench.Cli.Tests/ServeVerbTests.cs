using System.Diagnostics;
using System.Net;
using System.Net.Sockets;
using System.Runtime.InteropServices;

namespace Graftbench.Cli.Tests;

public sealed class ServeVerbTests
{
    private const int Interrupt = 2;

    [Fact]
    public async Task Says_where_the_screens_are_and_stops_on_ctrl_c()
    {
        using TemporaryFolder folder = new();
        using Process process = Bench.Start("serve", "--port", "0", "--data", folder.Path, "--no-demo");
        using CancellationTokenSource patience = new(TimeSpan.FromSeconds(60));
        string line = await process.StandardOutput.ReadLineAsync(patience.Token) ?? "";
        Assert.Matches("^Graftbench is at http://127\\.0\\.0\\.1:[0-9]+$", line);
        using HttpClient browser = new();
        string page = await browser.GetStringAsync(new Uri(line["Graftbench is at ".Length..]), patience.Token);
        Assert.Contains("<html", page, StringComparison.OrdinalIgnoreCase);
        Assert.Equal(0, Kill(process.Id, Interrupt));
        await process.WaitForExitAsync(patience.Token);
        Assert.Equal(0, process.ExitCode);
        Assert.Equal("", await process.StandardError.ReadToEndAsync(patience.Token));
    }

    [Fact]
    public async Task A_taken_port_is_said_in_one_sentence()
    {
        using TcpListener other = new(IPAddress.Loopback, 0);
        other.Start();
        int port = ((IPEndPoint)other.LocalEndpoint).Port;
        using TemporaryFolder folder = new();
        Run run = (await Bench.RunAsync("serve", "--port", $"{port}", "--data", folder.Path, "--no-demo")).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.StartsWith($"Port {port} on 127.0.0.1 is taken", run.Says, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("--port", "70000")]
    [InlineData("--port", "-1")]
    [InlineData("--port", "http")]
    public async Task A_port_is_a_number_in_range(params string[] arguments)
    {
        Run run = (await Bench.RunAsync(["serve", .. arguments])).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains("--port", run.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("System.", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_file_is_no_data_folder()
    {
        using TemporaryFolder folder = new();
        await File.WriteAllTextAsync(folder.File("data"), "not a folder");
        Run run = (
            await Bench.RunAsync("serve", "--port", "0", "--data", folder.File("data"), "--no-demo")
        ).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.DoesNotContain("Unexpected", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Other_devices_are_answered_when_asked_for_and_the_fingerprint_is_said()
    {
        using TemporaryFolder folder = new();
        using Process process = Bench.Start([
            "serve",
            "--port",
            "0",
            "--data",
            folder.Path,
            "--no-demo",
            "--network",
            "--address",
            "127.0.0.1",
            "--tls-port",
            "0",
        ]);
        using CancellationTokenSource patience = new(TimeSpan.FromSeconds(60));
        List<string> lines = [];
        while (await process.StandardOutput.ReadLineAsync(patience.Token) is { } line)
        {
            lines.Add(line);
            if (line.StartsWith("Store: ", StringComparison.Ordinal))
            {
                break;
            }
        }
        Assert.Matches("^Graftbench is at http://127\\.0\\.0\\.1:[0-9]+$", lines[0]);
        Assert.Contains(lines, line => line.StartsWith("Other devices: https://127.0.0.1:", StringComparison.Ordinal));
        Assert.Contains(lines, line => line.EndsWith("/devices", StringComparison.Ordinal));
        Assert.Equal(2, lines.Count(line => line.StartsWith("SHA-256 of ", StringComparison.Ordinal)));
        Assert.Equal(0, Kill(process.Id, Interrupt));
        await process.WaitForExitAsync(patience.Token);
        Assert.Equal("", await process.StandardError.ReadToEndAsync(patience.Token));
    }

    [Theory]
    [InlineData("--network", "--address", "shop")]
    [InlineData("--network", "--address", "10.1")]
    [InlineData("--network", "--address", "0.0.0.0")]
    [InlineData("--network", "--address", "203.0.113.9")]
    [InlineData("--network", "--tls-port", "70000")]
    [InlineData("--address", "127.0.0.1")]
    [InlineData("--tls-port", "5443")]
    public async Task What_is_no_address_here_is_said_and_nothing_starts(params string[] arguments)
    {
        using TemporaryFolder folder = new();
        Run run = (
            await Bench.RunAsync(["serve", "--port", "0", "--data", folder.Path, "--no-demo", .. arguments])
        ).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains(arguments[^2], run.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("System.", run.Error, StringComparison.Ordinal);
    }

    [DllImport("libc", EntryPoint = "kill")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Kill(int process, int signal);
}
