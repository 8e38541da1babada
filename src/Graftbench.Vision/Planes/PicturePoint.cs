namespace Graftbench.Vision.Planes;

/// <summary>A place in a picture.</summary>
/// <param name="XPx">Column [px].</param>
/// <param name="YPx">Row [px].</param>
public readonly record struct PicturePoint(double XPx, double YPx);
