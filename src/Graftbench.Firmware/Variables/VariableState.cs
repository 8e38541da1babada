namespace Graftbench.Firmware.Variables;

/// <summary>Where a record is in its life. Bits of the state byte are only ever cleared.</summary>
public enum VariableState
{
    /// <summary>Added and valid (3Fh).</summary>
    Added,

    /// <summary>Being replaced by a newer record (3Eh): counts unless the newer one is there.</summary>
    InDeletion,

    /// <summary>Deleted (3Dh).</summary>
    Deleted,

    /// <summary>Deleted after it was replaced (3Ch).</summary>
    DeletedAfterReplacement,

    /// <summary>Only the header was written when the power went (7Fh).</summary>
    HeaderOnly,

    /// <summary>Any other value of the byte.</summary>
    Other,
}
