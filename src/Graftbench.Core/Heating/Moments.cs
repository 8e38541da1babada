namespace Graftbench.Core.Heating;

/// <summary>What happens when in a run, and what to look for in each stage.</summary>
internal static class Moments
{
    /// <summary>Moments in order.</summary>
    public static IReadOnlyList<HeatMoment> Of(
        HeatTrace trace,
        IReadOnlyList<HeatPlace> places,
        BoardHeatModel model,
        double heatingS,
        HeatTask task
    )
    {
        double[][] t = trace.TemperaturesC;
        List<HeatMoment> found = [];
        List<int> joints = [.. Enumerable.Range(0, places.Count).Where(i => places[i].Kind == HeatPlaceKind.Joint)];
        string ball = task == HeatTask.AttachBalls ? "ball" : "joint";
        (int First, double FirstS) first = (-1, double.PositiveInfinity);
        (int Last, double LastS) last = (-1, double.NegativeInfinity);
        (int Frozen, double FrozenS) frozen = (-1, double.NegativeInfinity);
        foreach (int joint in joints)
        {
            double meltsS = Up(t[joint], model.MoltenC, trace.StepS);
            first = meltsS < first.FirstS ? (joint, meltsS) : first;
            last = meltsS > last.LastS ? (joint, meltsS) : last;
            double solidS = Down(t[joint], model.SolidusC, trace.StepS);
            frozen = solidS > frozen.FrozenS ? (joint, solidS) : frozen;
        }
        if (first.First >= 0)
        {
            string where = Places.OfJoint(places[first.First], model.Chip);
            found.Add(
                new HeatMoment(
                    first.FirstS,
                    HeatMoments.FirstMelts,
                    $"first {ball}s melt at the {where}",
                    places[first.First].Name
                )
            );
        }
        if (last.Last >= 0 && double.IsFinite(last.LastS))
        {
            string where = Places.OfJoint(places[last.Last], model.Chip);
            string cue = task == HeatTask.Lift ? "; lift from now on, straight up" : "";
            found.Add(
                new HeatMoment(
                    last.LastS,
                    HeatMoments.AllMolten,
                    $"every {ball} is molten, the last at the {where}{cue}",
                    places[last.Last].Name
                )
            );
        }
        int body = Enumerable.Range(0, places.Count).FirstOrDefault(i => places[i].Kind == HeatPlaceKind.BodyTop, -1);
        if (body >= 0)
        {
            int at = Array.IndexOf(t[body], t[body].Max());
            found.Add(
                new HeatMoment(
                    at * trace.StepS,
                    HeatMoments.BodyPeak,
                    $"the chip's top peaks at {t[body][at]:0} °C",
                    places[body].Name
                )
            );
        }
        found.Add(
            new HeatMoment(
                heatingS,
                HeatMoments.SwitchOff,
                "both heaters off; the gas tool is taken to go on blowing, unheated, until the last joint is solid",
                null
            )
        );
        if (frozen.Frozen >= 0 && double.IsFinite(frozen.FrozenS))
        {
            string where = Places.OfJoint(places[frozen.Frozen], model.Chip);
            found.Add(
                new HeatMoment(
                    frozen.FrozenS,
                    HeatMoments.LastSolid,
                    $"the last {ball} is solid, at the {where}; undercooling not counted, so wait longer before touching",
                    places[frozen.Frozen].Name
                )
            );
        }
        return [.. found.OrderBy(one => one.TimeS)];
    }

    /// <summary>Stages with what to see in each, by the clock.</summary>
    public static IReadOnlyList<HeatStage> WithSights(
        IReadOnlyList<HeatStage> stages,
        IReadOnlyList<HeatMoment> moments
    ) =>
        [
            .. stages.Select(
                (stage, i) =>
                {
                    bool lastStage = i == stages.Count - 1;
                    List<string> seen =
                    [
                        .. moments
                            .Where(one =>
                                one.Name is not HeatMoments.SwitchOff
                                && one.TimeS >= stage.StartS
                                && (lastStage || one.TimeS < stage.StartS + stage.DurationS)
                            )
                            .Select(one => $"about {Places.Clock(one.TimeS)} {one.Text}"),
                    ];
                    if (i == 0)
                    {
                        seen.Insert(0, "check by sight that the nozzle stands centred over the chip");
                    }
                    return stage with { LookFor = seen.Count == 0 ? null : string.Join("; ", seen) };
                }
            ),
        ];

    /// <summary>First time a row rises through a level; infinite for never [s].</summary>
    public static double Up(double[] row, double levelC, double stepS)
    {
        for (int i = 1; i < row.Length; i++)
        {
            if (row[i] >= levelC && row[i - 1] < levelC)
            {
                return (i - 1 + (levelC - row[i - 1]) / (row[i] - row[i - 1])) * stepS;
            }
        }
        return row.Length > 0 && row[0] >= levelC ? 0 : double.PositiveInfinity;
    }

    /// <summary>Last time a row falls through a level; infinite where it ends above, minus infinite where it never was above [s].</summary>
    public static double Down(double[] row, double levelC, double stepS)
    {
        if (row[^1] >= levelC)
        {
            return double.PositiveInfinity;
        }
        for (int i = row.Length - 1; i > 0; i--)
        {
            if (row[i] < levelC && row[i - 1] >= levelC)
            {
                return (i - 1 + (row[i - 1] - levelC) / (row[i - 1] - row[i])) * stepS;
            }
        }
        return double.NegativeInfinity;
    }
}
