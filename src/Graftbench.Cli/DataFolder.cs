using System.CommandLine;
using Graftbench.Store;

namespace Graftbench.Cli;

/// <summary>Where the store lies: <c>--data</c>, else the variable <c>GRAFTBENCH_DATA</c>, else the user's own data folder.</summary>
internal static class DataFolder
{
    /// <summary>Environment variable that names the folder.</summary>
    public const string Variable = "GRAFTBENCH_DATA";

    /// <summary>The option <c>--store CONNECTION</c>, the same for every verb.</summary>
    public static Option<string?> Store { get; } =
        new("--store")
        {
            Description =
                $"PostgreSQL database that holds the store in place of the folder: postgresql://USER@HOST/DATABASE or key=value pairs (else ${StorePlace.Variable})",
            HelpName = "CONNECTION",
        };

    /// <summary>Where the store lies, from <c>--store</c> and <c>--data</c>.</summary>
    /// <exception cref="BadInputException">The connection cannot be read.</exception>
    public static StorePlace PlaceOf(ParseResult parse, Option<string> data)
    {
        string? given = parse.GetValue(Store);
        return PlaceOf(
            parse.GetRequiredValue(data),
            string.IsNullOrWhiteSpace(given) ? Environment.GetEnvironmentVariable(StorePlace.Variable) : given
        );
    }

    /// <summary>Where a store lies, from what a person gave.</summary>
    /// <exception cref="BadInputException">The connection cannot be read.</exception>
    public static StorePlace PlaceOf(string folder, string? connection)
    {
        try
        {
            return StorePlace.Of(folder, connection);
        }
        catch (StoreException problem)
        {
            throw new BadInputException(problem.Message);
        }
    }

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
