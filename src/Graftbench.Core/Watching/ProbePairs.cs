namespace Graftbench.Core.Watching;

/// <summary>What two probes say of each other: wired to each other's channels, or a twin that drifts away.</summary>
/// <remarks>
/// Swapped: over the last minute the readings fit the model at each other's places better by far than at their own, and
/// fit them well. A watch with swapped probes is not corrected silently: both are left out and the person is asked.
/// Drifting: of two probes at one place (3 mm) the one farther from the model is the one that is said, where they have come
/// apart by more than 4 K since the watch began. Limits are estimates.
/// </remarks>
public sealed class ProbePairs
{
    private const double SamePlaceMm = 3;
    private const double DriftDeltaK = 4;
    private const double SwapGainDeltaK = 6;
    private const double SwapFitsDeltaK = 8;
    private const double ApartDeltaK = 10;
    private const int RecentSteps = 60;

    private readonly IReadOnlyList<WatchProbe> probes;
    private readonly double roomC;
    private readonly RecentMean[] own;
    private readonly RecentMean[] crossed;
    private readonly RecentMean[] apart;
    private readonly double?[] twinStart;

    /// <summary>Nothing known yet.</summary>
    /// <param name="probes">Probes.</param>
    /// <param name="roomC">Room, from which rises count [°C].</param>
    public ProbePairs(IReadOnlyList<WatchProbe> probes, double roomC)
    {
        ArgumentNullException.ThrowIfNull(probes);
        this.roomC = roomC;
        this.probes = probes;
        int n = probes.Count;
        own = [.. Enumerable.Range(0, n).Select(_ => new RecentMean(RecentSteps))];
        crossed = [.. Enumerable.Range(0, n * n).Select(_ => new RecentMean(RecentSteps))];
        apart = [.. Enumerable.Range(0, n * n).Select(_ => new RecentMean(RecentSteps / 4))];
        twinStart = new double?[n * n];
    }

    /// <summary>Takes a step.</summary>
    /// <param name="readC">Reading of each probe [°C]; null where there was none that is sound.</param>
    /// <param name="openLoopC">What the model would expect at each place without any probe [°C].</param>
    public void Take(IReadOnlyList<double?> readC, IReadOnlyList<double> openLoopC)
    {
        ArgumentNullException.ThrowIfNull(readC);
        ArgumentNullException.ThrowIfNull(openLoopC);
        int n = probes.Count;
        double scale = Scale(readC, openLoopC);
        double Expected(int p) => roomC + scale * (openLoopC[p] - roomC);
        for (int a = 0; a < n; a++)
        {
            own[a].Add(readC[a] is double here ? Math.Abs(here - Expected(a)) : double.NaN);
            for (int b = 0; b < n; b++)
            {
                if (a == b)
                {
                    continue;
                }
                crossed[a * n + b].Add(readC[a] is double there ? Math.Abs(there - Expected(b)) : double.NaN);
                apart[a * n + b].Add(readC[a] is double x && readC[b] is double y ? x - y : double.NaN);
            }
        }
    }

    // Films that are off scale all rises together, whichever wire is which; that says nothing of a swap.
    private double Scale(IReadOnlyList<double?> readC, IReadOnlyList<double> openLoopC)
    {
        double seen = 0;
        double said = 0;
        for (int p = 0; p < probes.Count; p++)
        {
            if (readC[p] is double read)
            {
                seen += read - roomC;
                said += openLoopC[p] - roomC;
            }
        }
        return said > ApartDeltaK ? Math.Clamp(seen / said, 0.5, 2) : 1;
    }

    /// <summary>Faults found now.</summary>
    /// <param name="nowS">Time [s].</param>
    /// <returns>One for each probe concerned.</returns>
    public IReadOnlyList<ProbeHealth> Faults(double nowS)
    {
        List<ProbeHealth> found = [];
        int n = probes.Count;
        for (int a = 0; a < n; a++)
        {
            for (int b = a + 1; b < n; b++)
            {
                if (Swapped(a, b))
                {
                    found.Add(Swap(a, b, nowS));
                    found.Add(Swap(b, a, nowS));
                }
                else if (Drifts(a, b) is int drifting)
                {
                    int twin = drifting == a ? b : a;
                    found.Add(
                        new ProbeHealth(
                            probes[drifting].Channel,
                            ProbeFault.Drifting,
                            nowS,
                            $"{probes[drifting].Channel} goes away from {probes[twin].Channel}, which sits at the same place: check its bead."
                        )
                    );
                }
            }
        }
        return found;
    }

    private ProbeHealth Swap(int a, int b, double nowS) =>
        new(
            probes[a].Channel,
            ProbeFault.Swapped,
            nowS,
            $"{probes[a].Channel} reads what is expected at the place of {probes[b].Channel}, and the other way round: check which wire is which."
        );

    private bool Swapped(int a, int b)
    {
        int n = probes.Count;
        if (
            own[a].Mean is not double ownA
            || own[b].Mean is not double ownB
            || crossed[a * n + b].Mean is not double crossA
            || crossed[b * n + a].Mean is not double crossB
        )
        {
            return false;
        }
        // Each of them has to fit the other's place better, and the two places have to differ for it to mean anything.
        bool better = crossA + SwapGainDeltaK < ownA && crossB + SwapGainDeltaK < ownB;
        bool distinct = apart[a * n + b].Mean is double d && Math.Abs(d) > ApartDeltaK;
        return better
            && distinct
            && crossA < Math.Max(SwapFitsDeltaK, ownA / 2)
            && crossB < Math.Max(SwapFitsDeltaK, ownB / 2);
    }

    private int? Drifts(int a, int b)
    {
        double dx = probes[a].Place.XMm - probes[b].Place.XMm;
        double dy = probes[a].Place.YMm - probes[b].Place.YMm;
        double dz = probes[a].Place.ZMm - probes[b].Place.ZMm;
        int at = a * probes.Count + b;
        if (Math.Sqrt(dx * dx + dy * dy + dz * dz) > SamePlaceMm || apart[at].Mean is not double now)
        {
            return null;
        }
        double start = twinStart[at] ??= now;
        if (Math.Abs(now - start) <= DriftDeltaK)
        {
            return null;
        }
        return own[a].Mean >= own[b].Mean ? a : b;
    }
}
