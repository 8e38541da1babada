namespace Graftbench.Core.Physics.Alloys;

/// <summary>How far the melting model may be off printed melting points, by composition.</summary>
/// <remarks>
/// Against 20 printed liquidus values the model is off by 2.7 K root mean square and 6 K at worst (project fact sheet "solder
/// alloys" 4); the worst lie where lead is more than half or bismuth meets tin. Beyond 85 % lead the silver surfaces of the
/// collection are extended: 301 °C is printed for Pb93.5Sn5Ag1.5, the model says 318 (printed figure from memory).
/// </remarks>
internal static class MeltErrors
{
    private const double MuchLeadPercent = 45;
    private const double MostlyLeadPercent = 85;
    private const double SomePercent = 0.1;
    private const double SomeBismuthPercent = 2;

    /// <summary>Error of the temperature at which the last crystal goes, or a per cent is left [K].</summary>
    /// <param name="mix">Composition.</param>
    /// <param name="steep">Whether a compound forms first, and its last crystals are asked for.</param>
    public static double TopDeltaK(SolderMix mix, bool steep)
    {
        bool mostlyLead = mix.LeadPercent > MostlyLeadPercent;
        if (mostlyLead && mix.SilverPercent > SomePercent)
        {
            return steep ? 20 : 10;
        }
        double plain = mix.LeadPercent > MuchLeadPercent || mix.BismuthPercent > SomeBismuthPercent ? 6 : 3;
        return steep ? Math.Max(10, plain) : plain;
    }

    /// <summary>Error of the first melt [K].</summary>
    /// <param name="mix">Composition.</param>
    /// <remarks>Tin, lead and bismuth: 144 °C is printed for Sn43Pb43Bi14 (from memory), the model says 135.7.</remarks>
    public static double FirstDeltaK(SolderMix mix) =>
        mix is { LeadPercent: > SomePercent, BismuthPercent: > SomePercent } ? 9
        : mix.LeadPercent > MuchLeadPercent ? 3
        : 2;
}
