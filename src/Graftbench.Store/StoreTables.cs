namespace Graftbench.Store;

/// <summary>A table that goes along when a store is copied.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Order">Columns that its rows are read by, so that they arrive in the order in which they came.</param>
/// <param name="Counted">Column that the database counts up by itself and that is given anew; null where there is none.</param>
internal sealed record StoreTable(string Name, string Order, string? Counted = null);

/// <summary>What a copy of a store consists of. A table that is in neither list makes every copy refuse, and a test fail.</summary>
internal static class StoreTables
{
    /// <summary>Table of the files, whose bytes are copied piece by piece.</summary>
    public const string Files = "file";

    /// <summary>Tables that are copied row by row, each after those it refers to.</summary>
    public static IReadOnlyList<StoreTable> Copied { get; } =
    [
        new("record", "id"),
        new(Files, "id", "id"),
        new("evidence", "id", "id"),
        new("job", "id"),
        new("shelf", "id"),
        new("heat_run", "id"),
        new("heat_sample", "run_id, sequence"),
        new("heat_mark", "run_id, sequence"),
        new("bench_fact", "sequence"),
    ];

    /// <summary>Tables that hold nothing of their own and that the new store makes for itself from the copied ones.</summary>
    public static IReadOnlyList<string> Derived { get; } =
    [
        "job_list",
        // SQLite's index of words and the tables that it keeps for itself; PostgreSQL has it as a column.
        "job_text",
        "job_words",
        "job_words_config",
        "job_words_data",
        "job_words_docsize",
        "job_words_idx",
    ];
}
