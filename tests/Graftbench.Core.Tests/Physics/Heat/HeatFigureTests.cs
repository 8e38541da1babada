using System.Globalization;
using System.Text;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Tests.Jobs;
using Graftbench.Tests.Shared;

namespace Graftbench.Core.Tests.Physics.Heat;

/// <summary>Draws the figure of docs/models/heat.md from the code, so that the page cannot say what the model does not.</summary>
public sealed class HeatFigureTests
{
    private const double LeftPx = 60;
    private const double TopPx = 20;
    private const double WidthPx = 560;
    private const double HeightPx = 380;
    private const double LastS = 450;
    private const double HottestC = 240;

    private static readonly (string Probe, string Colour, string Label, double LabelS)[] Shown =
    [
        ("top_c", "#a2191f", "package top", 300),
        ("J_c", "#8a3ffc", "middle joint", 395),
        ("J_sw", "#0b6e4f", "corner joint", 310),
        ("coil_top", "#0f62fe", "coil", 320),
        ("conn_top", "#6f5b00", "connector", 330),
    ];

    [Fact]
    public void The_figure_shows_what_the_model_gives() =>
        Snapshot.Match(Draw(), Path.Combine(Corpus.Root, "docs/models/heat-reference.expected.svg"));

    private static string Draw()
    {
        HeatCase heat = HeatCases.Read(HeatCases.Neighbours);
        (double[] times, Dictionary<string, double[]> reference) = HeatCases.Reference(HeatCases.Neighbours);
        double[] moments = [.. Enumerable.Range(0, 46).Select(n => 10.0 * n)];
        HeatForecast forecast = HeatForecaster.Forecast(
            heat with
            {
                TimesS = moments,
            },
            HeatMesh.Usual,
            withErrors: false,
            null,
            CancellationToken.None
        );
        StringBuilder svg = new();
        svg.Append(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 720 470\" font-family=\"sans-serif\" font-size=\"13\" role=\"img\">\n"
        );
        svg.Append("<title>Temperatures over time: the model and independent finite elements</title>\n");
        svg.Append("<rect width=\"720\" height=\"470\" fill=\"white\"/>\n");
        for (int c = 0; c <= HottestC; c += 40)
        {
            Add(
                svg,
                $"<path d=\"M{LeftPx} {Y(c):0}h{WidthPx}\" stroke=\"#ccc\"/><text x=\"{LeftPx - 8}\" y=\"{Y(c) + 4:0}\" text-anchor=\"end\">{c} °C</text>\n"
            );
        }
        for (int s = 0; s <= LastS; s += 90)
        {
            Add(
                svg,
                $"<path d=\"M{X(s):0} {TopPx}v{HeightPx}\" stroke=\"#ccc\"/><text x=\"{X(s):0}\" y=\"{TopPx + HeightPx + 18}\" text-anchor=\"middle\">{s} s</text>\n"
            );
        }
        foreach ((string probe, string colour, string label, double labelS) in Shown)
        {
            IReadOnlyList<double> curve = forecast.Probes.Single(p => p.Name == probe).TemperaturesC;
            string points = string.Join(
                ' ',
                moments.Select((s, n) => string.Create(CultureInfo.InvariantCulture, $"{X(s):0},{Y(curve[n]):0}"))
            );
            Add(svg, $"<polyline fill=\"none\" stroke=\"{colour}\" stroke-width=\"2\" points=\"{points}\"/>\n");
            for (int t = 0; t < times.Length; t++)
            {
                Add(
                    svg,
                    $"<circle cx=\"{X(times[t]):0}\" cy=\"{Y(reference[probe][t]):0}\" r=\"4\" fill=\"white\" stroke=\"{colour}\"/>\n"
                );
            }
            double at = curve[(int)(labelS / 10)];
            Add(svg, $"<text x=\"{X(labelS) + 6:0}\" y=\"{Y(at) + 18:0}\" fill=\"{colour}\">{label}</text>\n");
        }
        Add(
            svg,
            $"<text x=\"{LeftPx}\" y=\"{TopPx + HeightPx + 44}\">Lines: full model, usual grid. Circles: finite elements. Case package-among-neighbours.</text>\n</svg>\n"
        );
        return svg.ToString();
    }

    private static void Add(StringBuilder svg, FormattableString text) =>
        svg.Append(text.ToString(CultureInfo.InvariantCulture));

    private static double X(double s) => LeftPx + WidthPx * s / LastS;

    private static double Y(double c) => TopPx + HeightPx * (1 - c / HottestC);
}
