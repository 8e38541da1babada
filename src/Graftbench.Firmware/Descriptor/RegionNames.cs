namespace Graftbench.Firmware.Descriptor;

/// <summary>Names of the regions.</summary>
internal static class RegionNames
{
    public static string Of(RegionKind kind, int number) =>
        kind switch
        {
            RegionKind.Descriptor => "descriptor",
            RegionKind.Firmware => "firmware",
            RegionKind.ManagementEngine => "management engine",
            RegionKind.Network => "network settings",
            RegionKind.PlatformData => "platform data",
            RegionKind.DeviceExpansion => "device expansion",
            RegionKind.SecondFirmware => "second firmware",
            RegionKind.ProcessorUpdates => "processor updates",
            RegionKind.EmbeddedController => "embedded controller",
            RegionKind.DeviceExpansionTwo => "device expansion 2",
            RegionKind.InnovationEngine => "innovation engine",
            RegionKind.NetworkA => "10-gigabit network A",
            RegionKind.NetworkB => "10-gigabit network B",
            _ => FormattableString.Invariant($"region {number}"),
        };
}
