namespace Graftbench.Core.Proof;

/// <summary>Words of the proof.</summary>
public static class ProofWords
{
    /// <summary>A state in words.</summary>
    public static string Of(ReadingState state) =>
        state switch
        {
            ReadingState.Baseline => "baseline",
            ReadingState.DonorBaseline => "donor's baseline",
            ReadingState.AfterLift => "reading after the lift",
            ReadingState.AfterPlacing => "reading after placing",
            ReadingState.Healthy => "healthy board",
            ReadingState.Handover => "reading at hand-over",
            _ => "reading on return",
        };

    /// <summary>A shift of a diode-mode reading as a person reads it: <c>+2.4 mV</c>, <c>0.0 mV</c>.</summary>
    /// <param name="shiftV">The shift [V].</param>
    public static string Shift(double shiftV)
    {
        double millivolts = Math.Round(1000 * shiftV, 1);
        // A rounded zero has no sign.
        return millivolts == 0 ? "0.0 mV" : FormattableString.Invariant($"{millivolts:+0.0;-0.0} mV");
    }

    /// <summary>A class of rail in words.</summary>
    public static string Of(RailClass kind) =>
        kind switch
        {
            RailClass.Core => "core",
            RailClass.Memory => "memory",
            RailClass.LowIo => "1.05 V class",
            RailClass.Main => "3.3 or 5 V",
            RailClass.Input => "main input",
            _ => "other",
        };

    /// <summary>A kind in words.</summary>
    public static string Of(ReadingKind kind) =>
        kind switch
        {
            ReadingKind.Resistance => "resistance",
            ReadingKind.Diode => "diode-mode",
            ReadingKind.Voltage => "voltage",
            _ => "current",
        };

    /// <summary>A polarity in words.</summary>
    public static string Of(ProbePolarity polarity) =>
        polarity == ProbePolarity.RedOnGround ? "red on ground" : "black on ground";
}
