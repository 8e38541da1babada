using Graftbench.Firmware.Identity;

namespace Graftbench.Firmware.Answering;

/// <summary>What was carried over of a machine's identity, in words for its owner: kinds of things, never their values.</summary>
public static class IdentityWords
{
    /// <summary>What a proposal is to an owner.</summary>
    /// <param name="kind">How it was carried out.</param>
    /// <param name="shape">What it looks like.</param>
    public static string Of(ProposalKind kind, IdentityShape shape) =>
        kind == ProposalKind.Region
            ? "whole areas of the flash chip that belong to this board"
            : shape switch
            {
                IdentityShape.Serial => "serial numbers",
                IdentityShape.Uuid => "the machine's own identifier",
                IdentityShape.NetworkAddress => "network addresses",
                IdentityShape.Dense => "calibration data",
                _ => "settings of this machine",
            };
}
