using Graftbench.Core.Jobs;

namespace Graftbench.Core.Insight;

/// <summary>Words for groups, outcomes and steps.</summary>
public static class InsightWords
{
    /// <summary>A family of solder; empty for unknown.</summary>
    public static string Of(AlloyFamily family) =>
        family switch
        {
            AlloyFamily.Leaded => "leaded",
            AlloyFamily.LeadFree => "lead-free",
            AlloyFamily.LowMelting => "low-melting",
            AlloyFamily.Mixed => "mixed: balls and lands differ",
            _ => "",
        };

    /// <summary>Solder on the lands; empty for unknown.</summary>
    public static string Of(LandSolder lands) =>
        lands switch
        {
            LandSolder.Bare => "bare",
            LandSolder.Thin => "thin, below 0.05 mm",
            LandSolder.Thick => "thick, 0.05 mm and more",
            _ => "",
        };

    /// <summary>A band of peaks; empty for unknown.</summary>
    public static string Of(PeakBand peak) =>
        peak switch
        {
            PeakBand.Low => "less than 10 K above full melt",
            PeakBand.Middle => "10 to 25 K above full melt",
            PeakBand.High => "more than 25 K above full melt",
            _ => "",
        };

    /// <summary>Drying; empty for unknown.</summary>
    public static string Of(DriedBefore dried) =>
        dried switch
        {
            DriedBefore.AsAdvised => "baked as advised",
            DriedBefore.Part => "baked in part",
            DriedBefore.Waived => "set aside with a reason",
            DriedBefore.NotNeeded => "not needed",
            _ => "",
        };

    /// <summary>Title of a dimension.</summary>
    public static string Of(InsightDimension dimension) =>
        dimension switch
        {
            InsightDimension.PartClass => "Part class",
            InsightDimension.Alloy => "Solder",
            InsightDimension.LandSolder => "Solder on the lands",
            InsightDimension.Peak => "Peak of the soldering heat",
            InsightDimension.Drying => "Drying before the first heat",
            InsightDimension.Technician => "Technician",
            _ => "Where the chip came from",
        };

    /// <summary>Name of a group, unknown ones included.</summary>
    public static string Group(string name) => string.IsNullOrEmpty(name) ? "not known" : name;

    /// <summary>A step of the work.</summary>
    public static string Of(WorkStep step) =>
        step switch
        {
            WorkStep.Intake => "Intake",
            WorkStep.Strip => "Strip the board",
            WorkStep.Baseline => "Baseline readings",
            WorkStep.Dump => "Dump the memory",
            WorkStep.Lift => "Lift",
            WorkStep.ChipClean => "Clean the chip",
            WorkStep.Balls => "Attach balls",
            WorkStep.Lands => "Dress the lands",
            WorkStep.Place => "Place and reflow",
            WorkStep.Inspect => "Inspect",
            WorkStep.Clean => "Clean the board",
            WorkStep.Proof => "Proof before power",
            WorkStep.FirstPower => "First power",
            WorkStep.Firmware => "Firmware",
            WorkStep.Rebuild => "Put together",
            WorkStep.Soak => "Soak",
            WorkStep.HandOver => "Hand-over",
            WorkStep.Parts => "Parts and donor",
            WorkStep.Consumables => "Consumables",
            _ => "Other",
        };

    /// <summary>A count as a person may read it: a percentage only from ten cases on.</summary>
    public static string Of(CountedShare share)
    {
        ArgumentNullException.ThrowIfNull(share);
        return share.Total == 0 ? "none yet"
            : share.HasPercent
                ? FormattableString.Invariant(
                    $"{share.Hits} of {share.Total}, {Percent(share.PointFraction ?? 0)} % ({Percent(share.LowFraction)} to {Percent(share.HighFraction)} %)"
                )
            : FormattableString.Invariant($"{share.Hits} of {share.Total}");
    }

    // All and none are said of all and none only.
    private static string Percent(double share)
    {
        double percent = 100 * share;
        return share is <= 0 or >= 1 || percent is >= 1 and <= 99
            ? FormattableString.Invariant($"{percent:0}")
            : FormattableString.Invariant($"{Math.Clamp(Math.Round(percent, 1), 0.1, 99.9):0.0}");
    }
}
