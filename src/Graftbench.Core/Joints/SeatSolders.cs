using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Alloys;
using Graftbench.Core.Physics.Capillary;
using static System.FormattableString;

namespace Graftbench.Core.Joints;

/// <summary>What a document says of the solder of one joint.</summary>
/// <param name="BallAlloy">Name of the balls' alloy; null where it is not said.</param>
/// <param name="LandAlloy">Name of the alloy left on the lands; null where it is not said.</param>
/// <param name="BallMm">Diameter of a ball [mm].</param>
/// <param name="LandMm">Diameter of a land [mm].</param>
/// <param name="DomeMm">Height of the solder on it [mm].</param>
/// <param name="MarginDeltaK">How far above full melt the joints are to get [K]; null where it is not said.</param>
internal sealed record SolderSaid(
    string? BallAlloy,
    string? LandAlloy,
    double BallMm,
    double LandMm,
    double DomeMm,
    double? MarginDeltaK = null
);

/// <summary>Tension, density and swelling of the molten joint: as entered, else by the alloy, else assumed wide.</summary>
internal static class SeatSolders
{
    private const double UsualTensionNPerM = 0.50;
    private const double UsualDensityKgPerM3 = 7400;
    private const double NamedErrorPercent = 10;

    // From tin-bismuth under flux to tin-rich solder in nitrogen: 0.34 to 0.55 N/m; the lead-free and tin-lead ones lie within.
    private const double UnknownErrorPercent = 20;
    private const double DensityErrorPercent = 1.5;

    // Root sum of squares of the solid's 0.7 % and the melt's 1.5 %.
    private const double SwellingErrorPercent = 1.7;
    private const double UsualMarginDeltaK = 20;
    private const string Entered = "job-file";
    private const string TensionSource = "solder-tension-values";
    private const string DensitySource = "solder-density-rule";
    private const string Sheet = "seating-mechanics-sheet";

    /// <summary>Makes the figures.</summary>
    /// <param name="given">What is entered; it wins.</param>
    /// <param name="said">What is said of the alloys.</param>
    public static JointSolder Of(SeatSolder given, SolderSaid said)
    {
        List<SolderFigure> figures = [];
        Alloy? ball = Find(said.BallAlloy);
        Alloy? land = said.DomeMm > 0 ? Find(said.LandAlloy) ?? ball : ball;
        string unnamed =
            string.IsNullOrWhiteSpace(said.BallAlloy) ? "alloy of the balls not said"
            : ball is null ? $"{said.BallAlloy} is not in the alloy table"
            : "";
        JointMixture? joint =
            ball is null || land is null
                ? null
                : JointMixture.Of(
                    said.DomeMm > 0
                        ? [JointPart.Ball(ball, said.BallMm), JointPart.Dome(land, said.LandMm, said.DomeMm)]
                        : [JointPart.Ball(ball, said.BallMm)]
                );
        string name =
            ball is null || land is null ? ""
            : ball.Id == land.Id ? ball.Id
            : $"{ball.Id} with {land.Id}";
        double? peakC = joint is null
            ? null
            : given.PeakC ?? Math.Max(ball!.MoltenC, land!.MoltenC) + (said.MarginDeltaK ?? UsualMarginDeltaK);
        (double tension, double errorPercent, bool known) = Tension(given, joint, name, unnamed, figures);
        double liquid = Density(given, joint, peakC, name, unnamed, figures, out double densityError);
        double swelling = Swelling(given, joint, peakC, name, unnamed, figures, out double swellingError);
        double solid = ball?.DensityKgPerM3 ?? liquid * swelling;
        return new JointSolder(
            tension,
            errorPercent,
            liquid,
            swelling,
            solid,
            given.TensionNPerM is not null ? "given"
                : known ? name
                : "assumed",
            densityError,
            swellingError,
            known,
            figures
        );
    }

    private static (double NPerM, double ErrorPercent, bool Known) Tension(
        SeatSolder given,
        JointMixture? joint,
        string name,
        string unnamed,
        List<SolderFigure> figures
    )
    {
        if (given.TensionNPerM is { } entered)
        {
            double error = given.TensionErrorPercent ?? NamedErrorPercent;
            string how = given.TensionErrorPercent is null ? "entered; its error assumed" : "entered";
            figures.Add(Figure("surface tension", $"{entered:0.00#} N/m ± {error:0.#} %, {how}", Entered));
            return (entered, error, true);
        }
        string cover = given.Cover switch
        {
            SolderCover.Nitrogen => "in nitrogen",
            SolderCover.Air => "bare in air",
            _ => "under flux",
        };
        if (joint?.Tension(Cover(given.Cover)) is { } range)
        {
            double error = given.TensionErrorPercent ?? 50 * (range.HighNPerM - range.LowNPerM) / range.TensionNPerM;
            figures.Add(
                Figure(
                    "surface tension",
                    $"{range.TensionNPerM:0.00#} N/m ± {error:0.#} %, {name} {cover}",
                    TensionSource
                )
            );
            return (range.TensionNPerM, error, true);
        }
        double wide = given.TensionErrorPercent ?? UnknownErrorPercent;
        string why = joint is null ? unnamed : $"no figure known for {name} {cover}";
        figures.Add(Figure("surface tension", $"{UsualTensionNPerM:0.00} N/m ± {wide:0.#} %, assumed: {why}", Sheet));
        return (UsualTensionNPerM, wide, false);
    }

    private static double Density(
        SeatSolder given,
        JointMixture? joint,
        double? peakC,
        string name,
        string unnamed,
        List<SolderFigure> figures,
        out double errorPercent
    )
    {
        if (given.DensityKgPerM3 is { } entered)
        {
            errorPercent = 0;
            figures.Add(Figure("density molten", $"{entered:0} kg/m³, entered, taken as exact", Entered));
            return entered;
        }
        errorPercent = DensityErrorPercent;
        if (joint is not null)
        {
            double value = SolderDensity.LiquidKgPerM3(joint.Mix, peakC!.Value);
            string at = given.PeakC is null ? $"at an assumed peak of {peakC:0} °C" : $"at {peakC:0} °C";
            figures.Add(
                Figure("density molten", $"{value:0} kg/m³ ± {errorPercent:0.#} %, {name} {at}", DensitySource)
            );
            return value;
        }
        errorPercent = NamedErrorPercent;
        figures.Add(
            Figure("density molten", $"{UsualDensityKgPerM3:0} kg/m³ ± {errorPercent:0.#} %, assumed: {unnamed}", Sheet)
        );
        return UsualDensityKgPerM3;
    }

    private static double Swelling(
        SeatSolder given,
        JointMixture? joint,
        double? peakC,
        string name,
        string unnamed,
        List<SolderFigure> figures,
        out double errorPercent
    )
    {
        errorPercent = 0;
        if (given.SwellingPercent is { } entered)
        {
            figures.Add(Figure("growth on melting", $"{entered:0.0#} %, entered, taken as exact", Entered));
            return 1 + entered / 100;
        }
        if (joint is not null)
        {
            errorPercent = SwellingErrorPercent;
            double factor = SolderDensity.SwellingFactor(joint.Mix, peakC!.Value);
            figures.Add(
                Figure(
                    "growth on melting",
                    $"{100 * (factor - 1):0.0} ± {errorPercent:0.#} % of the volume, {name}; counted for the molten stage only",
                    DensitySource
                )
            );
            return factor;
        }
        figures.Add(Figure("growth on melting", $"none, the cautious side: {unnamed}", Sheet));
        return 1;
    }

    private static Alloy? Find(string? name) => string.IsNullOrWhiteSpace(name) ? null : Alloys.Find(name);

    private static MeltCover Cover(SolderCover cover) =>
        cover switch
        {
            SolderCover.Nitrogen => MeltCover.Nitrogen,
            SolderCover.Air => MeltCover.Air,
            _ => MeltCover.Flux,
        };

    private static SolderFigure Figure(string what, FormattableString figure, string source) =>
        new(what, Invariant(figure), source);
}
