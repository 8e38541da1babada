using System.Diagnostics;
using System.Runtime.Versioning;

namespace Graftbench.Conventions;

/// <summary>The commands that a newcomer types exist, and the documents name no others. The scripts are bash.</summary>
[UnsupportedOSPlatform("windows")]
public class CommandTests
{
    public static TheoryData<string> Verbs =>
        [
            "plan",
            "fit",
            "dry",
            "heat",
            "joints",
            "alloy",
            "balls",
            "voids",
            "proof",
            "next-test",
            "image",
            "record",
            "schema",
            "serve",
        ];

    public static TheoryData<string> Scripts =>
        [
            "run",
            "test",
            "publish",
            ".ci/run",
            "scripts/browser",
            "scripts/emulator",
            "scripts/firmware-samples",
            "scripts/graftbench",
        ];

    [Theory, MemberData(nameof(Scripts))]
    public void A_script_can_be_started_and_bash_can_read_it(string script)
    {
        Assert.True(
            File.GetUnixFileMode(Repository.PathOf(script)).HasFlag(UnixFileMode.UserExecute),
            $"{script} is not executable"
        );
        Assert.StartsWith("#!/usr/bin/env bash\n", Repository.Read(script), StringComparison.Ordinal);
        (int code, string output) = Start("bash", "-n", Repository.PathOf(script));
        Assert.True(code == 0, output);
    }

    [Fact]
    public void Every_command_of_the_documents_exists()
    {
        List<string> missing = [];
        foreach (string document in new[] { "README.md", "CONTRIBUTING.md" })
        {
            foreach (string line in CommandsOf(Repository.Read(document)))
            {
                string[] words = line.Split(' ', StringSplitOptions.RemoveEmptyEntries);
                string program = words[0].StartsWith("./", StringComparison.Ordinal) ? words[0][2..] : words[0];
                bool exists = program is "cp" or "dotnet" or "git" || File.Exists(Repository.PathOf(program));
                if (program == "scripts/graftbench")
                {
                    exists &= Verbs.Any(verb => verb.Data == words[1]);
                }
                foreach (string file in words.Skip(1).Where(word => word.StartsWith("demo/", StringComparison.Ordinal)))
                {
                    exists &= File.Exists(Repository.PathOf(file));
                }
                if (!exists)
                {
                    missing.Add($"{document}: {line}");
                }
            }
        }
        Assert.True(missing.Count == 0, string.Join('\n', missing));
    }

    [Theory, MemberData(nameof(Verbs))]
    public void A_verb_explains_itself_with_an_example(string verb)
    {
        (int code, string output) = Start("dotnet", Program, verb, "--help");
        Assert.Equal(0, code);
        Assert.Contains($"graftbench {verb}", output, StringComparison.Ordinal);
        Assert.Contains("Example", output, StringComparison.Ordinal);
        Assert.All(output.Split('\n'), line => Assert.True(line.Length <= 100, line));
    }

    [Fact]
    public void The_output_in_the_readme_is_what_the_program_says()
    {
        List<string> said = [];
        List<string> shown = [];
        foreach (string line in BlocksOf(Repository.Read("README.md"), "console"))
        {
            if (line.StartsWith("$ scripts/graftbench ", StringComparison.Ordinal))
            {
                string[] words = line["$ scripts/graftbench ".Length..].Split(' ');
                string[] arguments =
                [
                    .. words.Select(word =>
                        word.StartsWith("demo/", StringComparison.Ordinal) ? Repository.PathOf(word) : word
                    ),
                ];
                said = [.. Start("dotnet", [Program, .. arguments]).Output.Split('\n')];
            }
            else
            {
                shown.Add(line);
            }
        }
        Assert.True(shown.Count > 10, $"{shown.Count} lines");
        // Line by line in the same order; "..." leaves lines out.
        int place = 0;
        bool gap = false;
        foreach (string line in shown)
        {
            if (line == "...")
            {
                gap = true;
                continue;
            }
            int found = said.IndexOf(line, place);
            Assert.True(found >= 0 && (gap || found == place), $"not said here: {line}");
            place = found + 1;
            gap = false;
        }
    }

    [Fact]
    public void Without_dotnet_the_start_says_what_to_install()
    {
        (int code, string output) = Start(
            "/bin/bash",
            "-c",
            $"cd / && HOME=/nowhere PATH={BareTools()} '{Repository.PathOf("run")}'"
        );
        Assert.Equal(3, code);
        Assert.Contains(".NET 10 SDK is not installed", output, StringComparison.Ordinal);
    }

    [Fact]
    public void The_build_machine_gets_the_result_as_its_last_line()
    {
        // A copy whose ./test only talks: what .ci/run makes of it is what counts.
        string folder = Directory.CreateTempSubdirectory("graftbench-ci-").FullName;
        try
        {
            Directory.CreateDirectory(Path.Combine(folder, ".ci"));
            File.Copy(Repository.PathOf(".ci/run"), Path.Combine(folder, ".ci", "run"));
            File.WriteAllText(
                Path.Combine(folder, "test"),
                "#!/usr/bin/env bash\necho Testing\necho '7 passed, 2 failed'\necho trouble >&2\nexit 1\n"
            );
            File.SetUnixFileMode(Path.Combine(folder, "test"), UnixFileMode.UserRead | UnixFileMode.UserExecute);
            (int code, string output) = Start("bash", Path.Combine(folder, ".ci", "run"));
            Assert.Equal(1, code);
            Assert.Equal("7 passed, 2 failed", output.TrimEnd('\n').Split('\n')[^1]);
            Assert.Single(output.Split('\n'), line => line == "7 passed, 2 failed");
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    // Links to the few programs that the scripts use, without dotnet beside them.
    private static string BareTools()
    {
        string folder = Path.Combine(AppContext.BaseDirectory, "bare-tools");
        Directory.CreateDirectory(folder);
        foreach (string tool in new[] { "bash", "env", "dirname", "mktemp", "cat", "rm" })
        {
            string link = Path.Combine(folder, tool);
            if (!File.Exists(link))
            {
                File.CreateSymbolicLink(link, File.Exists("/usr/bin/" + tool) ? "/usr/bin/" + tool : "/bin/" + tool);
            }
        }
        return folder;
    }

    private static string Program => Path.Combine(AppContext.BaseDirectory, "graftbench.dll");

    private static IEnumerable<string> CommandsOf(string markdown) =>
        BlocksOf(markdown, "sh").Select(line => line.Split('#')[0].Trim()).Where(line => line.Length > 0);

    private static IEnumerable<string> BlocksOf(string markdown, string language)
    {
        bool inside = false;
        foreach (string line in markdown.Split('\n'))
        {
            if (line.StartsWith("```", StringComparison.Ordinal))
            {
                inside = !inside && line == "```" + language;
            }
            else if (inside)
            {
                yield return line;
            }
        }
    }

    private static (int Code, string Output) Start(string program, params string[] arguments)
    {
        ProcessStartInfo start = new()
        {
            FileName = program,
            UseShellExecute = false,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        foreach (string argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }
        using Process process = Process.Start(start)!;
        Task<string> errors = process.StandardError.ReadToEndAsync();
        string output = process.StandardOutput.ReadToEnd();
        Assert.True(process.WaitForExit(TimeSpan.FromMinutes(1)), "still running after a minute");
        return (process.ExitCode, errors.Result + output);
    }
}
