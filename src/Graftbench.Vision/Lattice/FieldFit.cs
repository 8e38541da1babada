using Graftbench.Core.Inspection;

namespace Graftbench.Vision.Lattice;

/// <summary>Lays a ball field on a lattice: all turns, both ways round, all places.</summary>
/// <remarks>
/// A way scores the evidence at its sites less the evidence where it has none. Balls that are missing lower the score of
/// every way alike, so that it is the difference to the next best way that decides; it is told in sites.
/// </remarks>
public static class FieldFit
{
    /// <summary>By so many sites a way must be better than the next [sites].</summary>
    public const double EnoughMarginSites = 1.5;

    /// <summary>Below this agreement the field is taken for another one.</summary>
    public const double EnoughAgreementFraction = 0.55;

    // Field and evidence must share this much of the shorter of both, in each direction.
    private const double LeastOverlapFraction = 0.6;
    private const int MaxSampled = 700;
    private const int Reconsidered = 200;

    private readonly record struct Scored(FieldPlacement Way, double Score);

    /// <summary>Fits.</summary>
    /// <param name="evidence">What was seen on the nodes of a lattice whose map does not mirror.</param>
    /// <param name="field">The field.</param>
    /// <param name="view">From where the picture was taken.</param>
    /// <param name="corner">
    /// Chooses between ways by where A1 would lie: takes nodes of the four corners of the field, A1 first, and says whether
    /// A1 is the one that a person named; null where nobody named one.
    /// </param>
    public static FieldFitting Fit(
        NodeEvidence evidence,
        BallField field,
        BallView view,
        Func<IReadOnlyList<(int I, int J)>, bool>? corner = null
    )
    {
        ArgumentNullException.ThrowIfNull(evidence);
        ArgumentNullException.ThrowIfNull(field);
        List<(int I, int J, double Sign)> seen = [];
        for (int y = 0; y < evidence.Rows; y++)
        {
            for (int x = 0; x < evidence.Columns; x++)
            {
                double sign = evidence.Signs[y * evidence.Columns + x];
                if (sign != 0)
                {
                    seen.Add((x + evidence.FirstI, y + evidence.FirstJ, sign));
                }
            }
        }
        double all = seen.Sum(node => Math.Abs(node.Sign));
        if (!seen.Any(node => node.Sign > 0))
        {
            return new FieldFitting(FieldFitState.NoFit, null, 0, 0, 0, []);
        }
        bool mirrored = view != BallView.Top;
        List<Scored> kept = Best(seen, field, mirrored, corner);
        List<Scored> other = Best(seen, field, !mirrored, corner);
        double mirroredAgreement = other.Count == 0 ? -1 : other[0].Score / all;
        if (kept.Count == 0)
        {
            return new FieldFitting(FieldFitState.NoFit, null, -1, 0, mirroredAgreement, []);
        }
        double best = kept[0].Score;
        double margin = kept.Count > 1 ? (best - kept[1].Score) / 2 : field.Count;
        FieldPlacement[] alike =
        [
            .. kept.Where(way => (best - way.Score) / 2 < EnoughMarginSites).Select(way => way.Way),
        ];
        FieldFitState state = StateOf(
            best / all,
            other.Count > 0 ? (other[0].Score - best) / 2 : double.NegativeInfinity,
            mirroredAgreement,
            alike
        );
        return new FieldFitting(state, kept[0].Way, best / all, margin, mirroredAgreement, alike);
    }

    private static FieldFitState StateOf(
        double agreement,
        double mirroredBetterSites,
        double mirroredAgreement,
        FieldPlacement[] alike
    )
    {
        if (mirroredBetterSites >= EnoughMarginSites && mirroredAgreement >= EnoughAgreementFraction)
        {
            return FieldFitState.Mirrored;
        }
        if (agreement < EnoughAgreementFraction)
        {
            return FieldFitState.NoFit;
        }
        return alike.Length == 1 ? FieldFitState.Found
            : alike.Select(way => way.QuarterTurns).Distinct().Count() == alike.Length ? FieldFitState.CornerUnknown
            : FieldFitState.PlaceUnknown;
    }

    private static List<Scored> Best(
        List<(int I, int J, double Sign)> seen,
        BallField field,
        bool mirrored,
        Func<IReadOnlyList<(int I, int J)>, bool>? corner
    )
    {
        int every = Math.Max(1, seen.Count / MaxSampled);
        // A stride that shares no factor with the width of the field, so that no column is left out for ever.
        List<(int I, int J, double Sign)> sample = [.. seen.Where((_, at) => at * 7919L % every == 0)];
        List<Scored> ways = [];
        for (int turn = 0; turn < 4; turn++)
        {
            FieldPlacement turned = new(turn, mirrored, 0, 0);
            (int low, int high) columns = Span(seen, turned, site => site.Column);
            (int low, int high) rows = Span(seen, turned, site => site.Row);
            foreach (int columnShift in Shifts(columns, field.Columns))
            {
                foreach (int rowShift in Shifts(rows, field.Rows))
                {
                    FieldPlacement way = turned with { ColumnShift = columnShift, RowShift = rowShift };
                    if (corner is null || corner(Corners(way, field)))
                    {
                        ways.Add(new Scored(way, Score(sample, field, way)));
                    }
                }
            }
        }
        ways.Sort((a, b) => b.Score.CompareTo(a.Score));
        if (every > 1)
        {
            ways = [.. ways.Take(Reconsidered).Select(way => way with { Score = Score(seen, field, way.Way) })];
            ways.Sort((a, b) => b.Score.CompareTo(a.Score));
        }
        return ways;
    }

    /// <summary>The nodes under the four corners of a field: A1, then clockwise in the list's top view.</summary>
    public static IReadOnlyList<(int I, int J)> Corners(FieldPlacement way, BallField field)
    {
        ArgumentNullException.ThrowIfNull(field);
        return
        [
            way.NodeOf(0, 0),
            way.NodeOf(0, field.Columns - 1),
            way.NodeOf(field.Rows - 1, field.Columns - 1),
            way.NodeOf(field.Rows - 1, 0),
        ];
    }

    private static double Score(List<(int I, int J, double Sign)> seen, BallField field, FieldPlacement way)
    {
        (int a, int b, int c, int d) = way.Turn();
        double score = 0;
        foreach ((int i, int j, double sign) in seen)
        {
            score += field.Has(c * i + d * j + way.RowShift, a * i + b * j + way.ColumnShift) ? sign : -sign;
        }
        return score;
    }

    private static (int Low, int High) Span(
        List<(int I, int J, double Sign)> seen,
        FieldPlacement turned,
        Func<(int Row, int Column), int> line
    )
    {
        int low = int.MaxValue;
        int high = int.MinValue;
        foreach ((int i, int j, double sign) in seen)
        {
            if (sign > 0)
            {
                int at = line(turned.SiteOf(i, j));
                low = Math.Min(low, at);
                high = Math.Max(high, at);
            }
        }
        return (low, high);
    }

    private static IEnumerable<int> Shifts((int Low, int High) seen, int count)
    {
        int length = seen.High - seen.Low + 1;
        int overlap = Math.Max(1, (int)Math.Ceiling(LeastOverlapFraction * Math.Min(length, count)));
        // After the shift the seen span [Low + s, High + s] shares at least so many lines with [0, count - 1].
        for (int shift = overlap - 1 - seen.High; shift <= count - overlap - seen.Low; shift++)
        {
            yield return shift;
        }
    }
}
