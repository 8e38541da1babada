namespace Graftbench.Firmware.Reading;

/// <summary>Rows of the source table that the findings of a reading lean on, and sentences that they share.</summary>
internal static class Sources
{
    public const string Volumes = "uefi-pi-volumes";
    public const string Variables = "edk-variables";
    public const string Descriptor = "flash-descriptor";
    public const string Network = "network-nvm";
    public const string Updates = "x86-updates";
    public const string Smbios = "smbios";
    public const string Acpi = "acpi";
    public const string OptionRoms = "pci-firmware";
    public const string LegacyAnchors = "legacy-anchors";
    public const string Ours = "graftbench-limit";

    public const string ReadAgain =
        "Read the chip again with its contacts cleaned, and compare; do not write this image before it is explained.";
}
