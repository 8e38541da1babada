using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;
using System.Xml.Linq;
using Graftbench.Core.Findings;
using Graftbench.Core.Planning;

namespace Graftbench.Sheets.Tests.Sheet;

public partial class PlanSheetTests
{
    private static readonly Dictionary<string, Func<JobPlan>> All = new(StringComparer.Ordinal)
    {
        ["typical"] = Plans.Typical,
        ["empty"] = Plans.Empty,
        ["no-answer"] = Plans.NoAnswer,
        ["eighty-days"] = Plans.EightyDays,
        ["two-hundred"] = Plans.TwoHundred,
        ["hostile"] = Plans.HostileText,
    };

    public static TheoryData<string> Names => [.. All.Keys];

    [Theory, InlineData("typical"), InlineData("empty"), InlineData("no-answer")]
    public void Sheet_is_as_read_before(string name) =>
        Snapshot.Matches(PlanSheet.Html(All[name]()), "sheet-" + name, "html");

    [Theory, MemberData(nameof(Names))]
    public void Sheet_carries_everything_it_needs_and_runs_nothing(string name)
    {
        string html = PlanSheet.Html(All[name]());
        string tags = string.Concat(Tag().Matches(html).Select(match => match.Value));
        string plain = tags.Replace("http://www.w3.org/2000/svg", "", StringComparison.Ordinal);
        Assert.DoesNotMatch(@"<(script|link|img|iframe|object|embed|base|form|a)\b", plain);
        Assert.DoesNotMatch(@"\s(style|on\w+|src|href)\s*=", AttributeNames(plain));
        Assert.DoesNotContain("http", plain, StringComparison.Ordinal);
        Assert.DoesNotContain("url(", html, StringComparison.Ordinal);
        Assert.DoesNotContain("@import", html, StringComparison.Ordinal);
        Assert.StartsWith("<!doctype html>\n<html lang=\"en\">", html, StringComparison.Ordinal);
        Assert.DoesNotContain("NaN", html, StringComparison.Ordinal);
    }

    [Theory, MemberData(nameof(Names))]
    public void Sheet_is_well_formed(string name)
    {
        XElement body = Body(PlanSheet.Html(All[name]()));
        Assert.Single(body.Descendants(), element => element.Name.LocalName == "h1");
        foreach (XElement table in body.Descendants().Where(element => element.Name.LocalName == "table"))
        {
            Assert.Contains(
                table.Elements(),
                element => element.Name.LocalName == "caption" && element.Value.Length > 0
            );
            int columns = table
                .Descendants()
                .Count(element => element.Name.LocalName == "th" && (string?)element.Attribute("scope") == "col");
            Assert.All(
                table.Descendants().Where(element => element.Name.LocalName == "tr").Skip(1),
                row => Assert.Equal(columns, row.Elements().Count())
            );
        }
    }

    [Fact]
    public void Hostile_text_is_shown_as_text()
    {
        string html = PlanSheet.Html(Plans.HostileText());
        Assert.DoesNotContain("<script", html, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("\u202E", html, StringComparison.Ordinal);
        Assert.DoesNotContain("\0", html, StringComparison.Ordinal);
        XElement body = Body(html);
        Assert.Contains("<script>alert(1)</script>\" onload='x'", body.Value, StringComparison.Ordinal);
        Assert.Contains("\uD83D\uDE00", body.Value, StringComparison.Ordinal);
    }

    [Fact]
    public void Findings_stand_worst_first_with_word_sign_value_limit_and_todo()
    {
        JobPlan plan = Plans.Typical();
        string text = Body(PlanSheet.Html(plan with { Findings = [.. plan.Findings.Reverse()] })).Value;
        int from = text.IndexOf("Findings, worst first", StringComparison.Ordinal);
        int last = from;
        foreach (Finding finding in Finding.WorstFirst(plan.Findings.Reverse()))
        {
            int at = text.IndexOf(finding.What, from, StringComparison.Ordinal);
            Assert.True(at > last, finding.What);
            Assert.Contains(TradeWords.Of(finding.Verdict), text[last..at], StringComparison.Ordinal);
            last = at;
        }
        Assert.Contains("Take BT1 off before drying.", text, StringComparison.Ordinal);
        Assert.Contains("SET ASIDE by M. Okafor", text, StringComparison.Ordinal);
    }

    [Fact]
    public void What_is_missing_or_not_computed_is_said()
    {
        string text = Body(PlanSheet.Html(Plans.Empty())).Value;
        Assert.Contains("MISSING: get it in writing before the first heat", text, StringComparison.Ordinal);
        Assert.Contains("Nothing was checked. Unknown is not ok.", text, StringComparison.Ordinal);
        Assert.Contains("Not computed yet", text, StringComparison.Ordinal);
        Assert.Contains("no answer: see the drying plan", text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_strict_page_lets_the_style_through_by_its_hash()
    {
        string html = PlanSheet.Html(Plans.Empty());
        string style = html[
            (html.IndexOf("<style>", StringComparison.Ordinal) + 7)..html.IndexOf("</style>", StringComparison.Ordinal)
        ];
        string hash = Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(style)));
        Assert.Equal($"'sha256-{hash}'", PlanSheet.StyleSource);
    }

    [Fact]
    public void Temperatures_follow_the_display()
    {
        string text = Body(PlanSheet.Html(Plans.Typical(), new Display(Fahrenheit: true))).Value;
        Assert.Contains("Dryer at 149 °F", text, StringComparison.Ordinal);
        Assert.Contains("off by up to 9 °F", text, StringComparison.Ordinal);
    }

    // The sheet is also XML but for the doctype and the void tags of the head and of line ends.
    private static XElement Body(string html) =>
        XElement.Parse(
            VoidTag()
                .Replace(
                    html[
                        html.IndexOf("<body>", StringComparison.Ordinal)..html.IndexOf(
                            "</html>",
                            StringComparison.Ordinal
                        )
                    ],
                    "<${tag}/>"
                )
        );

    // Values of attributes are escaped text and may say anything.
    private static string AttributeNames(string tags) => AttributeValue().Replace(tags, "=");

    [GeneratedRegex("<[^>]*>", RegexOptions.ExplicitCapture, 5000)]
    private static partial Regex Tag();

    [GeneratedRegex("<(?<tag>(br|col)( [^>]*)?)>", RegexOptions.ExplicitCapture, 5000)]
    private static partial Regex VoidTag();

    [GeneratedRegex("=\"[^\"]*\"", RegexOptions.ExplicitCapture, 5000)]
    private static partial Regex AttributeValue();
}
