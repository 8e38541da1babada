using System.Diagnostics;
using System.Runtime.CompilerServices;
using System.Text;

namespace Graftbench.Cli.Tests;

/// <summary>What a run of the program gave.</summary>
internal sealed record Run(int Code, string Out, string Error)
{
    /// <summary>The error stream as one line.</summary>
    public string Says =>
        string.Join(' ', Error.Split((char[])[' ', '\n', '\r'], StringSplitOptions.RemoveEmptyEntries));

    /// <summary>Fails where a line of either stream is wider than a terminal of 100 columns, or steers it.</summary>
    public Run AssertFits()
    {
        foreach (string line in (Out + "\n" + Error).Split('\n'))
        {
            int width = line.EnumerateRunes().Count();
            Assert.True(width <= 100, $"{width} columns: {line}");
            Assert.DoesNotContain(line, c => char.IsControl(c) && c != '\r');
        }
        return this;
    }
}

/// <summary>Runs the built program as its own process, as a person or a script does.</summary>
internal static class Bench
{
    public const string At = "2026-03-10T12:00Z";

    private static readonly string Dll = Path.Combine(AppContext.BaseDirectory, "graftbench.dll");

    public static string Root { get; } = Path.GetFullPath(Path.Combine(Folder(), "../.."));

    public static string Good(string name) => Path.Combine(Root, "tests/corpus/good", name);

    public static string Broken(string name) => Path.Combine(Root, "tests/corpus/broken", name);

    public static string Expected(string name) => Path.Combine(Folder(), "Snapshots", name + ".expected.txt");

    public static Task<Run> RunAsync(params string[] arguments) => RunAsync(null, arguments);

    public static Task<Run> RunInAsync(string folder, params string[] arguments) => RunAsync(null, arguments, folder);

    public static async Task<Run> RunAsync(byte[]? input, string[] arguments, string? folder = null)
    {
        using Process process = StartIn(folder ?? Path.GetTempPath(), arguments);
        Task<string> output = process.StandardOutput.ReadToEndAsync();
        Task<string> error = process.StandardError.ReadToEndAsync();
        try
        {
            await process.StandardInput.BaseStream.WriteAsync(input ?? []);
            process.StandardInput.Close();
        }
        catch (IOException)
        {
            // The program may end without reading all of it.
        }
        using CancellationTokenSource patience = new(TimeSpan.FromSeconds(60));
        try
        {
            await process.WaitForExitAsync(patience.Token);
        }
        catch (OperationCanceledException)
        {
            process.Kill(entireProcessTree: true);
            throw;
        }
        return new Run(process.ExitCode, await output, await error);
    }

    public static Process Start(params string[] arguments) => StartIn(Path.GetTempPath(), arguments);

    private static Process StartIn(string folder, string[] arguments)
    {
        ProcessStartInfo start = new(
            Environment.ProcessPath is { } host && Path.GetFileNameWithoutExtension(host) == "dotnet" ? host : "dotnet"
        )
        {
            UseShellExecute = false,
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            StandardOutputEncoding = Encoding.UTF8,
            StandardErrorEncoding = Encoding.UTF8,
            WorkingDirectory = folder,
        };
        start.ArgumentList.Add(Dll);
        foreach (string argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }
        return Process.Start(start)!;
    }

    private static string Folder([CallerFilePath] string file = "") => Path.GetDirectoryName(file)!;
}

/// <summary>A folder of its own that is gone afterwards.</summary>
internal sealed class TemporaryFolder : IDisposable
{
    public string Path { get; } = Directory.CreateTempSubdirectory("graftbench-cli-").FullName;

    public string File(string name) => System.IO.Path.Combine(Path, name);

    public void Dispose() => Directory.Delete(Path, recursive: true);
}
