using Graftbench.Core.Findings;
using Graftbench.Core.Planning;

namespace Graftbench.Vision.Answering;

/// <summary>Question 6: is every ball where it should be, and did every joint form?</summary>
public static class InspectionQuestion
{
    private const string Practice = "common-practice";

    /// <summary>The answer to the newest picture of each kind and thing.</summary>
    /// <param name="pictures">Pictures, the oldest first.</param>
    /// <returns>Null where there is no picture.</returns>
    public static QuestionSummary? Answer(IReadOnlyList<SeenPicture> pictures)
    {
        ArgumentNullException.ThrowIfNull(pictures);
        if (pictures.Count == 0)
        {
            return null;
        }
        // Of several pictures of one thing the newest that could be judged counts; sides are several by nature.
        List<SeenPicture> count =
        [
            .. pictures
                .GroupBy(picture => (picture.Kind, picture.About))
                .SelectMany(group =>
                    group.Key.Kind == PictureKind.Side
                        ? group.AsEnumerable()
                        : [group.LastOrDefault(one => one.Judged) ?? group.Last()]
                ),
        ];
        List<Finding> findings = [.. count.SelectMany(Told)];
        bool balls = count.Exists(one => one is { Kind: PictureKind.Balls, Judged: true });
        bool joints = count.Exists(one => one is { Kind: PictureKind.Xray or PictureKind.Side, Judged: true });
        if (!balls)
        {
            findings.Add(
                Open(
                    "picture.no-balls",
                    "balls",
                    "No picture tells yet that every ball is there.",
                    "Photograph the chip's underside before it is placed: a missed ball costs a heat."
                )
            );
        }
        if (!joints)
        {
            findings.Add(
                Open(
                    "picture.no-joints",
                    "joints",
                    "No picture tells yet how the joints came out.",
                    "After the heat look under all four sides, and take an X-ray picture where one can be had."
                )
            );
        }
        IReadOnlyList<Finding> sorted = Finding.WorstFirst(findings);
        Verdict worst = Finding.Worst(sorted);
        string line = string.Join(
            " ",
            count
                .Where(one => one.Kind is not (PictureKind.Before or PictureKind.Placed))
                .Select(one => $"{Title(one)}: {one.Answer}")
        );
        return new QuestionSummary(
            worst,
            line.Length > 0 ? line : "Pictures are there; none of them tells about balls or joints.",
            sorted.FirstOrDefault(finding => finding.Verdict != Verdict.Ok && finding.Todo is not null)?.Todo,
            sorted
        );
    }

    /// <summary>What a kind of picture is called.</summary>
    public static string Words(PictureKind kind) =>
        kind switch
        {
            PictureKind.Balls => "balls on the chip",
            PictureKind.Stencil => "balls in the stencil",
            PictureKind.Lands => "cleaned lands",
            PictureKind.Placed => "chip placed",
            PictureKind.Side => "from the side",
            PictureKind.Xray => "X-ray",
            PictureKind.Before => "board before",
            _ => "board after",
        };

    private static string Title(SeenPicture picture)
    {
        string words = Words(picture.Kind);
        return $"{char.ToUpperInvariant(words[0])}{words[1..]}, {picture.About}";
    }

    // A picture that does not tell is unknown, whatever its findings are called.
    private static IEnumerable<Finding> Told(SeenPicture picture) =>
        picture.Judged || picture.Findings.Count > 0
            ? picture.Findings
            : [Open("picture.unknown", picture.About, picture.Answer, "Take the picture again.")];

    private static Finding Open(string code, string where, string what, string todo) =>
        new(Verdict.Unknown, code, where, what, Source: Practice, Todo: todo);
}
