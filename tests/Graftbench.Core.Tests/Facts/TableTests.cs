using Graftbench.Core.Facts;

namespace Graftbench.Core.Tests.Facts;

public class TableTests
{
    public static TheoryData<string> AllTables => [.. CsvTable.Names];

    public static TheoryData<string> TablesWithFacts =>
        [.. CsvTable.Names.Where(name => name != ReferenceShelf.SourceTableName)];

    [Theory, MemberData(nameof(AllTables))]
    public void A_table_has_a_title_remarks_and_rows(string name)
    {
        CsvTable table = CsvTable.Load(name);
        Assert.NotEqual(name, table.Title);
        Assert.NotEmpty(table.About);
        Assert.NotEmpty(table.Rows);
        Assert.All(table.Columns, column => Assert.NotEmpty(column));
        Assert.Equal(table.Columns.Count, table.Columns.Distinct().Count());
    }

    [Theory, MemberData(nameof(TablesWithFacts))]
    public void Confidence_and_source_are_the_last_columns_and_every_row_has_both(string name)
    {
        CsvTable table = CsvTable.Load(name);
        Assert.Equal(["confidence", "source"], table.Columns.TakeLast(2));
        Assert.All(
            table.Rows,
            row =>
            {
                Assert.True(Enum.IsDefined(row.Confidence));
                Assert.True(
                    ReferenceShelf.FindSource(row["source"]) is not null,
                    $"{row}: source '{row["source"]}' is not in data/sources.csv"
                );
            }
        );
    }

    [Fact]
    public void A_row_from_memory_never_names_a_seen_source_alone()
    {
        // C means "seen on a page": the three homes of unseen facts cannot be that page.
        string[] unseen =
        [
            "from-memory",
            "common-practice",
            "graftbench-estimate",
            "ipc-1601-ceiling",
            "board-bow-twist",
        ];
        foreach (string name in CsvTable.Names.Where(name => name != ReferenceShelf.SourceTableName))
        {
            Assert.All(
                CsvTable.Load(name).Rows,
                row => Assert.False(row.Confidence == Confidence.Seen && unseen.Contains(row["source"]), row.ToString())
            );
        }
    }

    [Fact]
    public void Source_ids_are_unique_small_letters_and_every_source_says_how_it_was_seen()
    {
        CsvTable sources = CsvTable.Load(ReferenceShelf.SourceTableName);
        Assert.Equal(["id", "title", "note"], sources.Columns);
        Assert.Equal(sources.Rows.Count, sources.Rows.Select(row => row["id"]).Distinct().Count());
        Assert.All(sources.Rows, row => Assert.Matches("^[a-z0-9]+(-[a-z0-9]+)*$", row["id"]));
        Assert.All(sources.Rows, row => Assert.NotEmpty(row["title"]));
        Assert.All(sources.Rows, row => Assert.True(row["note"].Length > 20, row.ToString()));
    }

    [Fact]
    public void The_reference_shelf_shows_every_table_with_the_sources_last()
    {
        Assert.Equal(CsvTable.Names.Order(), ReferenceShelf.Tables.Select(table => table.Id).Order());
        Assert.Equal(ReferenceShelf.SourceTableName, ReferenceShelf.Tables[^1].Id);
        Assert.All(
            ReferenceShelf.Tables,
            table => Assert.All(table.Rows, row => Assert.Equal(table.Columns.Count, row.Count))
        );
    }

    [Fact]
    public void An_unknown_source_is_not_found() => Assert.Null(ReferenceShelf.FindSource("no-such-source"));

    [Fact]
    public void Quoted_cells_remarks_and_line_ends_are_read()
    {
        CsvTable table = CsvTable.Parse("t", "# Title\r\n# more\r\na,b\r\n\"x, \"\"y\"\"\",2.5\r\n\r\n");
        Assert.Equal(("Title", "more"), (table.Title, table.About));
        CsvRow row = Assert.Single(table.Rows);
        Assert.Equal("x, \"y\"", row["a"]);
        Assert.Equal(2.5, row.Number("b"));
        Assert.Equal("data/t.csv line 4", row.ToString());
    }

    [Fact]
    public void A_row_with_too_many_cells_is_refused_with_its_line()
    {
        InvalidDataException refusal = Assert.Throws<InvalidDataException>(() =>
            CsvTable.Parse("t", "a,b\n1,2\n1,2,3\n")
        );
        Assert.Contains("line 3", refusal.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("x")]
    [InlineData("1,5")]
    [InlineData("")]
    public void A_cell_that_is_not_a_number_is_refused(string cell)
    {
        CsvRow row = CsvTable.Parse("t", $"a\n\"{cell}\"\n").Rows[0];
        Assert.Throws<InvalidDataException>(() => row.Number("a"));
    }
}
