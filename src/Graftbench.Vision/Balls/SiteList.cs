using Graftbench.Core.Inspection;
using Graftbench.Vision.Lattice;
using Graftbench.Vision.Pictures;

namespace Graftbench.Vision.Balls;

/// <summary>From verdicts on nodes to sites with names, neighbours that have run together included.</summary>
internal static class SiteList
{
    public const string Outside = "It is not in the picture.";
    private const string Covered = "Something lies across the gap to a neighbour: they may have run together.";

    public static List<SiteFinding> Of(
        Picture picture,
        BallField field,
        FieldLook look,
        FieldPlacement way,
        Dictionary<(int, int), NodeVerdict> verdicts,
        SiteJudge judge,
        HashSet<(int, int)> strays
    )
    {
        NeckJudge necks = NeckJudge.Of(look, judge.Ground, Necks(field, way, verdicts), strays);
        List<SiteFinding> sites = [];
        foreach ((int row, int column) in field.Sites())
        {
            (int i, int j) = way.NodeOf(row, column);
            if (!verdicts.TryGetValue((i, j), out NodeVerdict verdict))
            {
                (double ox, double oy) = look.Lattice.Map.ToPicture(i, j);
                bool inside = NodeEvidence.InPicture(look.Lattice.Map, i, j, picture.WidthPx, picture.HeightPx);
                string why = inside ? "It lies at the edge of what was found." : Outside;
                sites.Add(
                    new SiteFinding(
                        field.NameOf(row, column),
                        row,
                        column,
                        ox,
                        oy,
                        SiteClass.CannotJudge,
                        0,
                        null,
                        null,
                        null,
                        [],
                        why
                    )
                );
                continue;
            }
            (double x, double y) = look.Lattice.Map.ToPicture(
                i + look.Outline.OffsetXSteps + verdict.XSteps,
                j + look.Outline.OffsetYSteps + verdict.YSteps
            );
            (List<string> joined, bool covered, double sure) = Neighbours(field, way, necks, verdicts, row, column);
            SiteClass one =
                joined.Count > 0 ? SiteClass.Joined
                : covered && verdict.Class == SiteClass.Present ? SiteClass.CannotJudge
                : verdict.Class;
            bool measured = verdict.SizeRatio is not null && one != SiteClass.CannotJudge;
            double diameter = 2 * look.Outline.RadiusSteps * look.Balls.SizeRatio * field.PitchMm;
            sites.Add(
                new SiteFinding(
                    field.NameOf(row, column),
                    row,
                    column,
                    x,
                    y,
                    one,
                    one == SiteClass.Joined ? sure
                        : one == verdict.Class ? verdict.ConfidenceFraction
                        : 0.5,
                    measured ? diameter * verdict.SizeRatio : null,
                    measured ? verdict.SizeRatio : null,
                    measured ? verdict.AwaySteps * field.PitchMm : null,
                    one == SiteClass.Joined ? joined : [],
                    one == SiteClass.CannotJudge ? verdict.Why ?? Covered : null
                )
            );
        }
        return sites;
    }

    private static IEnumerable<NeckJudge.Neck> Necks(
        BallField field,
        FieldPlacement way,
        Dictionary<(int, int), NodeVerdict> verdicts
    )
    {
        foreach ((int i, int j) in verdicts.Keys)
        {
            foreach (bool down in (bool[])[false, true])
            {
                (int I, int J) other = down ? (i, j + 1) : (i + 1, j);
                (int row, int column) = way.SiteOf(i, j);
                (int row2, int column2) = way.SiteOf(other.I, other.J);
                if (field.Has(row, column) && field.Has(row2, column2) && verdicts.ContainsKey(other))
                {
                    yield return new NeckJudge.Neck(i, j, down);
                }
            }
        }
    }

    private static bool IsDoubtful(Dictionary<(int, int), NodeVerdict> verdicts, (int, int) node) =>
        verdicts.TryGetValue(node, out NodeVerdict one) && one.Class is SiteClass.Undersized or SiteClass.CannotJudge;

    private static bool MayJoin(Dictionary<(int, int), NodeVerdict> verdicts, (int, int) node) =>
        verdicts.TryGetValue(node, out NodeVerdict one)
        && (one.Class is SiteClass.Present or SiteClass.Undersized || one.MayBeBall);

    private static (List<string> Joined, bool Covered, double Sure) Neighbours(
        BallField field,
        FieldPlacement way,
        NeckJudge necks,
        Dictionary<(int, int), NodeVerdict> verdicts,
        int row,
        int column
    )
    {
        List<string> joined = [];
        bool covered = false;
        double sure = 0;
        (int i, int j) = way.NodeOf(row, column);
        foreach ((int di, int dj) in ((int, int)[])[(1, 0), (-1, 0), (0, 1), (0, -1)])
        {
            NeckJudge.Neck neck = new(Math.Min(i, i + di), Math.Min(j, j + dj), dj != 0);
            // A gap beside an empty site or a moved ball changes because their shadow is gone or moved.
            bool? found =
                MayJoin(verdicts, (i, j)) && MayJoin(verdicts, (i + di, j + dj))
                    ? necks.Joined(neck, IsDoubtful(verdicts, (i, j)) || IsDoubtful(verdicts, (i + di, j + dj)))
                    : false;
            covered |= found is null;
            if (found == true)
            {
                (int r, int c) = way.SiteOf(i + di, j + dj);
                joined.Add(field.NameOf(r, c));
                NeckJudge.Found one = necks.Of(neck);
                sure = Math.Max(sure, Math.Clamp(0.85 + 0.15 * (one.ScoreNumber / necks.LimitNumber - 1), 0.85, 0.99));
            }
        }
        return (joined, covered, sure);
    }
}
