using Graftbench.Core.Findings;
using Microsoft.Data.Sqlite;

namespace Graftbench.Store.Checking;

/// <summary>Checks of the file as a whole: its pages, and the guards in it.</summary>
internal static class StoreFileCheck
{
    /// <summary>Whether the file's pages, indexes and references are sound.</summary>
    public static IEnumerable<Finding> Pages(SqliteConnection connection, string path)
    {
        List<string> answers;
        int danglingRows;
        try
        {
            answers = connection.All("PRAGMA integrity_check(20)", row => row.GetString(0));
            danglingRows = connection.All("PRAGMA foreign_key_check", row => row.GetString(0)).Count;
        }
        catch (SqliteException problem)
        {
            answers = [problem.Message];
            danglingRows = 0;
        }
        foreach (string answer in answers.Where(answer => !string.Equals(answer, "ok", StringComparison.Ordinal)))
        {
            yield return new Finding(
                Verdict.Blocker,
                "store.damaged",
                path,
                $"The file is damaged: {answer.Replace('\n', ' ').TrimEnd('.')}.",
                Todo: "Copy the whole folder, then import the last export into a new folder."
            );
        }
        if (danglingRows > 0)
        {
            yield return new Finding(
                Verdict.FixFirst,
                "store.dangling-rows",
                path,
                "Rows refer to a record or a file that is not there.",
                $"{danglingRows} rows",
                "0 rows",
                Todo: "The findings of the records say which; fetch what is missing from the last export."
            );
        }
    }

    /// <summary>Whether tables, indexes and triggers are those of a sound store.</summary>
    public static IEnumerable<Finding> Guards(SqliteConnection connection, string path)
    {
        IReadOnlyDictionary<string, string> expected = StoreSchema.ExpectedParts();
        IReadOnlyDictionary<string, string> found = StoreSchema.Parts(connection);
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
