namespace Graftbench.Core.Watching;

/// <summary>
/// Finds faults of single probes from their own readings: open, saturated, stuck, loose. A fault clears by itself once
/// readings have been sound for a while. Memory does not grow.
/// </summary>
/// <remarks>
/// Limits are estimates (common practice, no source): no bead that touches a board changes by more than 15 K within half a
/// second or steadily by more than 8 K/s in this use; a sound reading does not repeat to a hundredth for 20 s while the model
/// moves its place by 5 K.
/// </remarks>
public sealed class ProbeDoctor
{
    private const double JumpDeltaK = 15;
    private const double FastestKPerS = 8;
    private const double ShortestSlopeS = 0.5;
    private const double SameDeltaK = 0.011;
    private const double StuckS = 20;
    private const double StuckMoveDeltaK = 5;
    private const int SlopeSteps = 15;
    private const double SlopeDeltaK = 15;
    private const double AgreesDeltaK = 12;
    private const double SoundS = 10;
    private const double LooseSoundS = 30;

    private readonly string channel;
    private readonly LoggerRange range;
    private readonly Queue<double> offDeltaK = new();
    private (double TimeS, double ReadC)? last;
    private (double TimeS, double ReadC, double ModelC)? held;
    private ProbeFault fault;
    private double sinceS;
    private double soundFromS = double.NaN;
    private string words = "";

    /// <summary>A probe that nothing is known of.</summary>
    /// <param name="channel">Channel.</param>
    /// <param name="range">Range of the logger.</param>
    public ProbeDoctor(string channel, LoggerRange range)
    {
        ArgumentNullException.ThrowIfNull(channel);
        ArgumentNullException.ThrowIfNull(range);
        this.channel = channel;
        this.range = range;
    }

    /// <summary>Present health.</summary>
    public ProbeHealth Health => new(channel, fault, fault == ProbeFault.None ? 0 : sinceS, words);

    /// <summary>Takes a reading as the logger sent it.</summary>
    /// <param name="reading">Reading; times may not fall.</param>
    /// <param name="modelC">What the estimate expects of it now [°C].</param>
    /// <returns>Whether the reading may be used.</returns>
    public bool Take(ProbeReading reading, double modelC)
    {
        ArgumentNullException.ThrowIfNull(reading);
        double now = reading.TimeS;
        if (!double.IsFinite(now) || now < last?.TimeS)
        {
            return false;
        }
        if (reading.TemperatureC is not double read || !double.IsFinite(read))
        {
            last = null;
            held = null;
            return Found(ProbeFault.Open, now, "no contact: check plug, wire and bead");
        }
        if (read <= range.LowC || read >= range.HighC)
        {
            last = (now, read);
            held = null;
            return Found(
                ProbeFault.Saturated,
                now,
                FormattableString.Invariant($"reads {read:0} °C, the end of the logger's range: check wire and type")
            );
        }
        bool jumps = Jumps(now, read);
        bool stuck = Stuck(now, read, modelC);
        last = (now, read);
        if (jumps)
        {
            return Found(
                ProbeFault.Loose,
                now,
                "jumps or climbs faster than a board can: press the bead on and fix it again"
            );
        }
        // A bead that came off and lies still in the room is loose all the same.
        if (stuck && fault != ProbeFault.Loose)
        {
            return Found(
                ProbeFault.Stuck,
                now,
                FormattableString.Invariant(
                    $"stands at {read:0.0} °C while its place must change: check logger and wire"
                )
            );
        }
        return Sound(now, Math.Abs(read - modelC) < AgreesDeltaK);
    }

    /// <summary>Takes the mean of a step of one second, to compare slopes.</summary>
    /// <param name="timeS">End of the step [s].</param>
    /// <param name="readC">Mean of its readings [°C].</param>
    /// <param name="freeC">What the model alone, without any probe, has at its place [°C].</param>
    /// <returns>False where it goes elsewhere than its place can.</returns>
    public bool Compare(double timeS, double readC, double freeC)
    {
        offDeltaK.Enqueue(readC - freeC);
        if (offDeltaK.Count <= SlopeSteps)
        {
            return true;
        }
        double before = offDeltaK.Dequeue();
        if (Math.Abs(readC - freeC - before) < SlopeDeltaK)
        {
            return true;
        }
        offDeltaK.Clear();
        return Found(
            ProbeFault.Loose,
            timeS,
            "goes another way than its place can: press the bead on and fix it again"
        );
    }

    // A slope over less than half a second would be the noise of two readings.
    private bool Jumps(double now, double read)
    {
        if (last is not { } before)
        {
            return false;
        }
        double span = now - before.TimeS;
        double change = Math.Abs(read - before.ReadC);
        return change > JumpDeltaK && change / Math.Max(span, ShortestSlopeS) > FastestKPerS;
    }

    private bool Stuck(double now, double read, double modelC)
    {
        if (held is not { } from || Math.Abs(read - from.ReadC) > SameDeltaK)
        {
            held = (now, read, modelC);
            return false;
        }
        return now - from.TimeS >= StuckS && Math.Abs(modelC - from.ModelC) >= StuckMoveDeltaK;
    }

    private bool Found(ProbeFault found, double now, string what)
    {
        if (fault != found)
        {
            sinceS = now;
        }
        fault = found;
        words = $"{channel} {what}.";
        soundFromS = double.NaN;
        offDeltaK.Clear();
        return false;
    }

    private bool Sound(double now, bool agrees)
    {
        if (fault == ProbeFault.None)
        {
            return true;
        }
        // Steady readings of a bead that came off are those of the gas or the room.
        if (double.IsNaN(soundFromS) || (fault == ProbeFault.Loose && !agrees))
        {
            soundFromS = now;
        }
        // A probe that came off once may come off again: it has to hold for longer.
        if (now - soundFromS < (fault == ProbeFault.Loose ? LooseSoundS : SoundS))
        {
            return false;
        }
        fault = ProbeFault.None;
        words = "";
        return true;
    }
}
