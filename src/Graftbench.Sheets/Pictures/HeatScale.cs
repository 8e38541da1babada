using Graftbench.Core.Heating;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>Colours of a temperature picture: equal steps from cool and pale to hot and dark, in order also in a grey print.</summary>
/// <param name="LowC">Lower end [°C].</param>
/// <param name="StepDeltaK">Width of one colour [K].</param>
/// <param name="Steps">Number of colours, at most ten.</param>
/// <param name="OpenBelow">Whether the coolest colour also stands for everything below the lower end.</param>
public sealed record HeatScale(double LowC, double StepDeltaK, int Steps, bool OpenBelow = false)
{
    private const int Most = 10;
    private static readonly double[] Widths = [1, 2, 5, 10, 20, 25, 50, 100, 250, 1000];

    private static readonly double[] FineWidths = [5, 10, 15, 20, 25, 50];

    /// <summary>Upper end [°C].</summary>
    public double HighC => LowC + (StepDeltaK * Steps);

    /// <summary>The colours of this scale from cool to hot, as a page writes them.</summary>
    public IReadOnlyList<string> Colours => [.. Enumerable.Range(0, Steps).Select(step => Inks.Hex(InkAt(step)))];

    /// <summary>Temperatures at which one colour goes over into the next; isotherms are drawn there [°C].</summary>
    public IReadOnlyList<double> EdgesC =>
        [.. Enumerable.Range(1, Math.Max(0, Steps - 1)).Select(step => LowC + (StepDeltaK * step))];

    /// <summary>The scale that holds some frames of a plan.</summary>
    /// <param name="shown">Planes with the frames of them that are shown.</param>
    public static HeatScale Of(IEnumerable<(HeatPlane Plane, HeatFrame Frame)> shown)
    {
        ArgumentNullException.ThrowIfNull(shown);
        double low = double.PositiveInfinity;
        double high = double.NegativeInfinity;
        foreach ((HeatPlane plane, HeatFrame frame) in shown)
        {
            int count = Math.Min(frame.TemperaturesC.Length, plane.Covered.Count);
            for (int i = 0; i < count; i++)
            {
                double value = frame.TemperaturesC[i];
                if (plane.Covered[i] && double.IsFinite(value))
                {
                    low = Math.Min(low, value);
                    high = Math.Max(high, value);
                }
            }
        }
        if (!(low <= high))
        {
            return new HeatScale(0, 25, Most);
        }
        double width = Widths.FirstOrDefault(step => Math.Floor(high / step) - Math.Floor(low / step) < Most, 1000);
        double from = Math.Floor(low / width) * width;
        return new HeatScale(from, width, Math.Clamp((int)Math.Floor((high - from) / width) + 1, 1, Most));
    }

    /// <summary>
    /// The scale for a whole run: fine where solder melts and parts suffer, with one colour for all that is colder.
    /// </summary>
    /// <param name="shown">Planes with all their frames.</param>
    public static HeatScale OfRun(IEnumerable<(HeatPlane Plane, HeatFrame Frame)> shown)
    {
        const double FineFromC = 100;
        const double HotFromC = 150;
        HeatScale whole = Of(shown);
        if (whole.LowC >= FineFromC || whole.HighC < HotFromC)
        {
            return whole;
        }
        double high = whole.HighC;
        double width = FineWidths.FirstOrDefault(step => (high - FineFromC) / step <= Most, whole.StepDeltaK);
        double top = Math.Ceiling(high / width) * width;
        return new HeatScale(top - (Most * width), width, Most, whole.LowC < top - (Most * width));
    }

    /// <summary>Number of the colour of a temperature.</summary>
    internal int StepOf(double temperatureC) =>
        double.IsFinite(temperatureC)
            ? (int)Math.Clamp(Math.Floor((temperatureC - LowC) / StepDeltaK), 0, Steps - 1)
            : 0;

    // Few steps spread over the whole range of colours, so that they stay apart.
    internal Ink InkAt(int step) =>
        Ink.Heat0
        + (Steps < 2 ? 5 : (int)Math.Round((double)Math.Clamp(step, 0, Steps - 1) * (Most - 1) / (Steps - 1)));
}
