using Deque.AxeCore.Commons;
using Microsoft.Playwright;

namespace Graftbench.Web.E2E;

/// <summary>Runs the accessibility rules on what a browser shows.</summary>
/// <remarks>
/// The rules run in the page itself and hand back what breaks them, nothing else: the package's own call opens a second page for
/// every look and writes out what passes too, which took four times as long. Pages in frames would need that call.
/// </remarks>
internal static class Axe
{
    // The rules that look at colours (axe's tag cat.color, the ones that are on).
    private static readonly string[] ColourRules = ["color-contrast", "link-in-text-block"];
    private static readonly string Script = new BundledAxeScriptProvider().GetScript();

    /// <summary>What breaks a rule, a line each; <paramref name="where"/> begins the line.</summary>
    /// <param name="page">The page.</param>
    /// <param name="where">What is looked at.</param>
    /// <param name="part">Selector of the part to look at; the whole page where null.</param>
    public static Task<string[]> Violations(this IPage page, string where, string? part = null) =>
        Run(page, where, part, null);

    /// <summary>
    /// The page as it stands in the other scheme. A scheme changes colours and nothing else (bench.css, board-map.css), so only
    /// the rules about colours are asked again.
    /// </summary>
    public static async Task<string[]> ColourViolations(
        this IPage page,
        ColorScheme scheme,
        string where,
        string? part = null
    )
    {
        await page.EmulateMediaAsync(new PageEmulateMediaOptions { ColorScheme = scheme });
        return await Run(page, $"{where}, {scheme}", part, ColourRules);
    }

    /// <summary>Fails with every line.</summary>
    public static void None(IReadOnlyCollection<string> violations) =>
        Assert.True(violations.Count == 0, string.Join('\n', violations));

    private static async Task<string[]> Run(IPage page, string where, string? part, string[]? rules)
    {
        Assert.Single(page.Frames);
        if (!await page.EvaluateAsync<bool>("typeof axe === 'object'"))
        {
            await page.EvaluateAsync(Script);
        }
        string[] found = await page.EvaluateAsync<string[]>(
            """
            async ([part, rules]) => {
              const options = { resultTypes: ['violations'] };
              if (rules) {
                options.runOnly = { type: 'rule', values: rules };
              }
              const result = await axe.run(part ? document.querySelector(part) : document, options);
              return result.violations.flatMap(rule => rule.nodes.map(node => `${rule.id}: ${rule.help}: ${node.html}`));
            }
            """,
            new object?[] { part, rules }
        );
        return [.. found.Select(line => $"{where}: {line}")];
    }
}
