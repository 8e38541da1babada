using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Joints;
using Graftbench.Sheets.Drawing;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Sheets.Sheet;

internal sealed partial class SheetComposer
{
    private const int JointQuestion = 5;
    private const string JointModel = "graftbench-joint-model";
    private const int MostTodos = 8;
    private const int MostLevers = 8;
    private const int MostBalls = 5;
    private const int MostStops = 16;

    private void Joints()
    {
        if (plan.Joints is not JointPlan joints)
        {
            return;
        }
        blocks.Add(new Heading(2, $"Balls, solder on the lands, joints: {Text(joints.Subject)}"));
        Verdict verdict =
            plan.Questions.FirstOrDefault(question => question.Number == JointQuestion)?.Verdict ?? Verdict.Unknown;
        blocks.Add(new Banner(verdict, Text(joints.Answer)));
        JointFactList(joints);
        JointTodos(joints);
        JointPictures(joints);
        JointTables(joints);
        JointSources(joints);
    }

    private void JointFactList(JointPlan joints)
    {
        List<Fact> facts = [];
        JointChance? chance = joints.Chance;
        double wanted = joints.Request.Goal.WantedFraction;
        facts.Add(
            chance is null
                ? new Fact("Chance", "not computed", true)
                : new Fact(
                    "Chance",
                    $"{QuantityText.Chance(chance.AllJoinedFraction)} ± {QuantityText.ChanceError(chance.AllJoinedErrorFraction)} (two standard errors) that every joint forms, wanted {QuantityText.Chance(wanted)}; {chance.Trials} drawn packages",
                    chance.AllJoinedFraction < wanted
                )
        );
        if (joints.Molten is { } molten)
        {
            if (molten.LeastReachMm is double reach)
            {
                facts.Add(
                    new Fact(
                        "Margin",
                        reach >= 0
                            ? $"{QuantityText.Gap(reach)} of reach left over at the neediest joint, at the sizes given"
                            : $"the neediest joint misses its land by {QuantityText.Gap(-reach)}, at the sizes given",
                        reach < 0
                    )
                );
            }
            string range = molten is { LeastGapMm: { } least, MostGapMm: { } most }
                ? $"; {QuantityText.Gap(least)} to {QuantityText.Gap(most)} over the range of the tension"
                : "";
            facts.Add(new Fact("Gap once molten", $"{QuantityText.Gap(molten.Plane.GapMm)} in the middle{range}"));
            if (joints.Stops.Count > 0)
            {
                facts.Add(
                    new Fact(
                        "Rests on parts",
                        $"{QuantityText.Grams(molten.OnStopsMilliN)}; weight and load are {QuantityText.Grams(molten.LoadMilliN)}"
                    )
                );
            }
        }
        if (joints.Count.Balls > 0)
        {
            facts.Add(
                new Fact(
                    "Balls",
                    $"{joints.Count.Balls}, together {QuantityText.Weight(joints.Count.BallMassG)}; solder on the lands {QuantityText.Weight(joints.Count.LandSolderG)}"
                )
            );
        }
        if (joints.Limits is { } limits)
        {
            facts.Add(
                new Fact(
                    "Never more than",
                    (
                        limits.SafeLoadG is double safe
                            ? $"{QuantityText.Digits(safe, 1)} g on it while molten, itself included"
                            : "load not computed"
                    )
                        + (
                            limits.SlideDomeMm is double slide
                                ? $"; {QuantityText.Gap(slide)} of solder, above it balls slide"
                                : ""
                        )
                )
            );
        }
        blocks.Add(new Facts(facts));
    }

    // What to do stands in the answer; here the rest, each once.
    private void JointTodos(JointPlan joints)
    {
        string[] todos =
        [
            .. joints
                .Findings.Where(finding => finding.Verdict != Verdict.Ok && finding.Todo is not null)
                .Select(finding => Text(finding.Todo))
                .Where(todo => !Text(joints.Answer).Contains(todo, StringComparison.Ordinal))
                .Distinct(StringComparer.Ordinal)
                .Take(MostTodos),
        ];
        if (todos.Length > 0)
        {
            blocks.Add(new TickList(todos));
        }
    }

    private void JointPictures(JointPlan joints)
    {
        JointSection? cut = JointSections.Cut(joints, JointRows.Neediest(joints));
        if (cut is not null && JointSectionPicture.Picture(joints, cut, 860) is Picture section)
        {
            blocks.Add(
                new PictureRow([
                    new Figure(section, "Row with the joint in most need, cut; molten, at the sizes given."),
                ])
            );
        }
        List<Figure> pair = [];
        if (JointFieldPicture.Picture(joints, cut?.YMm, 430) is Picture field)
        {
            pair.Add(new Figure(field, "Ball field from above; dashed: the row that is cut."));
        }
        if (ForceHeightPicture.Picture(joints, 430) is Picture force)
        {
            pair.Add(new Figure(force, "What one molten joint carries."));
        }
        if (pair.Count > 0)
        {
            blocks.Add(new PictureRow(pair, pair.Count > 1 ? 1 : 0.5));
        }
    }

    private void JointTables(JointPlan joints)
    {
        if (joints.Need is { } need)
        {
            blocks.Add(
                new Table(
                    "Least solder on the lands for the wanted chance",
                    [
                        new Column("Volume scatters by", 0.25),
                        new Column("Mean height at least", 0.3),
                        new Column("Chance that all form", 0.45),
                    ],
                    [
                        .. need.Levels.Select(level =>
                            Row(
                                $"{QuantityText.Digits(level.DomeSpreadPercent, 0)} %",
                                level.LeastMeanDomeMm is double least ? QuantityText.Gap(least) : "cannot be reached",
                                $"{QuantityText.Chance(level.AllJoinedFraction)} ± {QuantityText.ChanceError(level.AllJoinedErrorFraction)}, with {QuantityText.Gap(level.BestDomeMm)}"
                            )
                        ),
                    ]
                )
            );
            blocks.Add(
                new Paragraph(
                    $"From {QuantityText.Gap(need.RuleDomeMm)} a land is safe by itself, wherever it lies. "
                        + string.Join(
                            ", ",
                            need.Words.Select(word =>
                                $"{word.Word}: {QuantityText.Gap(word.FromMm)} to {QuantityText.Gap(word.ToMm)}{Cite(word.Source)}"
                            )
                        )
                        + ".",
                    Small: true
                )
            );
        }
        if (joints.Levers.Count > 0)
        {
            blocks.Add(
                new Table(
                    "What helps, each alone, best first",
                    [
                        new Column("Change", 0.4),
                        new Column("Chance", 0.13),
                        new Column("Reach", 0.12),
                        new Column("What it costs", 0.35),
                    ],
                    [
                        .. joints
                            .Levers.Take(MostLevers)
                            .Select(lever =>
                                (IReadOnlyList<Cell>)
                                    [
                                        new Cell(
                                            [$"{Text(lever.What)} ({(lever.Enough ? "enough" : "not enough alone")})"],
                                            Bold: lever.Enough
                                        ),
                                        new Cell(QuantityText.Chance(lever.AllJoinedFraction)),
                                        new Cell(QuantityText.Gap(lever.ReachGainMm)),
                                        new Cell(Text(lever.Cost)),
                                    ]
                            ),
                    ]
                )
            );
        }
        if (joints.Balls.Count > 0)
        {
            blocks.Add(
                new Table(
                    "Balls by pad, pitch and the gap as made, best first",
                    [
                        new Column("Ball", 0.16),
                        new Column("Stencil hole", 0.13),
                        new Column("On the pad", 0.13),
                        new Column("Gap molten, no parts", 0.16),
                        new Column("Why", 0.42),
                    ],
                    [
                        .. joints
                            .Balls.Take(MostBalls)
                            .Select(ball =>
                                (IReadOnlyList<Cell>)
                                    [
                                        new Cell(
                                            [QuantityText.Gap(ball.BallDiameterMm)],
                                            ball.Suits ? Verdict.Ok : Verdict.Warning,
                                            Bold: true
                                        ),
                                        new Cell(QuantityText.Gap(ball.StencilHoleMm)),
                                        new Cell(QuantityText.Gap(ball.AttachedHeightMm)),
                                        new Cell(
                                            ball.StandoffMm is double gap ? QuantityText.Gap(gap) : "not computed"
                                        ),
                                        ball.OnShelf is { } shelf
                                            ? new Cell(Text(ball.Why) + Cite(ball.Source), "Shelf: " + Text(shelf))
                                            : new Cell(Text(ball.Why) + Cite(ball.Source)),
                                    ]
                            ),
                    ]
                )
            );
        }
        if (joints.Stops.Count > 0)
        {
            blocks.Add(
                new Table(
                    "Parts on the underside",
                    [
                        new Column("Part", 0.22),
                        new Column("Stops at", 0.18),
                        new Column("Above the board, cold", 0.2),
                        new Column("The same, molten", 0.2),
                        new Column("Pressed with", 0.2),
                    ],
                    [
                        .. joints
                            .Stops.OrderByDescending(stop => stop.ForceMilliN)
                            .Take(MostStops)
                            .Select(stop =>
                                Row(
                                    Text(stop.Name),
                                    QuantityText.Gap(stop.StopHeightMm),
                                    QuantityText.Gap(stop.ColdClearanceMm),
                                    QuantityText.Gap(stop.HotClearanceMm),
                                    QuantityText.Grams(stop.ForceMilliN)
                                )
                            ),
                    ]
                )
            );
            if (joints.Stops.Count > MostStops)
            {
                blocks.Add(
                    new Paragraph($"{joints.Stops.Count - MostStops} more parts are pressed less.", Small: true)
                );
            }
        }
    }

    private void JointSources(JointPlan joints)
    {
        foreach (SolderFigure figure in joints.Request.Solder.Figures)
        {
            blocks.Add(
                new Paragraph($"Used: {Text(figure.What)} {Text(figure.Figure)}{Cite(figure.Source)}", Small: true)
            );
        }
        foreach (Assumption assumption in joints.Assumptions)
        {
            blocks.Add(new Paragraph($"Assumed: {Text(assumption.What)}{Cite(assumption.Source)}", Small: true));
        }
        blocks.Add(
            new Paragraph(
                $"Not in the figures: oxide or spent flux that keeps touching solder apart, solder lost into open vias, bending of the chip, voids{Cite(JointModel)}.",
                Small: true
            )
        );
    }

    private static IReadOnlyList<Cell> Row(params string[] cells) => [.. cells.Select(cell => new Cell(cell))];
}
