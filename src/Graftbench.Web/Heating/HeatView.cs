using System.Text.Json;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Planning;
using Graftbench.Sheets.Pictures;
using Graftbench.Store;
using Graftbench.Web.Desk;

namespace Graftbench.Web.Heating;

/// <summary>Everything that the heat screen shows.</summary>
/// <param name="Stored">The job as stored.</param>
/// <param name="Subject">Which heat; null for a job without any.</param>
/// <param name="Status">Where its plan stands; null for a job without any.</param>
/// <param name="Plan">The job's plan with this heat as the answer to question 3.</param>
/// <param name="AtS">Moment that the pictures show; null for the peak [s].</param>
public sealed record HeatView(
    StoredJob Stored,
    HeatSubject? Subject,
    DeskStatus<HeatPlan>? Status,
    JobPlan Plan,
    double? AtS
)
{
    private static readonly string[] PlaneOrder = ["top", "joints", "bottom"];

    /// <summary>The heat plan; null before it is computed.</summary>
    public HeatPlan? Heat => Status?.Plan;

    /// <summary>Address of the job page.</summary>
    public string JobAddress => $"/jobs/{Stored.Job.Id}";

    /// <summary>Address of this screen.</summary>
    public string Address => Subject?.Address(Stored.Job.Id) ?? $"{JobAddress}/heat";

    /// <summary>The board that is heated; null for a loose chip.</summary>
    public Board? Board => Subject?.Board(Stored.Job);

    /// <summary>The answer to question 3.</summary>
    public QuestionAnswer Answer => Plan.Questions.First(question => question.Number == 3);

    /// <summary>Planes with pictures, from above to below.</summary>
    public IReadOnlyList<HeatPlane> Planes =>
        [
            .. PlaneOrder
                .Select(name => Heat?.Planes.FirstOrDefault(plane => plane.Name == name && plane.Frames.Count > 0))
                .OfType<HeatPlane>(),
        ];

    /// <summary>One scale of colours for all planes and moments, so that the same colour is the same temperature.</summary>
    public HeatScale Scale() =>
        HeatScale.OfRun(Planes.SelectMany(plane => plane.Frames.Select(frame => (plane, frame))));

    /// <summary>Moment that the pictures show [s].</summary>
    public double ShownS => AtS ?? (Heat is null ? 0 : HeatMapPicture.PeakS(Heat));

    /// <summary>What the live picture needs beside the cells, as JSON.</summary>
    /// <param name="scale">The colours.</param>
    /// <param name="frame">Where the plot lies on the curves' picture.</param>
    public string LiveData(HeatScale scale, HeatPlotFrame? frame)
    {
        HeatPlan heat = Heat!;
        return JsonSerializer.Serialize(
            new
            {
                planes = Planes.Select(plane => new
                {
                    name = plane.Name,
                    title = Sheets.TradeWords.HeatPlane(plane.Name),
                    url = Subject!.Address(Stored.Job.Id, $"plane/{plane.Name}") + $"&key={Status!.Key}",
                    columns = plane.Columns,
                    rows = plane.Rows,
                    area = new[] { plane.Area.X0Mm, plane.Area.X1Mm, plane.Area.Y0Mm, plane.Area.Y1Mm },
                    times = plane.Frames.Select(each => Math.Round(each.TimeS, 2)),
                }),
                scale = new
                {
                    lowC = scale.LowC,
                    stepDeltaK = scale.StepDeltaK,
                    colours = scale.Colours,
                    openBelow = scale.OpenBelow,
                },
                moltenC = heat.Curves?.MoltenC ?? heat.Model?.MoltenC,
                startS = ShownS,
                endS = Math.Max(
                    heat.Curves?.TimesS.DefaultIfEmpty(0).Max() ?? 0,
                    Planes.SelectMany(plane => plane.Frames).Select(each => each.TimeS).DefaultIfEmpty(0).Max()
                ),
                plot = frame is null
                    ? null
                    : new
                    {
                        left = frame.LeftFraction,
                        right = frame.RightFraction,
                        endS = frame.EndS,
                    },
                outline = Outline(),
                parts = Parts(),
                chip = Corners(heat.Model?.Chip),
                nozzle = Corners(heat.Model?.Nozzle),
                places = heat.Model?.Places.Select(place => new
                {
                    name = place.Name,
                    part = place.Part,
                    kind = Forms.FieldWords.NameOf(place.Kind),
                    x = place.XMm,
                    y = place.YMm,
                    below = place.ZMm < -0.5,
                    over = heat.Figures.Any(figure =>
                        figure.Limit.Place == place.Name && figure is { Margin: < 0, Limit.Hard: true }
                    ),
                    limited = heat.Figures.Any(figure => figure.Limit.Place == place.Name),
                }),
                probe = heat.Probes is [{ } probe, ..]
                    ? new
                    {
                        x = probe.XMm,
                        y = probe.YMm,
                        plane = heat.PlaneOf(probe),
                    }
                    : null,
                curves = Curves(heat),
                moments = heat.Moments.Select(moment => new { timeS = moment.TimeS, text = moment.Text }),
            }
        );
    }

    private IEnumerable<double[]> Outline() =>
        Board is not { } board ? []
        : board.Outline.Count >= 3 ? board.Outline.Select(point => new[] { point.XMm, point.YMm })
        :
        [
            [0, 0],
            [board.LengthMm, 0],
            [board.LengthMm, board.WidthMm],
            [0, board.WidthMm],
        ];

    private IEnumerable<object> Parts() =>
        (Board?.Parts ?? [])
            .Where(part =>
                part is { XMm: not null, YMm: not null, LengthMm: not null, WidthMm: not null, TakenOff: false }
                && part.Ref != Subject?.Chip.Id
            )
            .Select(part => new
            {
                name = part.Ref,
                x = part.XMm,
                y = part.YMm,
                length = part.LengthMm,
                width = part.WidthMm,
                turnDeg = part.RotationDeg,
                below = part.Side == BoardSide.Bottom,
            });

    private static double[]? Corners(RectMm? rect) =>
        rect is null ? null : [rect.X0Mm, rect.X1Mm, rect.Y0Mm, rect.Y1Mm];

    // As many points as a slider has use for; the screen's picture of the curves has them all.
    private static object? Curves(HeatPlan heat)
    {
        if (heat.Curves is not { } curves)
        {
            return null;
        }
        int every = Math.Max(1, curves.TimesS.Count / 400);
        int[] at = [.. Enumerable.Range(0, curves.TimesS.Count).Where(i => i % every == 0)];
        return new
        {
            times = at.Select(i => Math.Round(curves.TimesS[i], 1)),
            curves = curves
                .Curves.Where(curve => curve.TemperaturesC.Count == curves.TimesS.Count)
                .Select(curve => new
                {
                    name = curve.Name,
                    title = curve.Title,
                    values = at.Select(i => Math.Round(curve.TemperaturesC[i], 1)),
                }),
        };
    }
}
