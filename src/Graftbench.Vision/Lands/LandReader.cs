using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Vision.Lattice;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Planes;
using Graftbench.Vision.Xray;
using static System.FormattableString;

namespace Graftbench.Vision.Lands;

/// <summary>Looks at cleaned lands: there, torn or lifted, solder left uneven.</summary>
/// <remarks>
/// The look of a good land is learned from the picture's own lands: how far it stands out from the board around it, its
/// colour, how even it is. Most lands must be good for that; where they are too unlike each other nothing is judged.
/// A land that was lifted and lies flat again in its place looks like a good one: no picture from above shows that.
/// </remarks>
public static class LandReader
{
    private const double TornRatio = 0.4;
    private const double PresentRatio = 0.65;
    private const double UnlikeSpreads = 7;
    private const double UnevenSpreads = 6;
    private const double MostPopulationSpread = 0.22;
    private const double OffPlaceRatio = 0.14;
    private const double LeastOutsideShare = 0.1;
    private const double OtherSurfaceSpreads = 15;
    private const double OtherSurfaceRatio = 0.35;

    /// <summary>Reads.</summary>
    /// <param name="request">Picture, field, uses.</param>
    /// <param name="cancel">Stops the work.</param>
    public static LandReading Read(LandRequest request, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(request);
        Plane grey = new(request.Picture.WidthPx, request.Picture.HeightPx, request.Picture.Grey);
        (DiscField? found, FieldRefusal? refusal) = DiscField.Find(
            grey,
            request.Field,
            BallView.Top,
            request.A1,
            "lands",
            cancel
        );
        if (found is null)
        {
            return Refused(request, refusal!);
        }
        double radius = Radius(grey, found);
        LandLook[] looks =
        [
            .. request
                .Field.Sites()
                .Select(site =>
                {
                    PicturePoint at = found.At(site.Row, site.Column);
                    return LandLook.Of(request.Picture, grey, site.Row, site.Column, at, radius, found.Lattice.PitchPx);
                }),
        ];
        LandPopulation? population = LandPopulation.Of(looks);
        if (population is null || population.StandOutSpread > MostPopulationSpread)
        {
            return Refused(
                request,
                new FieldRefusal(
                    "unlike",
                    "The lands are too unlike each other to tell a good one from a bad one.",
                    "Clean the lands once more, light them evenly from all sides, and take the picture again."
                )
            );
        }
        LandSite[] lands = [.. looks.Select(look => Judge(request, look, population))];
        IReadOnlyList<Finding> findings = Findings(request, lands, found.Fit.State);
        int Of(LandState state) => lands.Count(land => land.State == state);
        return new LandReading(
            Invariant(
                $"{lands.Length} lands: {Of(LandState.LiftedOrTorn)} torn or lifted, {Of(LandState.UnevenSolder)} with uneven solder, {Of(LandState.CannotJudge)} cannot be judged."
            ),
            true,
            found.Fit.State == FieldFitState.Found,
            lands,
            findings
        );
    }

    private static double Radius(Plane grey, DiscField found)
    {
        Plane dark = found.Population.Bright ? grey.Blurred(0.8) : Negative(grey).Blurred(0.8);
        double usual = Ranks.Median(
            found
                .Population.Discs.Take(200)
                .Select(disc =>
                    JointOutline.Follow(dark, disc.XPx, disc.YPx, found.Population.RadiusPx, found.Lattice.PitchPx / 2)
                )
                .Where(outline => outline is not null)
                .Select(outline => outline!.RadiusPx)
        );
        return double.IsFinite(usual) ? usual : found.Population.RadiusPx;
    }

    private static Plane Negative(Plane grey)
    {
        float[] values = new float[grey.Values.Length];
        for (int i = 0; i < values.Length; i++)
        {
            values[i] = 1 - grey.Values[i];
        }
        return new Plane(grey.WidthPx, grey.HeightPx, values);
    }

    private static LandSite Judge(LandRequest request, LandLook look, LandPopulation population)
    {
        string name = request.Field.NameOf(look.Row, look.Column);
        LandUse use = request.Uses.GetValueOrDefault(name, LandUse.Unknown);
        LandSite Say(LandState state, double confidence, string? why = null)
        {
            return new LandSite(
                name,
                look.Row,
                look.Column,
                look.Place.XPx,
                look.Place.YPx,
                state,
                Math.Clamp(confidence, 0.5, 0.99),
                look.Seen ? population.StandsOut(look) : null,
                look.Seen ? population.Colour(look) : null,
                look.Seen ? population.Texture(look) : null,
                use,
                why
            );
        }
        if (!look.Seen)
        {
            return Say(LandState.CannotJudge, 0.5, "it does not lie whole in the picture");
        }
        if (look.Blown > 0.5 && population.Blown < 0.3)
        {
            return Say(LandState.CannotJudge, 0.5, "a reflection covers it");
        }
        double standsOut = population.StandsOut(look);
        double colour = population.Colour(look);
        double texture = population.Texture(look);
        if (standsOut < TornRatio && look.OffPlaceRatio < OffPlaceRatio)
        {
            return Say(LandState.LiftedOrTorn, 0.6 + (TornRatio - standsOut));
        }
        if (
            look.OffPlaceRatio > OffPlaceRatio
            && population.OffPlace < OffPlaceRatio / 2
            && look.OutsideShare > population.Outside + LeastOutsideShare
        )
        {
            return standsOut > 2 * PresentRatio
                ? Say(LandState.CannotJudge, 0.5, "something bright beside it: a splash or a reflection")
                : Say(LandState.LiftedOrTorn, 0.5 + look.OffPlaceRatio);
        }
        if (texture > UnevenSpreads && standsOut > TornRatio)
        {
            return Say(LandState.UnevenSolder, 0.5 + 0.03 * texture);
        }
        if (colour > OtherSurfaceSpreads && Math.Abs(standsOut - 1) > OtherSurfaceRatio)
        {
            // Neither the metal of the others nor their brightness: another surface.
            return Say(LandState.LiftedOrTorn, 0.6);
        }
        if (colour > UnlikeSpreads)
        {
            return Say(LandState.CannotJudge, 0.5, "its colour is unlike the others: dirt, flux or bare copper");
        }
        return standsOut < PresentRatio
            ? Say(
                LandState.CannotJudge,
                0.5,
                "it stands out less than the others, yet is there: thin, dirty or in shadow"
            )
            : Say(LandState.Present, 1 - Math.Max(colour / UnlikeSpreads, texture / UnevenSpreads) / 2);
    }

    private static IReadOnlyList<Finding> Findings(LandRequest request, LandSite[] lands, FieldFitState fit)
    {
        List<Finding> findings =
        [
            new(
                Verdict.Unknown,
                "lands.not-promised",
                request.Name,
                "A land that was lifted and lies flat again looks like a good one: no picture from above shows that.",
                Source: "pad-repair-article",
                Todo: "Touch doubtful lands with a needle under the microscope."
            ),
        ];
        if (fit != FieldFitState.Found)
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "lands.corner",
                    request.Name,
                    "Which corner is A1 is not to be seen, so names may belong to other lands.",
                    Todo: "Say in which corner of the picture A1 lies."
                )
            );
        }
        foreach (LandSite land in lands)
        {
            if (Of(land) is { } finding)
            {
                findings.Add(finding);
            }
        }
        return Finding.WorstFirst(findings);
    }

    private static Finding? Of(LandSite land)
    {
        switch (land.State)
        {
            case LandState.LiftedOrTorn:
                (Verdict verdict, string todo) = land.Use switch
                {
                    LandUse.NoConnect => (
                        Verdict.Warning,
                        "The map connects it to nothing: write it down; it carries no current, but its joint no longer holds either."
                    ),
                    LandUse.FedRail => (
                        Verdict.Warning,
                        "Ground or a supply that many balls feed: it may pass, written down, if the rail's other lands are good."
                    ),
                    LandUse.Signal => (
                        Verdict.FixFirst,
                        "A signal: repair the land, with the customer's agreement, or stop."
                    ),
                    _ => (Verdict.FixFirst, "Look it up in the ball map: a signal must be repaired or the work stops."),
                };
                return new Finding(
                    verdict,
                    "lands.torn",
                    land.Name,
                    "The land is torn off or lifted.",
                    Invariant($"stands out {100 * land.StandsOutRatio:0} % as much as the others"),
                    "a defect in all classes when lifted one or more pad thicknesses",
                    "pad-repair-article",
                    todo
                );
            case LandState.UnevenSolder:
                return new Finding(
                    Verdict.Warning,
                    "lands.uneven",
                    land.Name,
                    "Solder was left uneven on the land.",
                    Invariant($"{land.TextureNumber:0} spreads more uneven than the others"),
                    Source: "graftbench-estimate",
                    Todo: "Level it again with wick and flux, the wick hot before it moves."
                );
            case LandState.CannotJudge:
                return new Finding(
                    Verdict.Unknown,
                    "lands.unknown",
                    land.Name,
                    $"Cannot be judged: {land.WhyNot}.",
                    Todo: "Look at it under the microscope."
                );
            default:
                return null;
        }
    }

    private static LandReading Refused(LandRequest request, FieldRefusal refusal) =>
        new(
            "Cannot judge this picture: " + refusal.What,
            false,
            false,
            [],
            [
                new Finding(
                    Verdict.Unknown,
                    "lands." + refusal.Code,
                    request.Name,
                    refusal.What,
                    refusal.Value,
                    refusal.Limit,
                    null,
                    refusal.Todo
                ),
            ]
        );
}
