using System.Net;
using System.Text.RegularExpressions;
using Graftbench.Core.Facts;

namespace Graftbench.Web.Tests;

public class ReferencePageTests(DemoBench bench) : IClassFixture<DemoBench>
{
    [Fact]
    public async Task Each_answer_stands_in_words_with_its_error_and_what_it_is_not_for()
    {
        string page = await Page("/reference");
        string truth = Section(page, TruthTable.Name);
        Assert.DoesNotContain("<table", truth, StringComparison.Ordinal);
        foreach (TruthRow row in TruthTable.Rows)
        {
            int at = truth.IndexOf($"id=\"truth-{row.Id}\"", StringComparison.Ordinal);
            Assert.True(at >= 0, row.Id);
            string block = truth[at..truth.IndexOf("</article>", at, StringComparison.Ordinal)];
            Assert.All(
                [row.What, row.Off, row.Against, row.NotFor, row.EvidenceWords],
                text => Assert.Contains(text, block, StringComparison.Ordinal)
            );
        }
    }

    [Fact]
    public async Task No_table_shows_a_column_by_its_name_in_the_file()
    {
        string page = await Page("/reference");
        foreach (ReferenceTable table in ReferenceShelf.Tables.Where(table => table.Id != TruthTable.Name))
        {
            string head = Section(page, table.Id);
            head = head[..head.IndexOf("<tbody", StringComparison.Ordinal)];
            Assert.Equal(
                table.Headings,
                Regex
                    .Matches(
                        head,
                        "<th scope=\"col\">(?<head>[^<]*)</th>",
                        RegexOptions.ExplicitCapture,
                        TimeSpan.FromSeconds(5)
                    )
                    .Select(match => match.Groups["head"].Value)
            );
            Assert.All(
                table.Columns.Where(name => name.Any(letter => char.IsAsciiLetterUpper(letter) || letter == '_')),
                name => Assert.DoesNotMatch($@"\b{name}\b", head)
            );
        }
    }

    [Fact]
    public async Task The_filter_finds_answers_by_what_is_read_not_by_what_the_file_calls_it()
    {
        Assert.Contains("truth-fit.settles", await Page("/reference?q=lambert"), StringComparison.Ordinal);
        Assert.DoesNotContain("truth-fit.settles", await Page("/reference?q={error}"), StringComparison.Ordinal);
    }

    private async Task<string> Page(string address)
    {
        using BenchClient client = bench.Host.Client();
        return WebUtility.HtmlDecode(await client.Get(address));
    }

    private static string Section(string page, string table)
    {
        int from = page.IndexOf($"id=\"table-{table}\"", StringComparison.Ordinal);
        return page[from..page.IndexOf("</section>", from, StringComparison.Ordinal)];
    }
}
