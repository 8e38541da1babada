namespace Graftbench.Core.Insight;

/// <summary>What the balls of the joints are made of.</summary>
public enum AlloyFamily
{
    /// <summary>Not said, or no alloy of the table.</summary>
    Unknown,

    /// <summary>More than 0.1 % lead.</summary>
    Leaded,

    /// <summary>No lead, molten at 183 °C or more.</summary>
    LeadFree,

    /// <summary>No lead, molten below 183 °C.</summary>
    LowMelting,

    /// <summary>Balls and solder on the lands are of different families.</summary>
    Mixed,
}

/// <summary>How much solder was left or put on the lands.</summary>
public enum LandSolder
{
    /// <summary>Not measured.</summary>
    Unknown,

    /// <summary>Mean height below 0.01 mm.</summary>
    Bare,

    /// <summary>Mean height from 0.01 to below 0.05 mm.</summary>
    Thin,

    /// <summary>Mean height from 0.05 mm.</summary>
    Thick,
}

/// <summary>How far the soldering heat went above full melt.</summary>
public enum PeakBand
{
    /// <summary>No peak of a soldering heat on record, or alloy not known.</summary>
    Unknown,

    /// <summary>Less than 10 K above full melt.</summary>
    Low,

    /// <summary>10 to 25 K above full melt.</summary>
    Middle,

    /// <summary>More than 25 K above full melt.</summary>
    High,
}

/// <summary>How the boards and the chip were dried before the first heat.</summary>
public enum DriedBefore
{
    /// <summary>No bake and no known history on record, or nothing that could be advised.</summary>
    Unknown,

    /// <summary>Baked as long as advised, all that needed it.</summary>
    AsAdvised,

    /// <summary>Something was baked, but less than advised.</summary>
    Part,

    /// <summary>Not baked as advised, and set aside with a reason.</summary>
    Waived,

    /// <summary>The history is known and nothing needed a bake.</summary>
    NotNeeded,
}

/// <summary>What cases are grouped by.</summary>
public enum InsightDimension
{
    /// <summary>Pitch and number of balls.</summary>
    PartClass,

    /// <summary>Family of the solder.</summary>
    Alloy,

    /// <summary>Solder on the lands.</summary>
    LandSolder,

    /// <summary>Peak of the soldering heat.</summary>
    Peak,

    /// <summary>Drying before the first heat.</summary>
    Drying,

    /// <summary>Who did the work.</summary>
    Technician,

    /// <summary>Where the chip came from.</summary>
    DonorSource,
}

/// <summary>The groups that one case belongs to; empty texts and unknown values are groups of their own.</summary>
/// <param name="PartClass">Pitch and number of balls, in words; empty where not known.</param>
/// <param name="Alloy">Family of the solder.</param>
/// <param name="Lands">Solder on the lands.</param>
/// <param name="Peak">Peak of the soldering heat.</param>
/// <param name="Dried">Drying before the first heat.</param>
/// <param name="Technician">Who did the work; empty where not said.</param>
/// <param name="DonorSource">Where the chip came from; empty where not said.</param>
public sealed record InsightGroups(
    string PartClass,
    AlloyFamily Alloy,
    LandSolder Lands,
    PeakBand Peak,
    DriedBefore Dried,
    string Technician,
    string DonorSource
)
{
    /// <summary>Name of the group of a dimension; empty for unknown.</summary>
    public string Of(InsightDimension dimension) =>
        dimension switch
        {
            InsightDimension.PartClass => PartClass,
            InsightDimension.Alloy => InsightWords.Of(Alloy),
            InsightDimension.LandSolder => InsightWords.Of(Lands),
            InsightDimension.Peak => InsightWords.Of(Peak),
            InsightDimension.Drying => InsightWords.Of(Dried),
            InsightDimension.Technician => Technician,
            _ => DonorSource,
        };
}
