using Graftbench.Core.Heating;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>A place on a temperature picture. Its shape tells what it is, its label says so.</summary>
/// <param name="Name">Name of the place.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="XMm">From the left edge [mm].</param>
/// <param name="YMm">From the lower edge [mm].</param>
/// <param name="TemperatureC">Temperature at the moment; null where the picture has none there [°C].</param>
/// <param name="Over">Whether it passes a limit in this run.</param>
/// <param name="Kind">Which shape.</param>
internal sealed record HeatMark(
    string Name,
    string Title,
    double XMm,
    double YMm,
    double? TemperatureC,
    bool Over,
    HeatMarkKind Kind
)
{
    public string Label(Display display) =>
        (Over ? "! " : "")
        + Title
        + (TemperatureC is null ? "" : " " + QuantityText.Degrees(TemperatureC, display))
        + (Over ? ", over" : "");

    public string Words(Display display) =>
        $"{Title}{(TemperatureC is null ? "" : " " + QuantityText.Degrees(TemperatureC, display))}"
        + (Over ? ", passes its limit in this run" : "");

    public void Draw(ICanvas canvas, Pt at)
    {
        Look look = new(Ink.Paper, Over ? Ink.Alert : Ink.Text, 2);
        switch (Kind)
        {
            case HeatMarkKind.Coldest:
                canvas.Line(
                    [new Pt(at.X, at.Y + 7), new Pt(at.X - 7, at.Y - 5), new Pt(at.X + 7, at.Y - 5)],
                    true,
                    look
                );
                break;
            case HeatMarkKind.Hottest:
                canvas.Line(
                    [new Pt(at.X, at.Y - 7), new Pt(at.X - 7, at.Y + 5), new Pt(at.X + 7, at.Y + 5)],
                    true,
                    look
                );
                break;
            case HeatMarkKind.Probe:
                canvas.Circle(at, 6, look);
                canvas.Strokes(
                    [new Seg(at.X - 6, at.Y, at.X + 6, at.Y), new Seg(at.X, at.Y - 6, at.X, at.Y + 6)],
                    new Look(Stroke: Ink.Text, Width: 1.4)
                );
                break;
            case HeatMarkKind.Neighbour:
                canvas.Rect(new Box(at.X - 5, at.Y - 5, 10, 10), 0, look);
                break;
            default:
                canvas.Circle(at, 5, look);
                break;
        }
    }
}

/// <summary>Shapes of marks.</summary>
internal enum HeatMarkKind
{
    Coldest,
    Hottest,
    Body,
    Neighbour,
    Probe,
}

/// <summary>Which places a temperature picture marks.</summary>
internal static class HeatMarks
{
    private const int MostNeighbours = 4;

    public static IReadOnlyList<HeatMark> Of(HeatPlan heat, string plane, HeatGrid grid)
    {
        if (heat.Model is not BoardHeatModel model)
        {
            return [];
        }
        List<HeatMark> marks = [];
        if (plane == "joints")
        {
            List<(HeatPlace Place, double C)> joints =
            [
                .. model
                    .Places.Where(place => place.Kind == HeatPlaceKind.Joint)
                    .Select(place => (place, grid.At(place.XMm, place.YMm)))
                    .Where(pair => pair.Item2 is not null)
                    .Select(pair => (pair.place, pair.Item2!.Value)),
            ];
            if (joints.Count > 0)
            {
                (HeatPlace cold, double coldC) = joints.MinBy(pair => pair.C);
                (HeatPlace hot, double hotC) = joints.MaxBy(pair => pair.C);
                marks.Add(
                    new HeatMark(cold.Name, "coldest joint", cold.XMm, cold.YMm, coldC, false, HeatMarkKind.Coldest)
                );
                marks.Add(new HeatMark(hot.Name, "hottest joint", hot.XMm, hot.YMm, hotC, false, HeatMarkKind.Hottest));
            }
        }
        else if (plane == "bottom")
        {
            Add(
                heat,
                marks,
                model.Places.FirstOrDefault(place => place.Kind == HeatPlaceKind.Underside),
                "underside",
                grid
            );
        }
        else
        {
            Add(
                heat,
                marks,
                model.Places.FirstOrDefault(place => place.Kind == HeatPlaceKind.BodyTop),
                "body top",
                grid
            );
        }
        if (plane != "joints")
        {
            marks.AddRange(Neighbours(heat, model, plane, grid));
        }
        if (heat.Probes is [{ } probe, ..] && heat.PlaneOf(probe) == plane)
        {
            marks.Add(
                new HeatMark(
                    "probe",
                    "probe",
                    probe.XMm,
                    probe.YMm,
                    grid.At(probe.XMm, probe.YMm),
                    false,
                    HeatMarkKind.Probe
                )
            );
        }
        return marks;
    }

    private static void Add(HeatPlan heat, List<HeatMark> marks, HeatPlace? place, string title, HeatGrid grid)
    {
        if (place is not null)
        {
            bool over = heat.Figures.Any(figure =>
                figure.Limit.Place == place.Name && figure is { Margin: < 0, Limit.Hard: true }
            );
            marks.Add(
                new HeatMark(
                    place.Name,
                    title,
                    place.XMm,
                    place.YMm,
                    grid.At(place.XMm, place.YMm),
                    over,
                    HeatMarkKind.Body
                )
            );
        }
    }

    // Neighbours over their limit first, then those that come closest to it.
    private static IEnumerable<HeatMark> Neighbours(HeatPlan heat, BoardHeatModel model, string plane, HeatGrid grid) =>
        heat
            .Figures.Where(figure => figure.Limit.OfNeighbour && figure.Limit.Place is not null)
            .OrderBy(figure => figure.Margin / Math.Max(1e-9, figure.Limit.Scale))
            .Select(figure => (figure, Place: model.Places.FirstOrDefault(place => place.Name == figure.Limit.Place)))
            .Where(pair => pair.Place is not null && pair.Place.ZMm < -0.5 == (plane == "bottom"))
            .DistinctBy(pair => pair.Place!.Part ?? pair.Place.Name)
            .Take(MostNeighbours)
            .Select(pair => new HeatMark(
                pair.Place!.Name,
                pair.Place.Part ?? pair.Place.Name,
                pair.Place.XMm,
                pair.Place.YMm,
                grid.At(pair.Place.XMm, pair.Place.YMm),
                pair.figure is { Margin: < 0 },
                HeatMarkKind.Neighbour
            ));
}
