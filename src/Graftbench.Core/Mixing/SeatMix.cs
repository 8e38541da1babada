using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Alloys;
using Graftbench.Core.Physics.Capillary;
using static System.FormattableString;

namespace Graftbench.Core.Mixing;

/// <summary>The solders of a joint as a document says them.</summary>
/// <param name="Request">What is mixed; null where it cannot be said.</param>
/// <param name="AmountsKnown">Whether every amount was entered; false where one was assumed.</param>
/// <param name="Assumptions">What was assumed.</param>
/// <param name="Findings">What is missing, and what is refused whatever the amounts are.</param>
public sealed record SeatMixMade(
    MixRequest? Request,
    bool AmountsKnown,
    IReadOnlyList<Assumption> Assumptions,
    IReadOnlyList<Finding> Findings
);

/// <summary>Makes the mixture of one joint from a document: ball, what is left on the land, what is left on the chip's pad.</summary>
public static class SeatMix
{
    private const double WickedMm = 0.015;
    private const double LeastDomeMm = 0.005;
    private const double UsualSpreadPercent = 25;
    private const double LeastDomeFraction = 0.1;

    /// <summary>Of a chip of a job, for its place on the host.</summary>
    /// <param name="job">The job.</param>
    /// <param name="chip">The chip.</param>
    public static SeatMixMade Of(Job job, Chip chip)
    {
        ArgumentNullException.ThrowIfNull(job);
        ArgumentNullException.ThrowIfNull(chip);
        bool reballed = job.Materials.BallAlloy is not null;
        return Make(
            new Said(
                $"chip {chip.Id}",
                job.Materials.BallAlloy ?? chip.BallAlloy,
                job.Materials.LandAlloy,
                reballed ? chip.BallAlloy : null,
                job.Materials.BallDiameterMm ?? chip.BallDiameterMm,
                chip.Seat ?? new Seat()
            ),
            1
        );
    }

    /// <summary>Of a joint case.</summary>
    /// <param name="document">The document.</param>
    public static SeatMixMade Of(JointCaseDocument document)
    {
        ArgumentNullException.ThrowIfNull(document);
        return Make(
            new Said(
                document.Name ?? "package",
                document.BallAlloy,
                document.LandAlloy,
                null,
                document.BallDiameterMm,
                document.Seat
            ),
            1
        );
    }

    /// <summary>The same joint on lands with less and with more solder, two standard deviations each way: the worse one counts.</summary>
    internal static IReadOnlyList<MixRequest> Uneven(Job job, Chip chip)
    {
        Seat seat = chip.Seat ?? new Seat();
        double spread = 2 * (seat.DomeSpreadPercent ?? UsualSpreadPercent) / 100;
        SeatMixMade middle = Of(job, chip);
        Said said = new(
            $"chip {chip.Id}",
            job.Materials.BallAlloy ?? chip.BallAlloy,
            job.Materials.LandAlloy,
            null,
            job.Materials.BallDiameterMm ?? chip.BallDiameterMm,
            seat
        );
        return
        [
            .. new[] { middle, Make(said, Math.Max(LeastDomeFraction, 1 - spread)), Make(said, 1 + spread) }
                .Select(made => made.Request)
                .OfType<MixRequest>(),
        ];
    }

    /// <summary>What is refused by the composition alone.</summary>
    internal static IEnumerable<Finding> Refused(SeatMixMade made) =>
        made.Request is { } request && MixPlanner.LeadMeetsBismuth(MixPlanner.Mixture(request.Parts).Mix)
            ? Refused(request.Subject, [.. request.Parts.Select(part => part.Alloy).DistinctBy(one => one.Shares)])
            : [];

    private static SeatMixMade Make(Said said, double domeFraction)
    {
        List<Finding> findings = [];
        List<Assumption> assumptions = [];
        if (Alloy(said.Ball, "balls", "alloy.ball-unknown", said.Subject, findings) is not { } ball)
        {
            return new SeatMixMade(null, false, assumptions, findings);
        }
        MixAlloy? land = Alloy(said.Land, "solder on the lands", "alloy.land-unknown", said.Subject, findings);
        // Not entered says nothing: only a chip that carried other balls leaves other solder on its pads.
        MixAlloy? old = said.Old is null
            ? null
            : Alloy(said.Old, "chip's former balls", "alloy.pads-unknown", said.Subject, findings);
        MixAlloy[] others = [.. new[] { land, old }.OfType<MixAlloy>().Where(one => one.Shares != ball.Shares)];
        if (others.Length == 0)
        {
            // Nothing else is in it, so the amount changes nothing.
            MixPart only = said.BallMm is double oneMm
                ? MixPart.Ball(ball, oneMm)
                : new MixPart("ball", ball, 1, "amount not entered");
            return new SeatMixMade(Request(said, [only]), true, assumptions, findings);
        }
        (double? padMm, double? domeMm) = Lands(said.Seat);
        if (said.BallMm is not double ballMm || (land is not null && land.Shares != ball.Shares && padMm is null))
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "alloy.sizes-unknown",
                    said.Subject,
                    $"{ball.Name} meets {string.Join(" and ", others.Select(one => one.Name))}, and how much of each there is, is not entered.",
                    Source: "job-file",
                    Todo: "Enter the balls' diameter, the lands' diameter and the height of the solder left on them."
                )
            );
            findings.AddRange(Refused(said.Subject, [ball, .. others]));
            return new SeatMixMade(null, false, assumptions, findings);
        }
        List<MixPart> parts = [MixPart.Ball(ball, ballMm)];
        bool known = true;
        if (land is not null && land.Shares != ball.Shares)
        {
            if (domeMm >= LeastDomeMm)
            {
                parts.Add(Dome(land, padMm!.Value, domeMm.Value, domeFraction));
            }
            else
            {
                known = false;
                parts.Add(Wicked(land, padMm!.Value, "land", "the lands", said.Subject, assumptions));
            }
        }
        if (old is not null && old.Shares != ball.Shares && said.Seat.PackagePadMm is double packageMm)
        {
            known = false;
            parts.Add(Wicked(old, packageMm, "chip's pad", "the chip's pads", said.Subject, assumptions));
        }
        return new SeatMixMade(Request(said, parts), known, assumptions, findings);
    }

    private static MixRequest Request(Said said, IReadOnlyList<MixPart> parts) =>
        new(said.Subject, parts, said.Seat.Solder?.PeakC, PeakWanted: false);

    private static MixPart Dome(MixAlloy alloy, double landMm, double domeMm, double fraction) =>
        fraction == 1
            ? MixPart.Dome(alloy, landMm, domeMm)
            : MixPart.OfVolume(
                "land",
                alloy,
                fraction * SolderCap.VolumeMm3(domeMm, landMm / 2),
                Invariant($"dome of {domeMm:0.###} mm on a land of {landMm:0.###} mm, times {fraction:0.##}")
            );

    private static MixPart Wicked(
        MixAlloy alloy,
        double landMm,
        string name,
        string where,
        string subject,
        List<Assumption> assumptions
    )
    {
        assumptions.Add(
            new Assumption(
                subject,
                Invariant(
                    $"{alloy.Name} left on {where}: {WickedMm:0.000} mm; wicked flat they keep 0.005 to 0.025 mm"
                ),
                "common-practice"
            )
        );
        return MixPart.Layer(alloy, landMm, WickedMm, name);
    }

    // Means over the joints where they are listed one by one.
    private static (double? PadMm, double? DomeMm) Lands(Seat seat)
    {
        if (seat.Sites.Count == 0)
        {
            return (seat.BoardPadMm, seat.DomeHeightMm);
        }
        return (
            seat.BoardPadMm is not null || seat.Sites.All(site => site.BoardPadMm is not null)
                ? seat.Sites.Average(site => site.BoardPadMm ?? seat.BoardPadMm!.Value)
                : null,
            seat.DomeHeightMm is not null || seat.Sites.All(site => site.DomeHeightMm is not null)
                ? seat.Sites.Average(site => site.DomeHeightMm ?? seat.DomeHeightMm!.Value)
                : null
        );
    }

    private static MixAlloy? Alloy(string? name, string of, string code, string subject, List<Finding> findings)
    {
        if (string.IsNullOrWhiteSpace(name))
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    code,
                    subject,
                    $"The alloy of the {of} is not entered: lead or bismuth in it would change where the joint melts and freezes.",
                    Source: "job-file",
                    Todo: $"Enter the alloy of the {of}."
                )
            );
            return null;
        }
        MixAlloyReading reading = MixAlloys.Read(name);
        if (reading.Alloy is null)
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    code,
                    subject,
                    reading.Problem!,
                    name,
                    Source: "job-file",
                    Todo: reading.Todo
                )
            );
        }
        return reading.Alloy;
    }

    private static IEnumerable<Finding> Refused(string subject, MixAlloy[] alloys)
    {
        SolderMix half = SolderMix.Blend([.. alloys.Select(one => (one.Shares.ToMix(), 1.0))]);
        if (MixPlanner.LeadMeetsBismuth(half))
        {
            yield return MixFindings.LeadMeetsBismuth(
                subject,
                string.Join(" and ", alloys.Select(one => one.Name)),
                ""
            );
        }
    }

    private sealed record Said(string Subject, string? Ball, string? Land, string? Old, double? BallMm, Seat Seat);
}
