namespace Graftbench.Core.Heating;

/// <summary>Figures of a run against limits. Built once for a list of limits, then used on any number of runs.</summary>
internal sealed class RunFigures
{
    /// <summary>Length over which rises and falls are taken [s].</summary>
    public const double SlopeS = 10;

    // Where a limit names no level: liquidus of the classification standard (J-STD-020, table 5-2).
    private const double LeadFreeLiquidusC = 217;
    private const double TinLeadLiquidusC = 183;
    private const double SigmoidDeltaK = 0.7;

    private readonly IReadOnlyList<HeatLimit> limits;
    private readonly int[] rows;
    private readonly int[] joints;
    private readonly int bodyTop;
    private readonly int underside;
    private readonly double moltenC;
    private readonly double classLiquidusC;

    /// <summary>Looks up the places that the limits are about.</summary>
    /// <param name="places">Places of the runs, in their order.</param>
    /// <param name="limits">Limits.</param>
    /// <param name="moltenC">Full melt of the joints [°C].</param>
    /// <exception cref="ArgumentException">A limit is about a place that the runs do not have.</exception>
    public RunFigures(IReadOnlyList<HeatPlace> places, IReadOnlyList<HeatLimit> limits, double moltenC)
    {
        this.limits = limits;
        this.moltenC = moltenC;
        classLiquidusC = moltenC < 200 ? TinLeadLiquidusC : LeadFreeLiquidusC;
        joints = [.. Enumerable.Range(0, places.Count).Where(i => places[i].Kind == HeatPlaceKind.Joint)];
        bodyTop = RowOf(places, HeatPlaceKind.BodyTop);
        underside = RowOf(places, HeatPlaceKind.Underside);
        rows = new int[limits.Count];
        for (int i = 0; i < rows.Length; i++)
        {
            rows[i] = Row(places, limits[i]);
        }
    }

    /// <summary>Number of figures: one for each limit.</summary>
    public int Count => limits.Count;

    /// <summary>Rows of the joints in a trace.</summary>
    public IReadOnlyList<int> Joints => joints;

    /// <summary>Row of the chip's top.</summary>
    public int BodyTop => bodyTop;

    /// <summary>Computes every figure.</summary>
    /// <param name="trace">Temperatures, places as given to the constructor.</param>
    /// <param name="heatingS">Time up to switching off [s].</param>
    /// <param name="smooth">True for times above a temperature that have a slope everywhere.</param>
    /// <param name="figures">Filled, one for each limit, in the limit's unit.</param>
    public void Compute(HeatTrace trace, double heatingS, bool smooth, Span<double> figures)
    {
        double[][] t = trace.TemperaturesC;
        (int coldest, int coldestAt, double coldestC, double hottestC) = Peaks(t);
        for (int i = 0; i < limits.Count; i++)
        {
            figures[i] = limits[i].Kind switch
            {
                HeatLimitKind.ColdestJointPeak => coldestC,
                HeatLimitKind.HottestJointPeak => hottestC,
                HeatLimitKind.MoltenTimeLeast => LeastMolten(trace, smooth),
                HeatLimitKind.MoltenTimeMost or HeatLimitKind.NeighbourTime => Above(
                    t[rows[i]],
                    limits[i].AboveC ?? classLiquidusC,
                    trace.StepS,
                    smooth
                ),
                HeatLimitKind.JointSpread => SpreadAt(t, coldest, coldestAt),
                HeatLimitKind.BodyRise or HeatLimitKind.NeighbourRise => Rise(t[rows[i]], trace.StepS),
                HeatLimitKind.BodyFall => Fall(t[rows[i]], trace.StepS, limits[i].AboveC ?? classLiquidusC),
                HeatLimitKind.TimeToPeak => PeakAt(t[rows[i]]) * trace.StepS,
                HeatLimitKind.HeatingTime => heatingS,
                _ => t[rows[i]][PeakAt(t[rows[i]])],
            };
        }
    }

    /// <summary>Room left to a limit, in its unit; negative where passed.</summary>
    public static double Margin(HeatLimit limit, double figure) =>
        limit.AtLeast ? figure - limit.Value : limit.Value - figure;

    /// <summary>Peak of the joint that peaks lowest [°C].</summary>
    public double ColdestC(double[][] temperaturesC) => Peaks(temperaturesC).ColdestC;

    /// <summary>Peak of the joint that peaks highest [°C].</summary>
    public double HottestC(double[][] temperaturesC) => Peaks(temperaturesC).HottestC;

    /// <summary>Shortest time that any joint is fully molten [s].</summary>
    public double LeastMolten(HeatTrace trace, bool smooth)
    {
        double least = double.PositiveInfinity;
        foreach (int joint in joints)
        {
            least = Math.Min(least, Above(trace.TemperaturesC[joint], moltenC, trace.StepS, smooth));
        }
        return least;
    }

    /// <summary>First step at which all joints are fully molten at once; -1 for never.</summary>
    public int AllMoltenAt(double[][] temperaturesC)
    {
        int count = joints.Length == 0 ? 0 : temperaturesC[joints[0]].Length;
        for (int step = 0; step < count; step++)
        {
            bool all = true;
            foreach (int joint in joints)
            {
                all &= temperaturesC[joint][step] >= moltenC;
            }
            if (all)
            {
                return step;
            }
        }
        return -1;
    }

    /// <summary>Time above a level: straight lines between steps, or a sigmoid 0.7 K wide.</summary>
    public static double Above(double[] temperaturesC, double levelC, double stepS, bool smooth)
    {
        double sumS = 0;
        if (smooth)
        {
            foreach (double value in temperaturesC)
            {
                double z = (value - levelC) / SigmoidDeltaK;
                sumS += z > 40 ? stepS : stepS / (1 + Math.Exp(-z));
            }
            return sumS;
        }
        for (int i = 1; i < temperaturesC.Length; i++)
        {
            double a = temperaturesC[i - 1] - levelC;
            double b = temperaturesC[i] - levelC;
            double share =
                a >= 0 && b >= 0 ? 1
                : a < 0 && b < 0 ? 0
                : Math.Max(a, b) / Math.Abs(a - b);
            sumS += share * stepS;
        }
        return sumS;
    }

    private static int RowOf(IReadOnlyList<HeatPlace> places, HeatPlaceKind kind)
    {
        for (int i = 0; i < places.Count; i++)
        {
            if (places[i].Kind == kind)
            {
                return i;
            }
        }
        return -1;
    }

    private int Row(IReadOnlyList<HeatPlace> places, HeatLimit limit)
    {
        bool whole =
            limit.Kind
            is HeatLimitKind.ColdestJointPeak
                or HeatLimitKind.HottestJointPeak
                or HeatLimitKind.MoltenTimeLeast
                or HeatLimitKind.JointSpread;
        if (limit.Kind == HeatLimitKind.HeatingTime)
        {
            return 0;
        }
        if (whole)
        {
            return joints.Length > 0
                ? joints[0]
                : throw new ArgumentException(
                    $"The limit {limit.Title} is about joints, of which there are none.",
                    nameof(limit)
                );
        }
        int row = -1;
        for (int i = 0; i < places.Count && limit.Place is not null && row < 0; i++)
        {
            row = string.Equals(places[i].Name, limit.Place, StringComparison.Ordinal) ? i : -1;
        }
        if (row < 0 && limit.Place is null)
        {
            row = limit.Kind switch
            {
                HeatLimitKind.UndersidePeak => underside,
                _ when limit.OfNeighbour => -1,
                _ => bodyTop,
            };
        }
        return row >= 0
            ? row
            : throw new ArgumentException(
                $"The limit {limit.Title} is about {limit.Place}, which is no place here.",
                nameof(limit)
            );
    }

    private (int Coldest, int ColdestAt, double ColdestC, double HottestC) Peaks(double[][] t)
    {
        int coldest = -1;
        int coldestAt = 0;
        double coldestC = double.PositiveInfinity;
        double hottestC = double.NegativeInfinity;
        foreach (int joint in joints)
        {
            int at = PeakAt(t[joint]);
            double peakC = t[joint][at];
            hottestC = Math.Max(hottestC, peakC);
            if (coldest < 0 || peakC < coldestC)
            {
                (coldest, coldestAt, coldestC) = (joint, at, peakC);
            }
        }
        return (coldest, coldestAt, coldestC, hottestC);
    }

    private double SpreadAt(double[][] t, int coldest, int step)
    {
        double hottestC = double.NegativeInfinity;
        foreach (int joint in joints)
        {
            hottestC = Math.Max(hottestC, t[joint][step]);
        }
        return hottestC - t[coldest][step];
    }

    private static int PeakAt(double[] values)
    {
        int at = 0;
        for (int i = 1; i < values.Length; i++)
        {
            if (!(values[i] <= values[at]))
            {
                at = i;
            }
        }
        return at;
    }

    private static double Rise(double[] values, double stepS)
    {
        int span = Math.Max(1, (int)Math.Round(SlopeS / stepS));
        double steepest = 0;
        for (int i = span; i < values.Length; i++)
        {
            steepest = Math.Max(steepest, values[i] - values[i - span]);
        }
        return steepest / (span * stepS);
    }

    private static double Fall(double[] values, double stepS, double downToC)
    {
        int span = Math.Max(1, (int)Math.Round(SlopeS / stepS));
        double steepest = 0;
        for (int i = PeakAt(values) + span; i < values.Length && values[i - span] >= downToC; i++)
        {
            steepest = Math.Max(steepest, values[i - span] - values[i]);
        }
        return steepest / (span * stepS);
    }
}
