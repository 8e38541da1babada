using System.Net;
using System.Text.RegularExpressions;

namespace Graftbench.Web.Tests;

/// <summary>A form as a browser would send it: every successful control with its value.</summary>
public sealed partial class HtmlForm
{
    private HtmlForm(string action, List<KeyValuePair<string, string>> fields)
    {
        Action = action;
        Fields = fields;
    }

    public string Action { get; }

    public List<KeyValuePair<string, string>> Fields { get; }

    public string? this[string name] => Fields.LastOrDefault(field => field.Key == name).Value;

    public static HtmlForm Of(string html, string action)
    {
        Match form =
            Forms().Matches(html).FirstOrDefault(each => Attribute(each.Groups["head"].Value, "action") == action)
            ?? throw new InvalidOperationException($"The page has no form for {action}.");
        List<KeyValuePair<string, string>> fields = [];
        foreach (Match control in Controls().Matches(form.Groups["body"].Value))
        {
            string head = control.Groups["head"].Value;
            if (Attribute(head, "name") is not { } name)
            {
                continue;
            }
            string type = Attribute(head, "type") ?? "text";
            string? value = control.Groups["tag"].Value switch
            {
                "textarea" => WebUtility.HtmlDecode(control.Groups["text"].Value),
                "select" => Selected(control.Groups["text"].Value),
                _ when type is "checkbox" or "radio" => Checked().IsMatch(head)
                    ? Attribute(head, "value") ?? "on"
                    : null,
                _ when type == "file" => null,
                _ => Attribute(head, "value") ?? "",
            };
            if (value is not null)
            {
                fields.Add(KeyValuePair.Create(name, value));
            }
        }
        return new HtmlForm(action, fields);
    }

    public HtmlForm With(string name, string value)
    {
        int first = Fields.FindIndex(field => field.Key == name);
        Fields.RemoveAll(field => field.Key == name);
        Fields.Insert(first < 0 ? Fields.Count : first, KeyValuePair.Create(name, value));
        return this;
    }

    private static string? Selected(string options)
    {
        List<Match> all = Options().Matches(options).ToList();
        Match? chosen =
            all.Find(option => option.Groups["head"].Value.Contains(" selected", StringComparison.Ordinal))
            ?? (all.Count > 0 ? all[0] : null);
        return chosen is null ? null : Attribute(chosen.Groups["head"].Value, "value");
    }

    private static string? Attribute(string head, string name)
    {
        Match match = Regex.Match(
            head,
            $"""\s{name}="(?<value>[^"]*)" """.TrimEnd(),
            RegexOptions.ExplicitCapture,
            TimeSpan.FromSeconds(1)
        );
        return match.Success ? WebUtility.HtmlDecode(match.Groups["value"].Value) : null;
    }

    [GeneratedRegex(
        "<form(?<head>[^>]*)>(?<body>.*?)</form>",
        RegexOptions.Singleline | RegexOptions.ExplicitCapture,
        matchTimeoutMilliseconds: 2000
    )]
    private static partial Regex Forms();

    [GeneratedRegex(
        "<(?<tag>input)(?<head>[^>]*)>|<(?<tag>select|textarea)(?<head>[^>]*)>(?<text>.*?)</(select|textarea)>",
        RegexOptions.Singleline | RegexOptions.ExplicitCapture,
        matchTimeoutMilliseconds: 2000
    )]
    private static partial Regex Controls();

    [GeneratedRegex("<option(?<head>[^>]*)>", RegexOptions.ExplicitCapture, matchTimeoutMilliseconds: 2000)]
    private static partial Regex Options();

    [GeneratedRegex(@"\schecked(\s|=|$|/)", RegexOptions.ExplicitCapture, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Checked();
}
