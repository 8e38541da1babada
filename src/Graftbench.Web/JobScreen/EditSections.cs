namespace Graftbench.Web.JobScreen;

/// <summary>The parts that a job is changed in.</summary>
internal static class EditSections
{
    /// <summary>Names in the address and titles, in the order of the tabs.</summary>
    public static IReadOnlyDictionary<string, string> All { get; } =
        new Dictionary<string, string>(StringComparer.Ordinal)
        {
            ["machine"] = "Machine and wishes",
            ["host"] = "Host board",
            ["host-parts"] = "Parts on the host",
            ["donor"] = "Donor board",
            ["donor-parts"] = "Parts on the donor",
            ["chips"] = "Chips",
            ["fit"] = "Supply and fit",
            ["seat"] = "How the chip seats",
            ["dryer"] = "Bench and dryer",
            ["heaters"] = "What the bench heats with",
            ["materials"] = "Materials",
            ["history"] = "Exposures",
            ["heats"] = "Heats",
            ["weighings"] = "Weighings",
            ["work"] = "Time, cost and result",
            ["handover"] = "Hand-over",
        };

    /// <summary>Lists that entries can be added to and taken out of.</summary>
    public static IReadOnlySet<string> Lists { get; } =
        new HashSet<string>(StringComparer.Ordinal)
        {
            "chips",
            "chips[].seat.parts",
            "chips[].needs.rails",
            "chips[].needs.strapTable",
            "chips[].needs.links",
            "host.gives.rails",
            "host.gives.clocks",
            "host.gives.links",
            "host.parts",
            "donor.parts",
            "host.copperRegions",
            "donor.copperRegions",
            "bench.heat.gas.nozzles",
            "bench.heat.gas.flowSteps",
            "bench.heat.preheater.zones",
            "history.exposures",
            "history.exposures[].breaks",
            "history.heats",
            "history.weighings",
            "work",
        };
}
