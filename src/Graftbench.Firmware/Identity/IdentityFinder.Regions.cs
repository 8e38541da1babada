using Graftbench.Core.Findings;
using Graftbench.Firmware.Descriptor;
using Graftbench.Firmware.Network;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Identity;

public static partial class IdentityFinder
{
    private static void FindRegions(Search found)
    {
        if (found.Given.Own.Descriptor is not { } descriptor)
        {
            return;
        }
        foreach (FlashRegion region in descriptor.Regions)
        {
            if (region.Range is not { } range)
            {
                continue;
            }
            switch (region.Kind)
            {
                case RegionKind.Network or RegionKind.NetworkA or RegionKind.NetworkB:
                    AddNetwork(found, region, range);
                    break;
                case RegionKind.PlatformData:
                    AddPlatformData(found, region, range);
                    break;
                case RegionKind.Firmware or RegionKind.SecondFirmware or RegionKind.ProcessorUpdates:
                    break;
                default:
                    found.NotProposed.Add(
                        new NotProposed(
                            region.Name,
                            range,
                            region.Kind switch
                            {
                                RegionKind.ManagementEngine or RegionKind.InnovationEngine =>
                                    "bound to the chipset; never moves between machines, stays as it is on its own board",
                                RegionKind.Descriptor => "straps of this board; stays as it is on its own board",
                                _ => "firmware of another controller; stays as it is on its own board",
                            }
                        )
                    );
                    break;
            }
        }
        if (
            found.Layout.Kind == LayoutKind.SameRegions
            && descriptor.Find(RegionKind.ManagementEngine)?.Range is not null
        )
        {
            found.Findings.Add(
                new Finding(
                    Verdict.Warning,
                    "identity.engine",
                    "management engine",
                    "The engine region stays the board's own. After a change of processor or chipset it may refuse its old state.",
                    Source: Practice,
                    Todo: "Keep the board's own dump; expect a first start that takes long or stops after 30 minutes."
                )
            );
        }
    }

    private static void AddNetwork(Search found, FlashRegion region, ByteRange range)
    {
        NetworkBlock[] mine = Blocks(found.Given.Own, range);
        NetworkBlock? block = Best(mine);
        if (block is null || block.AddressFault is not null)
        {
            found.NotProposed.Add(new NotProposed(region.Name, range, "no address in it that was given to a machine"));
            return;
        }
        found.SureAddresses.Add(Address(found.Given.Own, block));
        if (mine.Any(one => !one.IsErased && one.AddressFault is null && one.Address != block.Address))
        {
            found.Findings.Add(
                new Finding(
                    Verdict.Warning,
                    "identity.network-copies",
                    region.Name,
                    "The two copies hold two addresses; the one that the controller takes for valid counts.",
                    string.Join(" and ", mine.Select(one => one.Address)),
                    Source: "network-nvm",
                    Todo: "Compare with the label."
                )
            );
        }
        NetworkBlock? theirs =
            found.Layout.Kind == LayoutKind.SameRegions ? Best(Blocks(found.Given.Newer, range)) : null;
        string? instead = theirs is { AddressFault: null } ? theirs.Address : null;
        if (instead is not null && instead != block.Address)
        {
            found.Foreign.Add(("network address", block.Address, instead));
        }
        found.Proposals.Add(
            new IdentityProposal(
                found.Id(region.Kind == RegionKind.Network ? "region-network" : $"region-{region.Number}"),
                ProposalKind.Region,
                $"{region.Name}, the whole region",
                range,
                found.Layout.Kind == LayoutKind.SameRegions ? range : null,
                IdentityShape.NetworkAddress,
                block.Address,
                block.ChecksumOk
                    ? "settings of the network controller with this board's address; their sum holds"
                    : "settings of the network controller with this board's address; their sum does not hold",
                block.ChecksumOk ? RegionFraction : RegionFraction - 0.25
            )
            {
                Region = region.Kind,
                Instead = instead,
                Obstacle = Unplaced(found, range),
            }
        );
    }

    private static void AddPlatformData(Search found, FlashRegion region, ByteRange range)
    {
        if (!found.OwnBytes.Slice(range.Start, range.Length).ContainsAnyExcept((byte)0, (byte)0xFF))
        {
            found.NotProposed.Add(new NotProposed(region.Name, range, "blank"));
            return;
        }
        found.Proposals.Add(
            new IdentityProposal(
                found.Id("region-platform-data"),
                ProposalKind.Region,
                $"{region.Name}, the whole region",
                range,
                found.Layout.Kind == LayoutKind.SameRegions ? range : null,
                IdentityShape.None,
                IdentityShapes.Hex(found.OwnBytes.Slice(range.Start, Math.Min(range.Length, 64))),
                "the region in which the maker keeps data about this board",
                RegionFraction
            )
            {
                Region = region.Kind,
                Obstacle = Unplaced(found, range),
            }
        );
    }

    // Where the newer image is the firmware region alone, the other regions of the chip are not written at all.
    private static string? Unplaced(Search found, ByteRange range) =>
        !found.ReadsAgree(range) ? "the reads of the board differ there"
        : found.Layout.Kind == LayoutKind.FirmwareRegion
            ? "the result is the firmware region alone: leave this region of the chip as it is"
        : found.Layout.Kind == LayoutKind.SameRegions ? null
        : "there is no place for it in the newer image";

    private static NetworkBlock[] Blocks(ImageTree tree, ByteRange range) =>
        [.. tree.NetworkBlocks.Where(block => block.Segment.Space.IsFile && range.Contains(block.Range))];

    private static NetworkBlock? Best(NetworkBlock[] blocks) =>
        blocks
            .Where(block => !block.IsErased)
            .OrderByDescending(block => block.HasSignature)
            .ThenByDescending(block => block.ChecksumOk)
            .ThenBy(block => block.Number)
            .FirstOrDefault();

    private static byte[] Address(ImageTree tree, NetworkBlock block) =>
        tree.File.Bytes.Slice(block.AddressRange.Start, block.AddressRange.Length).ToArray();
}
