using System.Globalization;
using System.Text;
using Graftbench.Core.Drying;
using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using Graftbench.Tests.Shared;

namespace Graftbench.Core.Tests.Drying;

/// <summary>Draws the figure of docs/models/drying.md from the code, so that the page cannot say what the model does not.</summary>
public class DryingFigureTests
{
    private const double LeftPx = 70;
    private const double TopPx = 20;
    private const double WidthPx = 560;
    private const double HeightPx = 380;

    [Fact]
    public void The_figure_shows_what_the_model_gives() =>
        Snapshot.Match(Draw(), Path.Combine(Root(), "docs/models/drying-fit.expected.svg"));

    private static string Draw()
    {
        StringBuilder svg = new();
        svg.Append(
            CultureInfo.InvariantCulture,
            $"<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 720 470\" font-family=\"sans-serif\" font-size=\"13\" role=\"img\">\n"
        );
        svg.Append("<title>Bake hours against temperature: the standard's cells and the fitted model</title>\n");
        svg.Append("<rect width=\"720\" height=\"470\" fill=\"white\"/>\n");
        foreach (double hours in new double[] { 5, 10, 20, 50, 100, 200, 500, 1000, 2000 })
        {
            svg.Append(
                CultureInfo.InvariantCulture,
                $"<path d=\"M{LeftPx} {Y(hours):0.0}h{WidthPx}\" stroke=\"#ccc\"/><text x=\"{LeftPx - 8}\" y=\"{Y(hours) + 4:0.0}\" text-anchor=\"end\">{hours} h</text>\n"
            );
        }
        foreach (double temperatureC in new double[] { 40, 60, 70, 90, 105, 125 })
        {
            svg.Append(
                CultureInfo.InvariantCulture,
                $"<path d=\"M{X(temperatureC):0.0} {TopPx}v{HeightPx}\" stroke=\"#ccc\"/><text x=\"{X(temperatureC):0.0}\" y=\"{TopPx + HeightPx + 18}\" text-anchor=\"middle\">{temperatureC} °C</text>\n"
            );
        }
        Curve(
            svg,
            1.2,
            "mould.thin-class-path",
            MoistureLevel.L3,
            "#0b6e4f",
            "body up to 1.4 mm, level 3",
            circle: true
        );
        Curve(
            svg,
            1.8,
            "mould.mid-class-path",
            MoistureLevel.L5A,
            "#8a3ffc",
            "body up to 2.0 mm, level 5a",
            circle: false
        );
        svg.Append(
            CultureInfo.InvariantCulture,
            $"<text x=\"{LeftPx}\" y=\"{TopPx + HeightPx + 44}\">Marks: cells of the standard's table, floor life exceeded by more than 72 h. Lines: D0 1.84e-6 m²/s, Ea 0.444 eV.</text>\n</svg>\n"
        );
        return svg.ToString();
    }

    private static void Curve(
        StringBuilder svg,
        double thicknessMm,
        string path,
        MoistureLevel level,
        string colour,
        string label,
        bool circle
    )
    {
        double target = BakeModel.TargetFraction(level, FloorLifeOver.MoreThan72H);
        double HoursAt(double atC) => BakeModel.SlabH(Constants.Value(path), target, 0, atC)!.Value;
        IEnumerable<string> points = Enumerable
            .Range(0, 35)
            .Select(i => 40 + i * 2.5)
            .Select(atC => string.Create(CultureInfo.InvariantCulture, $"{X(atC):0.0},{Y(HoursAt(atC)):0.0}"));
        svg.Append(
            CultureInfo.InvariantCulture,
            $"<polyline fill=\"none\" stroke=\"{colour}\" stroke-width=\"2\" points=\"{string.Join(' ', points)}\"/>\n"
        );
        foreach (double columnC in BakeTable.ColumnsC)
        {
            double cellH = BakeTable
                .HoursH(BakeTableTests.Body(thicknessMm, level), FloorLifeOver.MoreThan72H, columnC)!
                .Value;
            string mark = circle
                ? string.Create(
                    CultureInfo.InvariantCulture,
                    $"<circle cx=\"{X(columnC):0.0}\" cy=\"{Y(cellH):0.0}\" r=\"5\" fill=\"{colour}\"/>\n"
                )
                : string.Create(
                    CultureInfo.InvariantCulture,
                    $"<rect x=\"{X(columnC) - 5:0.0}\" y=\"{Y(cellH) - 5:0.0}\" width=\"10\" height=\"10\" fill=\"{colour}\"/>\n"
                );
            svg.Append(mark);
        }
        svg.Append(
            CultureInfo.InvariantCulture,
            $"<text x=\"{X(66):0.0}\" y=\"{Y(HoursAt(66)) - 10:0.0}\" fill=\"{colour}\">{label}</text>\n"
        );
    }

    // Temperature as 1/T, the axis on which one activation energy is a straight line.
    private static double X(double temperatureC)
    {
        double Inverse(double atC) => 1 / Units.Kelvin(atC);
        return LeftPx + WidthPx * (Inverse(40) - Inverse(temperatureC)) / (Inverse(40) - Inverse(125));
    }

    private static double Y(double hours) => TopPx + HeightPx * (1 - Math.Log(hours / 5) / Math.Log(2000.0 / 5));

    private static string Root()
    {
        string? folder = AppContext.BaseDirectory;
        while (folder is not null && !File.Exists(Path.Combine(folder, "Graftbench.slnx")))
        {
            folder = Path.GetDirectoryName(folder);
        }
        return folder ?? throw new DirectoryNotFoundException("Graftbench.slnx not found above the tests.");
    }
}
