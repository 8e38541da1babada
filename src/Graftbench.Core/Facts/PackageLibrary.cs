using Graftbench.Core.Jobs;

namespace Graftbench.Core.Facts;

/// <summary>A generic class of ball-grid bodies: sizes to start from, never a maker's drawing.</summary>
/// <param name="Id">Name of the class, <c>plastic-27x27-1.27</c>.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="BodyLengthMm">Body in x [mm].</param>
/// <param name="BodyWidthMm">Body in y [mm].</param>
/// <param name="BodyThicknessMm">Body thickness without balls [mm].</param>
/// <param name="SubstrateThicknessMm">Substrate, part of the body thickness [mm].</param>
/// <param name="PitchMm">Pitch [mm].</param>
/// <param name="Rows">Rows of the ball field.</param>
/// <param name="Columns">Columns of the ball field.</param>
/// <param name="BallCount">Usual number of balls.</param>
/// <param name="BallDiameterMm">Usual ball before attach [mm].</param>
/// <param name="InternalPlanes">Whether the substrate usually has solid planes.</param>
/// <param name="MoistureLevel">Usual moisture level.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record PackageClass(
    string Id,
    string Title,
    double BodyLengthMm,
    double BodyWidthMm,
    double BodyThicknessMm,
    double SubstrateThicknessMm,
    double PitchMm,
    int Rows,
    int Columns,
    int BallCount,
    double BallDiameterMm,
    YesNo InternalPlanes,
    MoistureLevel MoistureLevel,
    Confidence Confidence,
    string Source
);

/// <summary>The package library (<c>data/package-classes.csv</c>).</summary>
public static class PackageLibrary
{
    private static readonly Lazy<IReadOnlyList<PackageClass>> LazyClasses = new(() =>
        CsvTable.Load("package-classes").Rows.Select(Class).OrderBy(one => one.BodyLengthMm * one.BodyWidthMm).ToList()
    );

    /// <summary>All classes, smallest body first.</summary>
    public static IReadOnlyList<PackageClass> Classes => LazyClasses.Value;

    private static PackageClass Class(CsvRow row) =>
        new(
            row["id"],
            row["title"],
            row.Number("bodyLengthMm"),
            row.Number("bodyWidthMm"),
            row.Number("bodyThicknessMm"),
            row.Number("substrateThicknessMm"),
            row.Number("pitchMm"),
            (int)row.Number("rows"),
            (int)row.Number("columns"),
            (int)row.Number("ballCount"),
            row.Number("ballDiameterMm"),
            FactNames<YesNo>.Parse(row, "internalPlanes"),
            FactNames<MoistureLevel>.Parse(row, "moistureLevel"),
            row.Confidence,
            row["source"]
        );
}
