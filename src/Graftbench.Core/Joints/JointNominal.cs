using Graftbench.Core.Facts;
using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Joints;

/// <summary>What nominal sizes give.</summary>
internal sealed record NominalSeat(
    ColdSeat? Cold,
    MoltenSeat? Molten,
    IReadOnlyList<JointState> Joints,
    IReadOnlyList<StopState> Stops,
    double? LeastSpacingMm
);

/// <summary>The package at nominal sizes: cold, then molten.</summary>
internal static class JointNominal
{
    /// <summary>Least spacing asked for between molten joints [mm].</summary>
    public static double AskedSpacingMm { get; } = JointFacts.Figure("neighbour-spacing").Value;

    private const double ContactMm = 1e-6;
    private const double SettledMm = 1e-9;

    /// <summary>Settles a package.</summary>
    /// <param name="request">The request.</param>
    /// <param name="tables">Its tables.</param>
    /// <param name="squeezedFraction">Share of the films under the parts that is squeezed out while molten.</param>
    public static NominalSeat Settle(JointRequest request, JointTables tables, double squeezedFraction = 0)
    {
        SeatField cold = new(request, tables);
        cold.Fill(request, hot: false);
        Span<int> basis = [-1, -1, -1];
        ColdSeat? coldSeat = ColdStand.Find(cold, basis, out SeatPlane coldPlane)
            ? Cold(request, cold, coldPlane)
            : null;
        SeatField hot = new(request, tables);
        hot.Fill(request, hot: true, squeezedFraction);
        if (!ColdStand.Find(hot, basis, out SeatPlane plane))
        {
            return new NominalSeat(coldSeat, null, [], [], null);
        }
        bool[] joined = new bool[hot.Count];
        bool[] parted = new bool[hot.Count];
        SeatOutcome outcome = SeatSolver.Settle(hot, ref plane, joined, parted, SettledMm);
        (JointState[] joints, double? spacing) = States(
            request,
            cold,
            coldPlane,
            coldSeat is not null,
            hot,
            plane,
            joined,
            parted
        );
        StopState[] stops =
        [
            .. request.Stops.Select(
                (stop, k) =>
                {
                    double gap = hot.StopGap(k, in plane);
                    return new StopState(
                        stop.Name,
                        stop.XMm,
                        stop.YMm,
                        stop.StopHeightMm - squeezedFraction * stop.FilmMm,
                        coldSeat is null ? 0 : Math.Max(0, cold.StopGap(k, in coldPlane)),
                        Math.Max(0, gap),
                        gap < 0 ? -SeatSolver.StopStiffness * gap : 0
                    );
                }
            ),
        ];
        int joinedNumber = joined.Count(one => one);
        return new NominalSeat(
            coldSeat,
            new MoltenSeat(
                plane,
                outcome.Converged,
                outcome.Steps,
                outcome.ResidualMilliN,
                joinedNumber,
                hot.Count - joinedNumber - hot.Missing.Count(one => one),
                outcome.OnStopsMilliN,
                hot.LoadMilliN,
                null
            ),
            joints,
            stops,
            spacing
        );
    }

    private static ColdSeat Cold(JointRequest request, SeatField field, SeatPlane plane)
    {
        List<int> contacts = ColdStand.Contacts(field, in plane, ContactMm);
        double[] floats =
        [
            .. Enumerable
                .Range(0, field.Count)
                .Where(i => !field.Missing[i])
                .Select(i => field.Gap(i, in plane) - field.Touch[i]),
        ];
        return new ColdSeat(
            plane,
            [
                .. contacts.Select(contact =>
                    contact < field.Count ? request.Sites[contact].Name : request.Stops[contact - field.Count].Name
                ),
            ],
            contacts.Any(contact => contact >= field.Count),
            ColdStand.Rocks(field, contacts),
            floats.Count(one => one > 0.01),
            floats.Count(one => one > 0.05),
            floats.Count(one => one > 0.10),
            floats.DefaultIfEmpty(0).Max()
        );
    }

    private static (JointState[] Joints, double? Spacing) States(
        JointRequest request,
        SeatField cold,
        SeatPlane coldPlane,
        bool stands,
        SeatField hot,
        SeatPlane plane,
        bool[] joined,
        bool[] parted
    )
    {
        int n = hot.Count;
        double[] radius = new double[n];
        double?[] spacing = new double?[n];
        for (int i = 0; i < n; i++)
        {
            radius[i] =
                hot.Missing[i] ? request.Sites[i].BoardRadiusMm
                : joined[i] ? hot.WidestRadius(i, hot.Gap(i, in plane))
                : BallRadius(request.Sites[i], request.Solder.SwellingFactor);
        }
        NeighbourPairs pairs = NeighbourPairs.Of(request.Sites, request.PitchMm);
        double? least = null;
        for (int p = 0; p < pairs.First.Length; p++)
        {
            (int a, int b) = (pairs.First[p], pairs.Second[p]);
            double left = pairs.DistanceMm[p] - radius[a] - radius[b];
            spacing[a] = spacing[a] is { } was && was < left ? was : left;
            spacing[b] = spacing[b] is { } other && other < left ? other : left;
            least = least is { } all && all < left ? all : left;
        }
        JointState[] states = new JointState[n];
        for (int i = 0; i < n; i++)
        {
            JointSite site = request.Sites[i];
            double gap = hot.Gap(i, in plane);
            double force = joined[i] ? hot.Force(i, gap, out _, out _) : 0;
            double? spill = hot.Missing[i] ? null : hot.SpillGap(i);
            JointClass kind =
                hot.Missing[i] ? JointClass.Missing
                : parted[i] ? JointClass.Open | JointClass.Parted
                : !joined[i] ? JointClass.Open
                : JointClass.Joined
                    | (force < 0 ? JointClass.Stretched : JointClass.None)
                    | (gap < spill ? JointClass.Spill : JointClass.None);
            if (spacing[i] < AskedSpacingMm)
            {
                kind |= JointClass.BridgeRisk;
            }
            double ball = hot.Missing[i]
                ? 0
                : SolderCap.HeightMm(site.BallVolumeMm3 * request.Solder.SwellingFactor, site.PackageRadiusMm);
            states[i] = new JointState(
                site.Name,
                site.XMm,
                site.YMm,
                kind,
                hot.Missing[i] ? 0 : hot.Touch[i],
                stands && !hot.Missing[i] ? Math.Max(0, cold.Gap(i, in coldPlane) - cold.Touch[i]) : 0,
                gap,
                kind.HasFlag(JointClass.Open) ? gap - hot.Touch[i] : 0,
                force,
                2 * radius[i],
                spacing[i],
                spill,
                hot.Missing[i] || !double.IsFinite(hot.Break[i]) ? null : hot.Break[i],
                null,
                hot.Missing[i] ? 0 : Math.Max(0, gap - ball)
            );
        }
        return (states, least);
    }

    private static double BallRadius(JointSite site, double swelling)
    {
        double height = SolderCap.HeightMm(site.BallVolumeMm3 * swelling, site.PackageRadiusMm);
        return height > site.PackageRadiusMm
            ? SolderCap.SphereRadiusMm(height, site.PackageRadiusMm)
            : site.PackageRadiusMm;
    }
}
