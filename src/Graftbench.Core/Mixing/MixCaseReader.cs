using System.Text.Json;
using Graftbench.Core.Drying;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Alloys;
using Graftbench.Core.Planning;
using static System.FormattableString;

namespace Graftbench.Core.Mixing;

/// <summary>What reading an alloy case gave.</summary>
/// <param name="Request">The request; null as soon as there is one problem.</param>
/// <param name="Assumptions">What was assumed.</param>
/// <param name="Problems">All problems in document order.</param>
/// <param name="NotListed">How many more problems there were than the list holds.</param>
public sealed record MixCaseReading(
    MixRequest? Request,
    IReadOnlyList<Assumption> Assumptions,
    IReadOnlyList<JobProblem> Problems,
    int NotListed
);

/// <summary>Reads an alloy case from its document (<c>graftbench-alloy-1</c>).</summary>
public static class MixCaseReader
{
    private const string ModelWhose = "melting model, collection of Kattner, NIST, 1999";
    private const double SameMassRatio = 0.01;

    /// <summary>Reads a document. Never throws on what the text holds.</summary>
    /// <param name="utf8">The document.</param>
    public static MixCaseReading Read(ReadOnlySpan<byte> utf8)
    {
        (MixCaseDocument? document, JobReading reading) = DocumentReader<MixCaseDocument>.Read(utf8, Checks);
        if (document is null)
        {
            return new MixCaseReading(null, [], reading.Problems, reading.NotListed);
        }
        string subject = document.Name ?? "joint";
        return new MixCaseReading(
            new MixRequest(subject, [.. document.Parts.Select(Part)], document.PeakC),
            [
                .. document
                    .Parts.Where(part => part.ApertureMm is not null && part.MetalPercent is null)
                    .Select(part => new Assumption(
                        subject,
                        Invariant($"metal of the paste {Name(part)}: {100 * MixPart.UsualMetalFraction:0} % by volume"),
                        "common-practice"
                    )),
            ],
            [],
            0
        );
    }

    private static MixPart Part(MixPartDocument part)
    {
        MixAlloy alloy = MixAlloys.Read(part.Alloy).Alloy!;
        return Sizes(part, alloy).Single();
    }

    // Every size that a part is given completely.
    private static IEnumerable<MixPart> Sizes(MixPartDocument part, MixAlloy alloy)
    {
        string name = Name(part);
        if (part.MassMg is double massMg)
        {
            yield return MixPart.Mass(alloy, massMg, name);
        }
        if (part.BallDiameterMm is double ballMm)
        {
            yield return MixPart.Ball(alloy, ballMm, name);
        }
        if (part is { LandDiameterMm: double flatMm, LayerMm: double layerMm })
        {
            yield return MixPart.Layer(alloy, flatMm, layerMm, name);
        }
        if (part is { LandDiameterMm: double landMm, DomeMm: double domeMm })
        {
            yield return MixPart.Dome(alloy, landMm, domeMm, name);
        }
        if (part is { ApertureMm: double apertureMm, StencilMm: double stencilMm })
        {
            double metal = (part.MetalPercent ?? 100 * MixPart.UsualMetalFraction) / 100;
            yield return MixPart.Paste(alloy, apertureMm, stencilMm, metal, name);
        }
    }

    private static string Name(MixPartDocument part) =>
        part.Name
        ?? (
            part.BallDiameterMm is not null ? "ball"
            : part.ApertureMm is not null ? "paste"
            : part.LandDiameterMm is not null ? "land"
            : "solder"
        );

    private static IEnumerable<JobCheck> Checks(MixCaseDocument document)
    {
        if (document.Parts.Count == 0)
        {
            yield return Check("parts", "Nothing is in the joint.", "Add a part: an alloy and its amount.");
        }
        bool whole = true;
        List<MixPart> parts = [];
        for (int i = 0; i < document.Parts.Count; i++)
        {
            MixPartDocument part = document.Parts[i];
            string path = Invariant($"parts[{i}]");
            MixAlloyReading reading = MixAlloys.Read(part.Alloy);
            if (reading.Alloy is null)
            {
                whole = false;
                yield return Check($"{path}.alloy", reading.Problem!, reading.Todo!, part.Alloy);
            }
            foreach (JobCheck check in Halves(part, path))
            {
                whole = false;
                yield return check;
            }
            MixPart[] sizes = reading.Alloy is { } alloy ? [.. Sizes(part, alloy)] : [];
            if (sizes.Length > 1)
            {
                yield return Contradiction(path, sizes);
            }
            whole &= sizes.Length == 1;
            parts.AddRange(sizes.Take(1));
        }
        // What holds for the whole joint is only looked at once every part is in order.
        if (whole && parts.Count > 0 && MeltingModel.OutsideModel(MixPlanner.Mixture(parts).Mix) is string outside)
        {
            yield return new JobCheck(
                new JobProblem(
                    "parts",
                    0,
                    0,
                    outside,
                    null,
                    "Sn, Pb, Bi, up to 5 % Ag and 2 % Cu",
                    ModelWhose,
                    "Go by the maker's data sheet: nothing can be said about this joint here."
                ),
                ["parts"]
            );
        }
    }

    private static IEnumerable<JobCheck> Halves(MixPartDocument part, string path)
    {
        if (part.LandDiameterMm is not null && part.LayerMm is null && part.DomeMm is null)
        {
            yield return Check(
                $"{path}.landDiameterMm",
                "A land needs the height of what is on it.",
                "Add layerMm for a flat layer or domeMm for a dome."
            );
        }
        if (part.LandDiameterMm is null && (part.LayerMm is not null || part.DomeMm is not null))
        {
            string field = part.LayerMm is not null ? "layerMm" : "domeMm";
            yield return Check(
                $"{path}.{field}",
                $"{field} needs the land that it lies on.",
                "Add landDiameterMm, the diameter that solder wets."
            );
        }
        if (part is { LandDiameterMm: double land, DomeMm: double dome } && dome > land)
        {
            yield return Check(
                $"{path}.domeMm",
                "The dome is higher than its land is wide, so it would be no dome but a ball.",
                "Check both; both are in mm.",
                Invariant($"{dome:0.###} mm"),
                Invariant($"at most the land, {land:0.###} mm")
            );
        }
        if (part.ApertureMm is null != part.StencilMm is null)
        {
            string has = part.ApertureMm is null ? "stencilMm" : "apertureMm";
            string lacks = part.ApertureMm is null ? "apertureMm" : "stencilMm";
            yield return Check($"{path}.{has}", $"Paste needs {lacks} too.", $"Add {lacks}.");
        }
        if (part is { MetalPercent: not null, ApertureMm: null, StencilMm: null })
        {
            yield return Check(
                $"{path}.metalPercent",
                "metalPercent belongs to paste, and this part is none.",
                "Leave it out, or add apertureMm and stencilMm."
            );
        }
        bool none =
            part.MassMg is null
            && part.BallDiameterMm is null
            && part.LandDiameterMm is null
            && part.LayerMm is null
            && part.DomeMm is null
            && part.ApertureMm is null
            && part.StencilMm is null;
        if (none)
        {
            yield return Check(
                path,
                "How much of it there is, is not said.",
                "Add massMg, or ballDiameterMm, or landDiameterMm with layerMm or domeMm, or apertureMm with stencilMm."
            );
        }
    }

    private static JobCheck Contradiction(string path, MixPart[] sizes)
    {
        string amounts = string.Join(
            ", ",
            sizes.Select(size =>
                size.Size.EndsWith("mg", StringComparison.Ordinal)
                    ? size.Size
                    : Invariant($"{size.Size} = {size.MassMg:0.####} mg")
            )
        );
        bool same = sizes.Max(size => size.MassMg) <= (1 + SameMassRatio) * sizes.Min(size => size.MassMg);
        return Check(
            path,
            same ? "The amount is said twice." : "The amount is said twice, and the two contradict each other.",
            "Keep one of them.",
            amounts
        );
    }

    private static JobCheck Check(
        string path,
        string what,
        string todo,
        string? value = null,
        string? allowed = null
    ) => new(new JobProblem(path, 0, 0, what, value, allowed, allowed is null ? null : "geometry", todo), [path]);
}

/// <summary>Answers about mixtures as JSON, for other programs, spelled like every other plan.</summary>
public static class MixAnswerJson
{
    /// <summary>Writes an answer.</summary>
    public static string Write(MixAnswer answer) => JsonSerializer.Serialize(answer, PlanJson.Options);
}
