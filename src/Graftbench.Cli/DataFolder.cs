using System.CommandLine;

namespace Graftbench.Cli;

/// <summary>Where the store lies: <c>--data</c>, else the variable <c>GRAFTBENCH_DATA</c>, else the user's own data folder.</summary>
internal static class DataFolder
{
    /// <summary>Environment variable that names the folder.</summary>
    public const string Variable = "GRAFTBENCH_DATA";

    /// <summary>The folder when <c>--data</c> is not given.</summary>
    public static string Default()
    {
        string? named = Environment.GetEnvironmentVariable(Variable);
        if (!string.IsNullOrWhiteSpace(named))
        {
            return named;
        }
        string home = Environment.GetFolderPath(
            Environment.SpecialFolder.LocalApplicationData,
            Environment.SpecialFolderOption.DoNotVerify
        );
        return Path.Combine(home.Length > 0 ? home : Environment.CurrentDirectory, "graftbench");
    }

    /// <summary>The option <c>--data DIR</c>, the same for every verb.</summary>
    public static Option<string> Option()
    {
        Option<string> data = new("--data")
        {
            Description = $"Folder that holds the store (else ${Variable}, else the user's data folder)",
            HelpName = "DIR",
            DefaultValueFactory = _ => Default(),
        };
        data.Validators.Add(result =>
        {
            if (result.Tokens.Any(token => string.IsNullOrWhiteSpace(token.Value)))
            {
                result.AddError("--data: the name of the folder is empty.");
            }
        });
        return data;
    }
}
