namespace Graftbench.Vision.Pictures;

/// <summary>A corner of a picture, as it is looked at.</summary>
public enum PictureCorner
{
    /// <summary>Upper left.</summary>
    UpperLeft,

    /// <summary>Upper right.</summary>
    UpperRight,

    /// <summary>Lower right.</summary>
    LowerRight,

    /// <summary>Lower left.</summary>
    LowerLeft,
}
