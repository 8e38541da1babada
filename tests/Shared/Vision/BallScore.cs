using Graftbench.Core.Inspection;
using Graftbench.Vision.Balls;
using Graftbench.Vision.Pictures;

namespace Graftbench.Scenes;

/// <summary>How verdicts compare with the truth, added up over pictures.</summary>
public sealed class BallScore
{
    public static readonly SiteClass[] Classes =
    [
        SiteClass.Present,
        SiteClass.Missing,
        SiteClass.Undersized,
        SiteClass.OffCentre,
        SiteClass.Joined,
    ];

    /// <summary>Counts by (truth, verdict).</summary>
    public int[,] Counts { get; } = new int[5, 6];
    public int Pictures { get; set; }
    public int Refused { get; set; }
    public int WrongPlace { get; set; }
    public int StraysTrue { get; set; }
    public int StraysFound { get; set; }
    public int StraysFalse { get; set; }
    public List<string> Notes { get; } = [];

    public int Sites => Sum((_, _) => true);
    public int NotJudged => Sum((_, said) => said == SiteClass.CannotJudge);

    public int Sum(Func<SiteClass, SiteClass, bool> counts)
    {
        int sum = 0;
        for (int t = 0; t < 5; t++)
        {
            for (int s = 0; s < 6; s++)
            {
                sum += counts((SiteClass)t, (SiteClass)s) ? Counts[t, s] : 0;
            }
        }
        return sum;
    }

    /// <summary>Judged sites of a class that were called so, and all of them.</summary>
    public (int Hit, int Of) Recall(SiteClass one) =>
        (Sum((t, s) => t == one && s == one), Sum((t, s) => t == one && s != SiteClass.CannotJudge));

    /// <summary>Verdicts of a class that hold, and all of them.</summary>
    public (int Hit, int Of) Precision(SiteClass one) => (Sum((t, s) => t == one && s == one), Sum((_, s) => s == one));

    /// <summary>Sound balls that were called missing, and sound balls that were judged.</summary>
    public (int False, int Of) FalseMissing =>
        (
            Sum((t, s) => t != SiteClass.Missing && s == SiteClass.Missing),
            Sum((t, s) => t != SiteClass.Missing && s != SiteClass.CannotJudge)
        );

    /// <summary>Missing balls that were called anything that lets them pass.</summary>
    public int Passed => Sum((t, s) => t == SiteClass.Missing && s is not (SiteClass.Missing or SiteClass.CannotJudge));

    /// <summary>The request that a person would make for a scene; nothing is told that a list does not hold.</summary>
    public static BallRequest Request(BallScene scene, bool withDiameter = false)
    {
        BallField f = scene.Field;
        bool[] has = [.. Enumerable.Range(0, f.Rows * f.Columns).Select(k => f.Has(k / f.Columns, k % f.Columns))];
        return new BallRequest(
            new BallField(f.Rows, f.Columns, f.PitchMm, has, withDiameter ? f.BallDiameterMm : null),
            scene.View
        );
    }

    public BallReport Add(BallScene scene, byte[] jpeg, string name)
    {
        BallReport report = BallCheck.Check(PictureReader.Read(jpeg, name).Picture!, name, Request(scene));
        Add(scene, report, name);
        return report;
    }

    public void Add(BallScene scene, BallReport report, string name)
    {
        Pictures++;
        if (!report.Judged)
        {
            Refused++;
            Notes.Add($"{name}: refused, {report.Findings[0].Code}");
            return;
        }
        SceneCamera camera = new(scene);
        (double ax, double ay) = camera.See(BallScene.Seen(scene.Field, 0), 0, scene.BallSteps * 0.5);
        (double px, double py) = report.Pose!.CornersPx[0];
        if (Math.Sqrt(Math.Pow(ax - px, 2) + Math.Pow(ay - py, 2)) > 0.5 * scene.PitchPx)
        {
            WrongPlace++;
            Notes.Add($"{name}: field in the wrong place");
            return;
        }
        foreach (SiteFinding site in report.Sites)
        {
            if (site.XPx < 0 || site.YPx < 0 || site.XPx >= scene.WidthPx || site.YPx >= scene.HeightPx)
            {
                continue;
            }
            SiteClass truth = TruthOf(scene, site);
            Counts[(int)truth, (int)site.Class]++;
            if (truth != site.Class && (site.Class != SiteClass.CannotJudge))
            {
                Notes.Add(
                    $"{name}: {site.Name} is {truth}, said {site.Class} {site.ConfidenceFraction:0.00} at {site.XPx:0},{site.YPx:0}"
                );
            }
        }
        StraysTrue += scene.Strays.Count;
        foreach (StrayBall stray in report.Strays)
        {
            bool real = scene.Strays.Any(one =>
            {
                (double x, double y) = camera.See(one.U, one.V, scene.BallSteps * 0.5);
                return Math.Sqrt(Math.Pow(x - stray.XPx, 2) + Math.Pow(y - stray.YPx, 2)) < 0.35 * scene.PitchPx;
            });
            StraysFound += real ? 1 : 0;
            StraysFalse += real ? 0 : 1;
            if (!real)
            {
                Notes.Add($"{name}: stray at {stray.XPx:0},{stray.YPx:0} near {string.Join('/', stray.Near)} is none");
            }
        }
    }

    private static SiteClass TruthOf(BallScene scene, SiteFinding site) =>
        scene.Joined[site.Row * scene.Field.Columns + site.Column]
            ? SiteClass.Joined
            : scene.At(site.Row, site.Column) switch
            {
                SiteTruth.Missing => SiteClass.Missing,
                SiteTruth.Undersized => SiteClass.Undersized,
                SiteTruth.OffCentre => SiteClass.OffCentre,
                _ => SiteClass.Present,
            };
}
