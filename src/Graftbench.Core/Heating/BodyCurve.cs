namespace Graftbench.Core.Heating;

/// <summary>A temperature over time, straight lines between points.</summary>
internal sealed class BodyCurve
{
    private readonly IReadOnlyList<double> _timesS;
    private readonly IReadOnlyList<double> _temperaturesC;

    public BodyCurve(IReadOnlyList<double> timesS, IReadOnlyList<double> temperaturesC)
    {
        if (timesS.Count != temperaturesC.Count || timesS.Count < 2)
        {
            throw new ArgumentException(
                $"{timesS.Count} times and {temperaturesC.Count} temperatures: as many, at least 2.",
                nameof(temperaturesC)
            );
        }
        for (int i = 0; i < timesS.Count; i++)
        {
            if (
                !double.IsFinite(timesS[i])
                || !double.IsFinite(temperaturesC[i])
                || (i > 0 && timesS[i] < timesS[i - 1])
            )
            {
                throw new ArgumentException($"Point {i} is not finite, or its time does not rise.", nameof(timesS));
            }
        }
        _timesS = timesS;
        _temperaturesC = temperaturesC;
    }

    /// <summary>Time and temperature of the first highest point.</summary>
    public (double TimeS, double PeakC) Peak
    {
        get
        {
            int at = 0;
            for (int i = 1; i < _timesS.Count; i++)
            {
                at = _temperaturesC[i] > _temperaturesC[at] ? i : at;
            }
            return (_timesS[at], _temperaturesC[at]);
        }
    }

    /// <summary>When the curve first comes to a temperature from below; null where it never does.</summary>
    public double? FirstUp(double temperatureC)
    {
        for (int i = 1; i < _timesS.Count; i++)
        {
            if (_temperaturesC[i - 1] < temperatureC && _temperaturesC[i] >= temperatureC)
            {
                return Crossing(i, temperatureC);
            }
        }
        return null;
    }

    /// <summary>When the curve last falls below a temperature; null where it never does.</summary>
    public double? LastDown(double temperatureC)
    {
        for (int i = _timesS.Count - 1; i > 0; i--)
        {
            if (_temperaturesC[i - 1] >= temperatureC && _temperaturesC[i] < temperatureC)
            {
                return Crossing(i, temperatureC);
            }
        }
        return null;
    }

    /// <summary>Time that the curve spends above a temperature, all stretches added [s].</summary>
    public double Above(double temperatureC)
    {
        double sumS = 0;
        for (int i = 1; i < _timesS.Count; i++)
        {
            double spanS = _timesS[i] - _timesS[i - 1];
            double low = Math.Min(_temperaturesC[i - 1], _temperaturesC[i]) - temperatureC;
            double high = Math.Max(_temperaturesC[i - 1], _temperaturesC[i]) - temperatureC;
            sumS +=
                low >= 0 ? spanS
                : high > 0 ? spanS * high / (high - low)
                : 0;
        }
        return sumS;
    }

    private double Crossing(int i, double temperatureC)
    {
        double share = (temperatureC - _temperaturesC[i - 1]) / (_temperaturesC[i] - _temperaturesC[i - 1]);
        return _timesS[i - 1] + share * (_timesS[i] - _timesS[i - 1]);
    }
}
