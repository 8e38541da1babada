using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Vision.Lattice;
using Graftbench.Vision.Pictures;
using static System.FormattableString;

namespace Graftbench.Vision.Balls;

/// <summary>Says in words what is wrong with a picture and what to change, and sums up what was seen.</summary>
internal static class PictureFindings
{
    private const string Ours = "this program's own limit";

    public static IReadOnlyList<Finding> NotFound(Picture picture, string name, PointLattice? lattice, string why)
    {
        List<Finding> findings = [.. Light(picture, name)];
        findings.Add(
            why switch
            {
                "too-small" => TooSmall(name, lattice!.PitchPx, FieldLook.LeastPitchPx),
                "no-lattice" => new Finding(
                    Verdict.Unknown,
                    "balls.no-field",
                    name,
                    "No field of balls was found in the picture.",
                    Todo: "Fill the picture with the underside, hold the camera straight above it and sharp, light it evenly."
                ),
                "two-kinds" => new Finding(
                    Verdict.Unknown,
                    "balls.two-kinds",
                    name,
                    "The round places are of two kinds, and neither looks clearly more solid: which are balls cannot be judged.",
                    Todo: "Use a ring light or a lamp from one side, so that balls show a highlight and a dark side; check the sharpness."
                ),
                _ => new Finding(
                    Verdict.Unknown,
                    "balls.no-look",
                    name,
                    "A regular field was found, but nothing in it looks like solid balls; whether balls are there cannot be judged.",
                    Todo: "Light it so that each ball shows a highlight: a ring light or a lamp from one side; check the sharpness."
                ),
            }
        );
        return findings;
    }

    public static Finding Beyond(string name, BallField field, int number) =>
        new(
            Verdict.Unknown,
            "balls.beyond",
            name,
            "More balls stand in line outside of the field that was given: names would be off by a row or column.",
            Invariant($"{number} places outside"),
            Invariant($"{field.Rows} rows by {field.Columns} columns were given"),
            Todo: "Check rows and columns."
        );

    public static Finding NoPlace(string name, BallRequest request, FieldLook look, FieldFitting fit)
    {
        BallField field = request.Field;
        string seen = Invariant($"{look.Lattice.RowCount} x {look.Lattice.ColumnCount} places seen");
        string list = Invariant($"{field.Rows} x {field.Columns} with {field.Count} balls in the list");
        return fit.State switch
        {
            FieldFitState.CornerUnknown => new Finding(
                Verdict.Unknown,
                "balls.corner",
                name,
                "The field looks the same when turned, so that A1 cannot be told from it.",
                Invariant($"{fit.Alike.Count} turns fit alike"),
                Todo: "Say in which corner of the picture A1 lies."
            ),
            FieldFitState.PlaceUnknown => new Finding(
                Verdict.Unknown,
                "balls.place",
                name,
                "Too little of the field's edge is in the picture to say which part of it this is.",
                seen,
                list,
                Todo: "Take a picture with at least one corner of the field and two of its edges."
            ),
            FieldFitState.Mirrored => new Finding(
                Verdict.Unknown,
                "balls.mirrored",
                name,
                "The balls fit the list only when mirrored: the list was read from the other side, or the view is another one.",
                Invariant(
                    $"mirrored {100 * fit.MirroredAgreementFraction:0} %, as said {100 * fit.AgreementFraction:0} % agreement"
                ),
                Todo: "Check whether the list is a top or a bottom view, and say from where the picture was taken."
            ),
            _ => new Finding(
                Verdict.Unknown,
                "balls.no-fit",
                name,
                "The balls in the picture do not fit the list: another package, a wrong number of rows or columns, or too many balls missing.",
                seen,
                list,
                Todo: "Check rows, columns and the sites without a ball against the package."
            ),
        };
    }

    public static List<Finding> Poor(
        Picture picture,
        string name,
        FieldLook look,
        double leastPitchPx,
        double leastLikeness,
        double leastUnexplained,
        double leastBalls
    )
    {
        List<Finding> findings = [];
        if (look.Lattice.PitchPx < leastPitchPx)
        {
            findings.Add(TooSmall(name, look.Lattice.PitchPx, leastPitchPx));
        }
        double share = (double)look.Balls.Count / look.Lattice.Nodes.Count;
        if (look.Look.LikenessMedian < leastLikeness || share < leastBalls)
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "balls.unlike",
                    name,
                    "The round places in this picture look too different from each other to judge one by the others, or show no solid balls.",
                    Invariant($"likeness {look.Look.LikenessMedian:0.00}, {100 * share:0} % of the places alike"),
                    Invariant($"{leastLikeness:0.00} and {100 * leastBalls:0} % ({Ours})"),
                    Todo: "Take it again: sharp, steady, evenly lit, flux cleaned off."
                )
            );
            findings.AddRange(Light(picture, name));
        }
        double unexplained = look.Look.UnexplainedFraction;
        if (unexplained < leastUnexplained)
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "balls.flat",
                    name,
                    "The round places are evenly bright inside or out of focus: balls or bare lands, this picture does not tell.",
                    Invariant($"{unexplained:0.000} of the look is more than an even disc"),
                    Invariant($"{leastUnexplained:0.000} ({Ours})"),
                    Todo: "Focus on the balls; use a ring light or a lamp from one side, and less exposure, so that balls show a highlight and a dark side."
                )
            );
        }
        return findings;
    }

    public static Finding Unclear(Picture picture, string name, int unclear, int all)
    {
        Finding? light = Light(picture, name).FirstOrDefault();
        return new Finding(
            Verdict.Unknown,
            "balls.unclear",
            name,
            "Too many sites cannot be judged in this picture." + (light is null ? "" : " " + light.What),
            Invariant($"{unclear} of {all}"),
            $"about a third ({Ours})",
            Todo: light?.Todo
                ?? "Clean off flux, keep shadows away, and take it again straight from above, sharp and larger."
        );
    }

    public static IEnumerable<Finding> Summary(string name, List<SiteFinding> sites, List<StrayBall> strays)
    {
        int outside = sites.Count(site => site.Why == SiteList.Outside);
        if (outside > 0)
        {
            yield return new Finding(
                Verdict.Unknown,
                "balls.cropped",
                name,
                "A part of the field is not in the picture.",
                Invariant($"{outside} of {sites.Count} sites"),
                Todo: "Take a second picture of the rest; both can be given together."
            );
        }
        foreach (
            (SiteClass one, Verdict verdict, string code, string what, string todo) in ((
                SiteClass,
                Verdict,
                string,
                string,
                string
            )[])
                [
                    (
                        SiteClass.Missing,
                        Verdict.FixFirst,
                        "missing",
                        "Balls are missing.",
                        "Set the balls and check again."
                    ),
                    (
                        SiteClass.Joined,
                        Verdict.FixFirst,
                        "joined",
                        "Balls have run together.",
                        "Part them or take them off and set new ones."
                    ),
                    (
                        SiteClass.Undersized,
                        Verdict.FixFirst,
                        "undersized",
                        "Balls are too small.",
                        "Replace them: a low ball may not reach its land."
                    ),
                    (
                        SiteClass.OffCentre,
                        Verdict.FixFirst,
                        "off-centre",
                        "Balls lie beside their sites.",
                        "Push them back before they melt, or replace them."
                    ),
                    (
                        SiteClass.CannotJudge,
                        Verdict.Unknown,
                        "cannot-judge",
                        "Sites cannot be judged.",
                        "Look at them under the microscope, or take another picture in other light."
                    ),
                ]
        )
        {
            SiteFinding[] found = [.. sites.Where(site => site.Class == one && site.Why != SiteList.Outside)];
            if (found.Length > 0)
            {
                yield return new Finding(
                    verdict,
                    "balls." + code,
                    name,
                    what,
                    Names(found.Select(site => site.Name)),
                    Todo: todo
                );
            }
        }
        if (strays.Count > 0)
        {
            yield return new Finding(
                Verdict.FixFirst,
                "balls.stray",
                name,
                "Balls lie where the list has none.",
                Names(strays.Select(stray => string.Join('/', stray.Near))),
                Todo: "Take them off."
            );
        }
        if (sites.All(site => site.Class == SiteClass.Present) && strays.Count == 0)
        {
            yield return new Finding(
                Verdict.Ok,
                "balls.all-present",
                name,
                "Every site has a ball of usual size in its place.",
                Invariant($"{sites.Count} balls")
            );
        }
    }

    // What light did to the picture as a whole.
    private static IEnumerable<Finding> Light(Picture picture, string name)
    {
        int bright = 0;
        int dark = 0;
        int count = 0;
        int step = Math.Max(1, picture.Grey.Length / 200_000);
        for (int i = 0; i < picture.Grey.Length; i += step)
        {
            bright += picture.Grey[i] > 0.98 ? 1 : 0;
            dark += picture.Grey[i] < 0.06 ? 1 : 0;
            count++;
        }
        if (bright > 0.25 * count)
        {
            yield return new Finding(
                Verdict.Unknown,
                "balls.bright",
                name,
                "Much of the picture is plain white.",
                Invariant($"{100.0 * bright / count:0} %"),
                Todo: "Expose less, or turn the lamp so that it does not mirror into the camera."
            );
        }
        if (dark > 0.6 * count)
        {
            yield return new Finding(
                Verdict.Unknown,
                "balls.dark",
                name,
                "Most of the picture is black.",
                Invariant($"{100.0 * dark / count:0} %"),
                Todo: "Use more light or expose longer."
            );
        }
    }

    private static Finding TooSmall(string name, double pitchPx, double least) =>
        new(
            Verdict.Unknown,
            "balls.too-small",
            name,
            "The balls are too small in the picture.",
            Invariant($"{pitchPx:0.0} pixels from ball to ball"),
            Invariant($"{least:0} pixels ({Ours}; 25 and more are good)"),
            Todo: "Go nearer or use the microscope, so that the field fills the picture."
        );

    private static string Names(IEnumerable<string> names)
    {
        const int Most = 24;
        string[] all = [.. names];
        return all.Length <= Most
            ? Invariant($"{all.Length}: {string.Join(", ", all)}")
            : Invariant($"{all.Length}: {string.Join(", ", all.Take(Most))} and {all.Length - Most} more");
    }
}
