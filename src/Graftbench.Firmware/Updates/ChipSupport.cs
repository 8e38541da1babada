using Graftbench.Core.Findings;

namespace Graftbench.Firmware.Updates;

/// <summary>Whether an image knows a processor.</summary>
public enum Knows
{
    /// <summary>It holds an update for this processor.</summary>
    Yes,

    /// <summary>It holds updates, none for this processor, and every part that could hold one was read.</summary>
    No,

    /// <summary>Nothing can be said; the reason says why.</summary>
    Unknown,
}

/// <summary>The answer to whether an image knows a processor.</summary>
/// <param name="Answer">The answer.</param>
/// <param name="Signature">The processor that was asked for.</param>
/// <param name="Platform">The platform that was asked for; null for any.</param>
/// <param name="Reason">Why, in one or more sentences.</param>
/// <param name="Updates">Updates for this processor, the highest revision first.</param>
/// <param name="Relatives">Updates for other steppings of the same model.</param>
/// <param name="Doubts">Places that could not be read and may hold an update, in words.</param>
/// <param name="Finding">The answer as a finding for the fit sheet.</param>
public sealed record ChipSupport(
    Knows Answer,
    ProcessorSignature Signature,
    int? Platform,
    string Reason,
    IReadOnlyList<ProcessorUpdate> Updates,
    IReadOnlyList<ProcessorUpdate> Relatives,
    IReadOnlyList<string> Doubts,
    Finding Finding
);
