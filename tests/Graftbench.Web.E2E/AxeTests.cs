using Microsoft.Playwright;

namespace Graftbench.Web.E2E;

/// <summary>The checks of the checks: what is wrong is found, in either scheme, and what is right is not.</summary>
public class AxeTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private const string Unnamed = "document.querySelector('main').insertAdjacentHTML('beforeend', '<input>')";

    // Grey on white can be read; on the dark scheme's ground it cannot.
    private const string Grey = """
        const words = document.createElement('p');
        words.textContent = 'Grey words';
        words.style.color = '#555';
        document.querySelector('main').append(words);
        """;

    [Fact]
    public async Task A_field_without_a_name_and_words_that_only_the_dark_scheme_hides_are_found()
    {
        await using BenchPage bench = await browser.Open();
        await bench.Go("/bench");
        Axe.None(await bench.Page.Violations("as it is"));
        Axe.None(await bench.Page.ColourViolations(ColorScheme.Dark, "as it is"));

        await bench.Page.EvaluateAsync("() => {" + Grey + "}");
        Axe.None(await bench.Page.ColourViolations(ColorScheme.Light, "grey"));
        string dark = Assert.Single(await bench.Page.ColourViolations(ColorScheme.Dark, "grey"));
        Assert.StartsWith("grey, Dark: color-contrast", dark, StringComparison.Ordinal);
        Assert.Contains("Grey words", dark, StringComparison.Ordinal);

        await bench.Page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Light });
        await bench.Page.EvaluateAsync(Unnamed);
        string unnamed = Assert.Single(await bench.Page.Violations("a field"));
        Assert.StartsWith("a field: label", unnamed, StringComparison.Ordinal);
    }
}
