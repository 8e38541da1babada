using Graftbench.Core.Facts;
using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

/// <summary>What holds for every model, whatever the job.</summary>
internal static class ModelChecks
{
    public static void Whole(BoardHeatModel model)
    {
        Assert.All(
            model.Findings,
            finding =>
            {
                Assert.True(
                    finding.Source is null || ReferenceShelf.FindSource(finding.Source) is not null,
                    finding.Source
                );
                Assert.True(finding.Limit is null || finding.Source is not null, finding.Code);
                Assert.DoesNotContain("NaN", finding.What, StringComparison.Ordinal);
            }
        );
        Assert.All(
            model.Assumptions,
            one =>
            {
                Assert.True(double.IsFinite(one.LogSdRatio) && one.LogSdRatio >= 0, one.Code);
                Assert.NotNull(ReferenceShelf.FindSource(one.Source));
                Assert.True(one.Factor is null || typeof(HeatFactors).GetProperty(one.Factor) is not null, one.Factor);
                Assert.DoesNotContain("NaN", one.What, StringComparison.Ordinal);
            }
        );
        List<string> factors = [.. model.Assumptions.Select(one => one.Factor).OfType<string>()];
        Assert.Equal(factors.Count, factors.Distinct().Count());
        if (!model.Usable)
        {
            Assert.NotEmpty(model.Findings);
            return;
        }
        HashSet<string> names = [.. model.Case.Boxes.Select(box => box.Name)];
        Assert.Equal(model.Case.Boxes.Count, names.Count);
        Assert.All(model.Case.Boxes, Solid);
        Assert.All(
            model.Case.Films,
            film =>
            {
                Assert.True(film.FilmWPerM2K > 0 && double.IsFinite(film.FilmWPerM2K));
                Assert.Equal(1, film.Sink.Sum(share => share.ShareFraction), 12);
                Assert.All(film.OnlyBoxes, name => Assert.Contains(name, names));
            }
        );
        Assert.All(
            model.Case.Radiation,
            patch =>
            {
                Assert.InRange(patch.EmissivityRatio, 0, 1);
                Assert.Equal(1, patch.Sink.Sum(share => share.ShareFraction), 12);
                Assert.All(patch.OnlyBoxes, name => Assert.Contains(name, names));
            }
        );
        Assert.Equal(model.Places.Count, model.Places.Select(place => place.Name).Distinct().Count());
        Assert.All(
            model.Places,
            place => Assert.True(model.Case.Boxes.Any(box => Holds(box, place)), $"{place.Name} lies in no box")
        );
        Assert.True(model.MoltenC >= model.SolidusC);
        Assert.Contains(model.Places, place => place.Kind == HeatPlaceKind.BodyTop);
        Assert.Contains(model.Places, place => place.Kind == HeatPlaceKind.Joint);
    }

    private static void Solid(HeatBox box)
    {
        Assert.True(box.X1Mm > box.X0Mm && box.Y1Mm > box.Y0Mm && box.Z1Mm > box.Z0Mm, box.Name);
        double[] numbers =
        [
            box.InPlaneWPerMK,
            box.ThroughWPerMK,
            box.DensityKgPerM3,
            box.SpecificHeatJPerKgK,
            box.X0Mm + 1e6,
            box.X1Mm + 1e6,
            box.Y0Mm + 1e6,
            box.Z0Mm + 1e6,
            box.Z1Mm + 1e6,
        ];
        Assert.All(numbers, number => Assert.True(number > 0 && double.IsFinite(number), box.Name));
        Assert.True(box.Melting is null || box.Melting.LiquidusC >= box.Melting.SolidusC + 0.5);
    }

    private static bool Holds(HeatBox box, HeatPlace place)
    {
        const double E = 1e-9;
        return place.XMm >= box.X0Mm - E
            && place.XMm <= box.X1Mm + E
            && place.YMm >= box.Y0Mm - E
            && place.YMm <= box.Y1Mm + E
            && place.ZMm >= box.Z0Mm - E
            && place.ZMm <= box.Z1Mm + E;
    }
}
