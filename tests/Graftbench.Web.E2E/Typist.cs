using System.Globalization;
using System.Text.Json.Nodes;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Graftbench.Web.E2E;

/// <summary>Somebody who types a job into the forms, field by field, from a paper that says what is to stand where.</summary>
internal sealed class Typist(BenchPage bench, JsonObject paper)
{
    // The sections that need the chips' names, or the boards, come after them.
    private static readonly string[] Sections =
    [
        "machine",
        "host",
        "host-parts",
        "donor",
        "donor-parts",
        "chips",
        "materials",
        "fit",
        "seat",
        "dryer",
        "heaters",
        "history",
        "heats",
        "weighings",
        "work",
        "handover",
    ];

    private readonly Dictionary<string, string> _leaves = Leaves(paper);
    private readonly HashSet<string> _typed = new(StringComparer.Ordinal);

    /// <summary>What stands on the paper and has no field in any form that was opened.</summary>
    public IEnumerable<string> NotTyped => _leaves.Keys.Except(_typed).Order(StringComparer.Ordinal);

    /// <summary>Fills the form of a new job and every form of the job. Returns the job's address.</summary>
    public async Task<string> Type()
    {
        await bench.Go("/jobs/new");
        string origin = paper["donor"] is null ? "shelf" : "donor";
        await bench.Page.Locator($"input[name='x.origin'][value='{origin}']").CheckAsync();
        await bench.Page.Locator("input[type='checkbox'][name='x.old-chip']").UncheckAsync();
        await Enter();
        await bench.Button("Save and plan").Last.ClickAsync();
        await Saved();
        string address = new Uri(bench.Page.Url).AbsolutePath;
        foreach (string section in Sections)
        {
            await bench.Go($"{address}/edit/{section}");
            await AddEntries();
            if (await Enter() > 0)
            {
                await bench.Page.Locator("button.button-main[value='save']").ClickAsync();
                await Saved();
            }
        }
        return address;
    }

    private async Task Saved()
    {
        if (await bench.Page.Locator(".summary").CountAsync() > 0)
        {
            Assert.Fail(await bench.Page.Locator(".summary").First.InnerTextAsync());
        }
    }

    // Presses "Add ..." until every list has as many entries as the paper.
    private async Task AddEntries()
    {
        for (bool pressed = true; pressed; )
        {
            pressed = false;
            foreach (
                string list in await bench.Page.EvaluateAsync<string[]>(
                    "[...document.querySelectorAll('button[value^=\"add:\"]')].map(each => each.value.slice(4))"
                )
            )
            {
                int there = await bench.Page.EvaluateAsync<int>(
                    "list => new Set([...document.querySelectorAll('main [name]')].map(each => each.name).filter(name => name.startsWith(list + '['))"
                        + ".map(name => name.slice(list.length + 1).split(']')[0])).size",
                    list
                );
                if (there < Wanted(list))
                {
                    await bench.Page.Locator($"button[value='add:{list}']").ClickAsync();
                    await Expect(bench.Page.Locator($"main [name^='{list}[{there}]']").First).ToBeAttachedAsync();
                    pressed = true;
                    break;
                }
            }
        }
    }

    private int Wanted(string list) =>
        _leaves
            .Keys.Where(path => path.StartsWith(list + "[", StringComparison.Ordinal))
            .Select(path => int.Parse(path[(list.Length + 1)..].Split(']')[0], CultureInfo.InvariantCulture) + 1)
            .DefaultIfEmpty(0)
            .Max();

    private async Task<int> Enter()
    {
        string[] fields = await bench.Page.EvaluateAsync<string[]>(
            "[...document.querySelectorAll('main input:not([type=hidden]), main select, main textarea')]"
                + ".filter(each => each.offsetParent && each.type !== 'radio').map(each => `${each.type} ${each.name}`)"
        );
        int count = 0;
        foreach (string field in fields.Distinct())
        {
            string kind = field[..field.IndexOf(' ', StringComparison.Ordinal)];
            string name = field[(kind.Length + 1)..];
            if (!_leaves.TryGetValue(name, out string? text))
            {
                continue;
            }
            ILocator entry = bench.Page.Locator($"main [name='{name}']:not([type=hidden])");
            switch (kind)
            {
                case "checkbox":
                    await entry.SetCheckedAsync(text == "true");
                    break;
                case "select-one":
                    await entry.SelectOptionAsync(text);
                    break;
                case "datetime-local":
                    await entry.FillAsync(OnTheClock(text));
                    break;
                default:
                    await entry.FillAsync(text);
                    break;
            }
            _typed.Add(name);
            count++;
        }
        return count;
    }

    private static string OnTheClock(string moment) =>
        DateTimeOffset
            .Parse(moment, CultureInfo.InvariantCulture)
            .ToLocalTime()
            .ToString("yyyy-MM-ddTHH:mm", CultureInfo.InvariantCulture);

    /// <summary>The document as paths and texts; what the bench gives itself (format, id), files and the lines of the record are left out.</summary>
    public static Dictionary<string, string> Leaves(JsonObject document)
    {
        Dictionary<string, string> leaves = new(StringComparer.Ordinal);
        Walk(document, "", leaves);
        return leaves
            .Where(leaf =>
                leaf.Key is not ("format" or "id")
                && !leaf.Key.Contains("allList.", StringComparison.Ordinal)
                && !leaf.Key.StartsWith("evidence[", StringComparison.Ordinal)
            )
            .ToDictionary(StringComparer.Ordinal);
    }

    private static void Walk(JsonNode? node, string path, Dictionary<string, string> leaves)
    {
        switch (node)
        {
            case JsonObject members:
                foreach ((string name, JsonNode? value) in members)
                {
                    Walk(value, path.Length == 0 ? name : $"{path}.{name}", leaves);
                }
                break;
            case JsonArray entries:
                for (int i = 0; i < entries.Count; i++)
                {
                    Walk(entries[i], string.Create(CultureInfo.InvariantCulture, $"{path}[{i}]"), leaves);
                }
                break;
            case not null:
                leaves[path] = node.ToString();
                break;
            default:
                break;
        }
    }
}
