using System.Data.Common;
using Graftbench.Core.Findings;
using Graftbench.Store.Engines;

namespace Graftbench.Store.Checking;

/// <summary>Checks of the store as a whole: the guards in it.</summary>
internal static class StoreFileCheck
{
    /// <summary>Whether tables, indexes and triggers are those of a sound store.</summary>
    public static IEnumerable<Finding> Guards(DbConnection connection, string path)
    {
        StoreDialect dialect = StoreDialect.Of(connection);
        IReadOnlyDictionary<string, string>? expected = null;
        string why = "";
        try
        {
            expected = dialect.ExpectedParts(connection);
        }
        catch (DbException problem)
        {
            why = problem.Message.TrimEnd('.');
        }
        if (expected is null)
        {
            yield return new Finding(
                Verdict.FixFirst,
                "store.guards-unchecked",
                path,
                $"Whether the guards are those of this program could not be checked ({why}).",
                Todo: "Make the user the owner of the database, so that it may make a schema to compare with."
            );
            yield break;
        }
        IReadOnlyDictionary<string, string> found = dialect.Parts(connection);
        foreach (string name in expected.Keys.Union(found.Keys).Order(StringComparer.Ordinal))
        {
            string? what =
                !found.TryGetValue(name, out string? text) ? $"The {name} is missing from the store."
                : !expected.TryGetValue(name, out string? wanted) ? $"The {name} does not belong into the store."
                : !string.Equals(text, wanted, StringComparison.Ordinal) ? $"The {name} is not as this program made it."
                : null;
            if (what is not null)
            {
                yield return new Finding(
                    Verdict.FixFirst,
                    "store.guard-altered",
                    path,
                    what,
                    Todo: "Somebody changed the file beside the program: find out who and why before relying on it."
                );
            }
        }
    }
}
