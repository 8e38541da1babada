using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Variables;

/// <summary>Where a store of variables stands.</summary>
public enum StoreRole
{
    /// <summary>At the head of a variable volume: the one that the firmware uses.</summary>
    Main,

    /// <summary>In the spare half of a variable volume: an old copy, no source of identity.</summary>
    SpareCopy,

    /// <summary>In a file or a raw area, as some makers keep defaults or a second store.</summary>
    Elsewhere,
}

/// <summary>A store of variables.</summary>
/// <param name="Range">The store as its header declares it, cut at the end of what holds it.</param>
/// <param name="Authenticated">Whether its records have the long header with count, time and key index.</param>
/// <param name="DeclaredSize">Size that the header gives [bytes].</param>
/// <param name="Role">Where it stands.</param>
/// <param name="Records">Records in rising order, live and dead.</param>
/// <param name="FreeRange">Bytes behind the last record that the firmware reaches, up to the end of the store.</param>
/// <param name="FreeIsErased">Whether all of <paramref name="FreeRange"/> is erased.</param>
public sealed record VariableStore(
    ByteRange Range,
    bool Authenticated,
    uint DeclaredSize,
    StoreRole Role,
    IReadOnlyList<VariableRecord> Records,
    ByteRange FreeRange,
    bool FreeIsErased
) : SegmentDetail
{
    /// <summary>Size of a store's header [bytes].</summary>
    public const int HeaderBytes = 0x1C;

    /// <summary>Size of a plain record's header [bytes].</summary>
    public const int PlainHeaderBytes = 0x20;

    /// <summary>Size of an authenticated record's header [bytes].</summary>
    public const int AuthenticatedHeaderBytes = 0x3C;

    /// <summary>Signature of a store with authenticated records.</summary>
    public static readonly Guid AuthenticatedSignature = new("AAF32C78-947B-439A-A180-2E144EC37792");

    /// <summary>Signature of a store with plain records.</summary>
    public static readonly Guid PlainSignature = new("DDCF3616-3275-4164-98B6-FE85707FFE7D");

    /// <summary>Segment of the whole store.</summary>
    public Segment Segment { get; internal set; } = null!;

    /// <summary>The space that all ranges count in.</summary>
    public ByteSpace Space => Segment.Space;

    /// <summary>Size of a record's header in this store [bytes].</summary>
    public int RecordHeaderBytes => Authenticated ? AuthenticatedHeaderBytes : PlainHeaderBytes;

    /// <summary>Records that the firmware uses.</summary>
    public IEnumerable<VariableRecord> Live => Records.Where(record => record.IsLive);

    /// <inheritdoc/>
    public override IReadOnlyList<SegmentFact> Facts() =>
        [
            new("records", Authenticated ? "authenticated" : "plain"),
            new(
                "role",
                Role switch
                {
                    StoreRole.Main => "in use",
                    StoreRole.SpareCopy => "copy in the spare area",
                    _ => "outside of a variable volume",
                }
            ),
            new(
                "count",
                FormattableString.Invariant($"{Records.Count} records, {Records.Count(record => record.IsLive)} live")
            ),
            new("free", FormattableString.Invariant($"{FreeRange.Length} bytes{(FreeIsErased ? "" : ", not erased")}")),
        ];
}
