using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>The curves of a planned run.</summary>
internal static class CurveList
{
    /// <summary>Set points, what follows them, joints, and every other place over the run.</summary>
    public static HeatCurves Of(HeatTrace trace, HeatSchedule schedule, BoardHeatModel model)
    {
        int count = trace.Count;
        double[] timesS = [.. Enumerable.Range(0, count).Select(i => i * trace.StepS)];
        List<HeatCurve> curves =
        [
            new("gas-set", "Gas, set", [.. timesS.Select(t => SetPoints.AtC(schedule.Gas, t))]),
            new("gas", "Gas", SetPoints.LaggedC(schedule.Gas, model.RoomC, model.GasLagS, timesS)),
        ];
        if (model.Case.Films.Any(film => film.Group == FilmGroup.Bottom))
        {
            curves.Add(
                new(
                    "preheater-set",
                    "Bottom heater, set",
                    [.. timesS.Select(t => SetPoints.AtC(schedule.Preheater, t))]
                )
            );
            curves.Add(
                new(
                    "preheater",
                    "Bottom heater",
                    SetPoints.LaggedC(schedule.Preheater, model.RoomC, model.PreheaterLagS, timesS)
                )
            );
        }
        double[] coldest = [.. Enumerable.Repeat(double.PositiveInfinity, count)];
        double[] hottest = [.. Enumerable.Repeat(double.NegativeInfinity, count)];
        for (int place = 0; place < model.Places.Count; place++)
        {
            double[] row = trace.TemperaturesC[place];
            for (int i = 0; model.Places[place].Kind == HeatPlaceKind.Joint && i < count; i++)
            {
                coldest[i] = Math.Min(coldest[i], row[i]);
                hottest[i] = Math.Max(hottest[i], row[i]);
            }
        }
        curves.Add(new HeatCurve("joint-coldest", "Coldest joint", coldest));
        curves.Add(new HeatCurve("joint-hottest", "Hottest joint", hottest));
        for (int place = 0; place < model.Places.Count; place++)
        {
            HeatPlace at = model.Places[place];
            if (at.Kind == HeatPlaceKind.Joint)
            {
                continue;
            }
            string name = at.Kind switch
            {
                HeatPlaceKind.BodyTop => "body-top",
                HeatPlaceKind.Underside => "underside",
                _ => at.Name,
            };
            string title = at.Kind switch
            {
                HeatPlaceKind.BodyTop => "Chip's top",
                HeatPlaceKind.Underside => "Board's underside",
                _ => at.Name,
            };
            curves.Add(new HeatCurve(name, title, trace.TemperaturesC[place]));
        }
        return new HeatCurves(timesS, curves, model.SolidusC, model.MoltenC);
    }
}
