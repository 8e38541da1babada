using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Tests.Shared;

/// <summary>
/// Heat plans made by hand from closed forms: the board warms by a lagged heater, the chip besides by a lagged gas under a
/// bell-shaped nozzle field. They only have to look like a plan; no figure of them is evidence for anything.
/// </summary>
internal static class HeatPlans
{
    private const double Room = 21;
    private const double Solidus = 183;
    private const double Molten = 185;
    private const double End = 420;
    private const double Off = 290;

    public static HeatPlan Of(
        Board board,
        Chip chip,
        HeatTask task = HeatTask.Place,
        HeatPlanState state = HeatPlanState.Planned
    )
    {
        if (state == HeatPlanState.NoAnswer)
        {
            return Without(chip, task);
        }
        bool passed = state == HeatPlanState.NotPossible;
        double gasShare = passed ? 1.09 : 1;
        double x = chip.XMm ?? board.LengthMm / 2;
        double y = chip.YMm ?? board.WidthMm / 2;
        double half = chip.BodyLengthMm / 2;
        RectMm body = new(x - half, x + half, y - half, y + half);
        double[] times = [.. Enumerable.Range(0, (int)End + 1).Select(t => (double)t)];
        Field field = new(board, x, y, half, gasShare);
        HeatPlace[] places =
        [
            new("joint 1,1", HeatPlaceKind.Joint, null, x - half + 2, y - half + 2, 0.2),
            new("joint 13,13", HeatPlaceKind.Joint, null, x, y, 0.2),
            new("body top", HeatPlaceKind.BodyTop, null, x, y, 2.3),
            new("underside", HeatPlaceKind.Underside, null, x, y, -1.6),
            .. board
                .Parts.Where(part => part.XMm is not null && part.YMm is not null && !part.TakenOff)
                .OrderBy(part => Math.Pow(part.XMm!.Value - x, 2) + Math.Pow(part.YMm!.Value - y, 2))
                .Take(3)
                .Select(part => new HeatPlace(
                    part.Ref,
                    HeatPlaceKind.NeighbourBody,
                    part.Ref,
                    part.XMm!.Value,
                    part.YMm!.Value,
                    part.Side == BoardSide.Bottom ? -2 : 1
                )),
        ];
        HeatCurve Curve(string name, string title, Func<double, double> of) =>
            new(name, title, [.. times.Select(t => Math.Round(of(t), 2))]);
        double coldX = places[0].XMm;
        double coldY = places[0].YMm;
        List<HeatCurve> curves =
        [
            Curve("joint-coldest", "Coldest joint", t => field.At(t, coldX, coldY, 0)),
            Curve("joint-hottest", "Hottest joint", t => field.At(t, x, y, 0)),
            Curve("body-top", "Body top", t => field.At(t, x, y, 1)),
            Curve("gas-set", "Gas, set", field.GasSet),
            Curve("gas", "Gas", field.Gas),
            Curve("preheater-set", "Preheater, set", Field.PreheaterSet),
            Curve("preheater", "Preheater", Field.Preheater),
            Curve("underside", "Underside", t => field.At(t, x, y, -1)),
            .. places
                .Where(place => place.Kind == HeatPlaceKind.NeighbourBody)
                .Select(place =>
                    Curve(place.Name, place.Name, t => field.At(t, place.XMm, place.YMm, place.ZMm < 0 ? -2 : 1) - 6)
                ),
        ];
        double Peak(string name) => curves.Single(curve => curve.Name == name).TemperaturesC.Max();
        double First(string name) =>
            times[
                curves.Single(curve => curve.Name == name).TemperaturesC.ToList().FindIndex(c => c >= Solidus)
                    is int at
                        and >= 0
                    ? at
                    : 0
            ];
        double moltenS = curves[0].TemperaturesC.Count(c => c >= Molten);
        List<HeatFigure> figures =
        [
            Figure(HeatLimitKind.BodyPeak, "body top", "Body top", 245, "°C", Peak("body-top"), false),
            Figure(HeatLimitKind.ColdestJointPeak, null, "Coldest joint, peak", 195, "°C", Peak("joint-coldest"), true),
            Figure(HeatLimitKind.MoltenTimeLeast, null, "Coldest joint, molten", 20, "s", moltenS, true),
            Figure(
                HeatLimitKind.JointSpread,
                null,
                "Spread across the joints",
                12,
                "K",
                Peak("joint-hottest") - Peak("joint-coldest"),
                false,
                hard: false
            ),
            .. places
                .Where(place => place.Kind == HeatPlaceKind.NeighbourBody)
                .Select(
                    (place, i) =>
                        Figure(
                            HeatLimitKind.NeighbourPeak,
                            place.Name,
                            $"{place.Name} body",
                            passed && i == 0 ? Math.Round(Peak(place.Name) - 6) : 200,
                            "°C",
                            Peak(place.Name),
                            false
                        )
                ),
        ];
        HeatMoment[] moments =
        [
            new(
                First("joint-hottest"),
                "first-joint-melts",
                "first joints melt in the middle of the chip",
                "joint 13,13"
            ),
            new(
                First("joint-coldest") + 4,
                "all-joints-molten",
                "all joints are molten, the lower left corner last",
                "joint 1,1"
            ),
            new(Off, "switch-off", "switch gas and preheater off", null),
            new(Off + 40, "last-joint-solid", "the last joint is solid: do not move the board before", "joint 13,13"),
        ];
        List<Finding> findings = passed
            ?
            [
                new(
                    Verdict.Blocker,
                    "heat.limit-passed",
                    places[4].Name,
                    "Its body passes its limit when every joint melts.",
                    $"{Peak(places[4].Name):0} °C",
                    $"{figures.First(f => f.Limit.Place == places[4].Name).Limit.Value:0} °C",
                    "common-practice",
                    "Shield it with metal foil."
                ),
            ]
            :
            [
                new(
                    Verdict.Warning,
                    "heat.copper-unknown",
                    "host board",
                    "The copper of the board is not stated; half an ounce a layer is assumed.",
                    Todo: "Enter the copper layers."
                ),
            ];
        return new HeatPlan(
            task,
            task == HeatTask.AttachBalls ? $"chip {chip.Id}" : "host board",
            chip.Id,
            state,
            passed
                ? $"Not possible without help: {places[4].Name} gets 6 K over its limit."
                : $"Yes: 4 stages, {Clock(Off)} of heating, coldest joint peaks at {Peak("joint-coldest"):0} °C.",
            [
                new(1, "Warm the board", 0, 150, null, 150, true, null),
                new(2, "Soak", 150, 60, 220 * gasShare, 160, false, "about 3:20 the flux turns clear and thin"),
                new(
                    3,
                    "Melt",
                    210,
                    Off - 210,
                    320 * gasShare,
                    170,
                    false,
                    $"about {Clock(moments[0].TimeS)} first joints melt in the middle, about {Clock(moments[1].TimeS)} the chip settles at the lower left corner"
                ),
                new(4, "Cool", Off, End - Off, null, null, true, $"about {Clock(Off + 40)} everything is solid"),
            ],
            new("38 × 38", 38, 38, x, y, 1.5, "4", "It covers the chip and keeps the gas off the neighbours."),
            new HeatSchedule([new(0, Room), new(Off, 320)], [new(0, 150), new(Off, 170)], End),
            [.. figures.OrderBy(figure => figure.Margin / figure.Limit.Scale)],
            new HeatCurves(times, curves, Solidus, Molten),
            moments,
            [
                new(
                    1,
                    "probe lower left",
                    "On the board's top face, 2 mm outside the lower left corner of the chip, under a dot of high-temperature tape",
                    x - half - 2,
                    y - half - 2,
                    178,
                    -7,
                    2.1,
                    6.4,
                    "It follows the coldest joint most closely: the gas reaches it last and the planes join it to that corner."
                ),
                new(
                    2,
                    "underside",
                    "Under the chip's middle, from below",
                    x,
                    y,
                    181,
                    -4,
                    3.6,
                    6.4,
                    "It sees the board, not the gas."
                ),
            ],
            new HeatChance(
                400,
                passed ? 0.96 : 0.97,
                0.009,
                passed ? 0.31 : 0.93,
                0.013,
                0.9,
                ["Film under the nozzle, ±25 %", "Copper of the board, ±30 %"]
            ),
            [
                new("film.top", "Film under the nozzle +25 %", 9.1, 10.4, 12.2, 14),
                new("board.copper", "Copper of the board +30 %", -5.2, -3.9, -1.1, -9),
            ],
            passed
                ?
                [
                    new(1, "shield", $"Cover {places[4].Name} with metal foil.", "Its peak falls by 14 K.", true, 3),
                    new(2, "nozzle-larger", "Use a nozzle of 42 mm.", "The corners gain 4 K.", false, 1),
                ]
                : [],
            new BoardHeatModel(
                new HeatCase("plan", Room, 0, [], [], [], [], [], []),
                places,
                body.Grown(1.5),
                body,
                Room,
                4,
                25,
                Solidus,
                Molten,
                [
                    new(
                        "film.top",
                        "Film under the nozzle: 60 W/m²K, assumed.",
                        "TopFactor",
                        0.25,
                        false,
                        "common-practice"
                    ),
                    new("room", "Room at 21 °C, from the bench.", null, 0, true, "common-practice"),
                ],
                []
            ),
            new HeatModelTrust("reduced", 18_400, 0.5, 0.6, 0.2, 0.002, 0.4, 1.1, true),
            [field.Plane("top", 1), field.Plane("joints", 0), field.Plane("bottom", -1)],
            findings
        );
    }

    private static HeatPlan Without(Chip chip, HeatTask task) =>
        new(
            task,
            "host board",
            chip.Id,
            HeatPlanState.NoAnswer,
            "No heat plan: the job does not say where the chip sits.",
            [],
            null,
            null,
            [],
            null,
            [],
            [],
            null,
            [],
            [],
            null,
            null,
            [],
            [
                new(
                    Verdict.Unknown,
                    "heat.no-place",
                    $"chip {chip.Id}",
                    "Its place on the board is not stated.",
                    Todo: "Enter it or put the chip on the board's picture."
                ),
            ]
        );

    private static HeatFigure Figure(
        HeatLimitKind kind,
        string? place,
        string title,
        double limit,
        string unit,
        double figure,
        bool atLeast,
        bool hard = true
    )
    {
        double margin = Math.Round(atLeast ? figure - limit : limit - figure, 1);
        return new HeatFigure(
            new HeatLimit(
                kind,
                place,
                title,
                limit,
                unit,
                unit == "s" ? 6 : 4,
                hard,
                Confidence.CommonPractice,
                "common-practice",
                "Usual at the bench."
            ),
            Math.Round(figure, 1),
            margin,
            margin < 0 ? 0.88
                : margin < 8 ? 0.06
                : 0.005,
            0.012
        );
    }

    private static string Clock(double s) => $"{(int)s / 60}:{(int)s % 60:00}";

    private sealed record Field(Board Board, double XMm, double YMm, double HalfMm, double Gasses)
    {
        private const double GasLag = 6;
        private const double HeaterLag = 55;

        public double GasSet(double t) =>
            t < 150 ? Room
            : t < 210 ? Room + (Gasses * (220 - Room) * (t - 150) / 60)
            : t < Off ? Room + (Gasses * (220 - Room + (100 * (t - 210) / (Off - 210))))
            : Room;

        public double Gas(double t) =>
            t < Off + 1
                ? GasSet(Math.Max(0, t - GasLag))
                : Room + ((GasSet(Off - 1) - Room) * Math.Exp(-(t - Off) / 20));

        public static double PreheaterSet(double t) =>
            t < 150 ? 150
            : t < 210 ? 160
            : t < Off ? 170
            : Room;

        public static double Preheater(double t) =>
            t < Off
                ? Room + ((148 - Room) * (1 - Math.Exp(-t / HeaterLag)))
                : Room + ((148 - Room) * (1 - Math.Exp(-Off / HeaterLag)) * Math.Exp(-(t - Off) / 160));

        // layer: 1 top of the body, 0 joints, -1 underside.
        public double At(double t, double x, double y, int layer)
        {
            double edge = Math.Min(Math.Min(x, Board.LengthMm - x), Math.Min(y, Board.WidthMm - y));
            double board = (Preheater(t) - Room) * (0.8 + (0.14 * Math.Clamp(edge / 40, 0, 1)));
            double wide = HalfMm * 1.9;
            double r2 = (((x - XMm - 1) * (x - XMm - 1)) + ((y - YMm - 1) * (y - YMm - 1))) / (2 * wide * wide);
            double gas = (Gas(Math.Max(0, t - 10 + (4 * layer))) - Room) * (0.3 + (0.035 * layer)) * Math.Exp(-r2);
            return Room + board + gas;
        }

        public HeatPlane Plane(string name, int layer)
        {
            const double Cell = 2.5;
            int columns = (int)Math.Ceiling(Board.LengthMm / Cell);
            int rows = (int)Math.Ceiling(Board.WidthMm / Cell);
            double dx = Board.LengthMm / columns;
            double dy = Board.WidthMm / rows;
            bool[] covered = new bool[columns * rows];
            for (int i = 0; i < covered.Length; i++)
            {
                // A notch at the upper left corner, so that cells off the board occur.
                covered[i] = i % columns * dx > 14 || i / columns * dy < Board.WidthMm - 14;
            }
            List<HeatFrame> frames = [];
            for (double t = 0; t <= End; t += 20)
            {
                float[] values = new float[columns * rows];
                for (int i = 0; i < values.Length; i++)
                {
                    values[i] = (float)At(t, ((i % columns) + 0.5) * dx, ((i / columns) + 0.5) * dy, layer);
                }
                frames.Add(new HeatFrame(t, values));
            }
            return new HeatPlane(name, new RectMm(0, Board.LengthMm, 0, Board.WidthMm), columns, rows, covered, frames);
        }
    }
}
