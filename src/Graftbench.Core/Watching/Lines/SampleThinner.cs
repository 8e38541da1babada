namespace Graftbench.Core.Watching.Lines;

/// <summary>Readings of one moment as a logger sent them.</summary>
/// <param name="TimeS">Time on the arrival clock [s].</param>
/// <param name="Readings">One for each channel.</param>
public sealed record ProbeSample(double TimeS, IReadOnlyList<ChannelReading> Readings);

/// <summary>Brings a logger that floods down to a rate that a screen and a disk have use for: the median of each window.</summary>
/// <remarks>Up to <see cref="MostPerS"/> samples a second pass as they came.</remarks>
public sealed class SampleThinner
{
    /// <summary>Samples a second that are passed on at most.</summary>
    public const double MostPerS = 20;

    private const double WindowS = 1 / MostPerS;
    private readonly List<ProbeSample> window = [];
    private double lastGivenS = double.NegativeInfinity;

    /// <summary>Samples that went into the median of others.</summary>
    public long ThinnedNumber { get; private set; }

    /// <summary>Takes a sample.</summary>
    /// <param name="sample">The next one, later than the one before.</param>
    /// <param name="take">Called for each sample to pass on, in order.</param>
    public void Next(ProbeSample sample, Action<ProbeSample> take)
    {
        ArgumentNullException.ThrowIfNull(sample);
        ArgumentNullException.ThrowIfNull(take);
        if (window.Count > 0 && sample.TimeS - window[0].TimeS >= WindowS)
        {
            ProbeSample middle = Median();
            ThinnedNumber += window.Count - 1;
            window.Clear();
            Give(middle, take);
        }
        if (window.Count == 0 && sample.TimeS - lastGivenS >= WindowS * 0.9)
        {
            Give(sample, take);
        }
        else
        {
            window.Add(sample);
        }
    }

    private void Give(ProbeSample sample, Action<ProbeSample> take)
    {
        lastGivenS = sample.TimeS;
        take(sample);
    }

    private ProbeSample Median()
    {
        int channels = window[^1].Readings.Count;
        ChannelReading[] readings = new ChannelReading[channels];
        for (int channel = 0; channel < channels; channel++)
        {
            ChannelReading[] measured =
            [
                .. window
                    .Select(sample => sample.Readings[channel])
                    .Where(reading => reading.State == ChannelState.Measured)
                    .OrderBy(reading => reading.TemperatureC),
            ];
            // A channel that is mostly out is out.
            readings[channel] =
                measured.Length * 2 > window.Count ? measured[measured.Length / 2] : window[^1].Readings[channel];
            if (measured.Length * 2 <= window.Count && readings[channel].State == ChannelState.Measured)
            {
                readings[channel] = ChannelReading.None;
            }
        }
        return new ProbeSample(window[^1].TimeS, readings);
    }
}
