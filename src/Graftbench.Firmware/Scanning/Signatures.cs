using System.Text;

namespace Graftbench.Firmware.Scanning;

/// <summary>The signatures that a scan looks for.</summary>
internal static class Signatures
{
    /// <summary>One signature.</summary>
    /// <param name="Text">Its bytes.</param>
    /// <param name="Kind">What it marks.</param>
    /// <param name="Before">Bytes of the structure in front of the signature.</param>
    /// <param name="Alignment">Boundary that the signature stands on.</param>
    public sealed record Signature(byte[] Text, MarkKind Kind, int Before = 0, int Alignment = 1);

    // ACPI: names of tables that firmware images hold; of the two last the standard says what they are, not what is in them.
    private static readonly string[] AcpiNames =
    [
        "DSDT",
        "SSDT",
        "FACP",
        "APIC",
        "HPET",
        "MCFG",
        "DMAR",
        "BGRT",
        "TPM2",
        "TCPA",
        "SRAT",
        "SLIT",
        "SPCR",
        "DBG2",
        "GTDT",
        "IORT",
        "FPDT",
        "WSMT",
        "RSDT",
        "XSDT",
        "MSDM",
        "SLIC",
    ];

    public static IReadOnlyList<Signature> All { get; } =
    [
        new(Ascii("_FVH"), MarkKind.Volume, Before: 0x28),
        new(Variables.VariableStore.AuthenticatedSignature.ToByteArray(), MarkKind.AuthenticatedStore),
        new(Variables.VariableStore.PlainSignature.ToByteArray(), MarkKind.PlainStore),
        new(Variables.WorkingBlock.Signature.ToByteArray(), MarkKind.WorkingBlock),
        new(Ascii("$PnP"), MarkKind.PlugAndPlay, Alignment: 16),
        new(Ascii("$PIR"), MarkKind.InterruptRouting, Alignment: 16),
        new(Ascii("_32_"), MarkKind.Services32, Alignment: 16),
        new(Ascii("_MP_"), MarkKind.MultiProcessor, Alignment: 16),
        new(Ascii("_SM_"), MarkKind.Smbios2, Alignment: 16),
        new(Ascii("_SM3_"), MarkKind.Smbios3, Alignment: 16),
        new(Ascii("RSD PTR "), MarkKind.AcpiRoot, Alignment: 16),
        .. AcpiNames.Select(name => new Signature(Ascii(name), MarkKind.AcpiTable)),
    ];

    private static byte[] Ascii(string text) => Encoding.ASCII.GetBytes(text);
}
