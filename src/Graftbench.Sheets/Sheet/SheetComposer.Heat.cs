using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Sheets.Drawing;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Sheets.Sheet;

internal sealed partial class SheetComposer
{
    private static readonly string[] HeatPlanes = ["top", "joints", "bottom"];

    private void Heat()
    {
        if (plan.Heat is not HeatPlan heat)
        {
            return;
        }
        blocks.Add(new Heading(2, $"Heat plan: {TradeWords.Of(heat.Task)}, {Text(heat.ChipId)}, {Text(heat.Subject)}"));
        Verdict verdict = plan.Questions.FirstOrDefault(question => question.Number == 3)?.Verdict ?? Verdict.Unknown;
        blocks.Add(new Banner(verdict, Text(heat.Answer)));
        HeatFacts(heat);
        if (heat.Stages.Count > 0)
        {
            blocks.Add(StagesTable(heat));
        }
        if (HeatCurvesPicture.Picture(heat, display, 860) is Picture curves)
        {
            blocks.Add(new PictureRow(curves, 1));
        }
        HeatMaps(heat);
        if (heat.Figures.Count > 0)
        {
            blocks.Add(LimitsTable(heat));
        }
        Probes(heat);
        HeatRest(heat);
    }

    private void HeatFacts(HeatPlan heat)
    {
        List<Fact> facts = [];
        if (heat.Nozzle is NozzleChoice nozzle)
        {
            string size = $"{QuantityText.Digits(nozzle.LengthMm, 1)} × {QuantityText.Digits(nozzle.WidthMm, 1)} mm";
            facts.Add(
                new Fact(
                    "Nozzle",
                    (nozzle.Name is { } name ? $"{Text(name)}, {size}" : $"{size}, not on the bench's list")
                        + $". {Text(nozzle.Why)}"
                )
            );
            facts.Add(new Fact("Airflow", nozzle.FlowStep is { } step ? Text(step) : "no steps on record"));
        }
        facts.Add(
            heat.Chance is HeatChance chance
                ? new Fact(
                    "Chance",
                    $"{QuantityText.FractionAsPercent(chance.AllKeptFraction)} ± {QuantityText.ChanceError(chance.AllKeptErrorFraction)}"
                        + $" that all melts and no hard limit is passed (wanted {QuantityText.FractionAsPercent(chance.WantedFraction)}; {chance.Samples} samples)",
                    chance.AllKeptFraction < chance.WantedFraction
                )
                : new Fact("Chance", "not computed", true)
        );
        if (heat.Figures is [{ } tightest, ..])
        {
            facts.Add(
                new Fact(
                    "Tightest margin",
                    $"{QuantityText.Figure(tightest.Margin, tightest.Limit.Unit, plus: true)}: {Text(tightest.Limit.Title)}",
                    tightest.Margin < 0
                )
            );
        }
        blocks.Add(new Facts(facts));
    }

    private Table StagesTable(HeatPlan heat) =>
        new(
            "Stages; set points at the end of each stage",
            [
                new Column("Clock", 0.09),
                new Column("Stage", 0.2),
                new Column("Lasts", 0.09),
                new Column("Gas", 0.14),
                new Column("Preheater", 0.14),
                new Column("What to look for", 0.34),
            ],
            [
                .. heat.Stages.Select(stage =>
                    (IReadOnlyList<Cell>)
                        [
                            new Cell([QuantityText.Clock(stage.StartS)], Bold: true),
                            new Cell($"{stage.Number} {Text(stage.Title)}", stage.Jump ? "set at once" : "rise evenly"),
                            new Cell(QuantityText.Clock(stage.DurationS)),
                            new Cell(
                                [stage.GasC is null ? "off" : QuantityText.Degrees(stage.GasC, display)],
                                Bold: true
                            ),
                            new Cell(
                                [stage.PreheaterC is null ? "off" : QuantityText.Degrees(stage.PreheaterC, display)],
                                Bold: true
                            ),
                            new Cell(Text(stage.LookFor)),
                        ]
                ),
            ]
        );

    private void HeatMaps(HeatPlan heat)
    {
        double peakS = HeatMapPicture.PeakS(heat);
        List<(HeatPlane Plane, HeatFrame Frame)> shown =
        [
            .. HeatPlanes
                .Select(name => heat.Planes.FirstOrDefault(plane => plane.Name == name && plane.Frames.Count > 0))
                .OfType<HeatPlane>()
                .Select(plane => (plane, HeatMapPicture.FrameAt(plane, peakS))),
        ];
        if (shown.Count == 0)
        {
            return;
        }
        HeatScale scale = HeatScale.Of(shown);
        Board? board = HeatedBoard(heat);
        foreach ((HeatPlane Plane, HeatFrame Frame)[] pair in shown.Chunk(2))
        {
            blocks.Add(
                new PictureRow(
                    [
                        .. pair.Select(each => new Figure(
                            HeatMapPicture.Picture(heat, each.Plane, each.Frame, board, scale, display, 440)
                        )),
                    ],
                    pair.Length > 1 ? 1 : 0.49
                )
            );
        }
        blocks.Add(
            new Paragraph(
                "When the coldest joint is hottest. Dark is hot; thin lines are isotherms, the thick one is full melt, dashed the nozzle.",
                Small: true
            )
        );
    }

    private Board? HeatedBoard(HeatPlan heat) =>
        heat.Task == HeatTask.AttachBalls ? null
        : heat.Subject == "donor board" ? plan.Job.Donor
        : plan.Job.Host;

    private Table LimitsTable(HeatPlan heat) =>
        new(
            "Limits, tightest first",
            [
                new Column("What", 0.25),
                new Column("Limit", 0.2),
                new Column("Computed", 0.13),
                new Column("Margin", 0.12),
                new Column("Chance not kept", 0.13),
                new Column("Whose limit", 0.17),
            ],
            [
                .. heat.Figures.Select(figure =>
                    (IReadOnlyList<Cell>)
                        [
                            new Cell(
                                [Text(figure.Limit.Title)],
                                figure.Margin >= 0 ? Verdict.Ok
                                    : figure.Limit.Hard ? Verdict.Blocker
                                    : Verdict.Warning,
                                Bold: true
                            ),
                            new Cell(TradeWords.Of(figure.Limit)),
                            new Cell(QuantityText.Figure(figure.Figure, figure.Limit.Unit)),
                            new Cell([QuantityText.Figure(figure.Margin, figure.Limit.Unit, plus: true)], Bold: true),
                            new Cell(QuantityText.FractionAsPercent(figure.PassedChanceFraction)),
                            new Cell(TradeWords.InBrief(figure.Limit.Confidence) + Cite(figure.Limit.Source)),
                        ]
                ),
            ]
        );

    private void Probes(HeatPlan heat)
    {
        if (heat.Probes.Count > 0)
        {
            blocks.Add(
                new Table(
                    "Where to put a probe, best first",
                    [
                        new Column("", 0.05),
                        new Column("Where", 0.35),
                        new Column("Reads when all is molten", 0.18),
                        new Column("Why", 0.42),
                    ],
                    [
                        .. heat.Probes.Select(probe =>
                            (IReadOnlyList<Cell>)
                                [
                                    new Cell($"{probe.Rank}"),
                                    new Cell([Text(probe.Where)], Bold: probe.Rank == 1),
                                    new Cell(
                                        QuantityText.Degrees(probe.ReadsAtMoltenC, display),
                                        $"± {QuantityText.Digits(probe.UncertaintyDeltaK, 1)} K; without ± {QuantityText.Digits(probe.WithoutDeltaK, 1)} K"
                                    ),
                                    new Cell(Text(probe.Why)),
                                ]
                        ),
                    ]
                )
            );
        }
    }

    private void HeatRest(HeatPlan heat)
    {
        foreach (HeatRemedy remedy in heat.Remedies)
        {
            blocks.Add(
                new Paragraph(
                    $"Remedy {remedy.Rank}: {Text(remedy.What)} {Text(remedy.Effect)} ({heat.Worth(remedy)}), {QuantityText.Digits(remedy.CostMin, 0)} min."
                )
            );
        }
        foreach (HeatSensitivity doubt in heat.Sensitivities.Take(6))
        {
            blocks.Add(
                new Paragraph(
                    $"{Text(doubt.What)}: coldest joint {QuantityText.Figure(doubt.ColdestJointDeltaK, "K", plus: true)}, body top {QuantityText.Figure(doubt.BodyTopDeltaK, "K", plus: true)}.",
                    Small: true
                )
            );
        }
        foreach (HeatAssumption assumption in heat.Model?.Assumptions ?? [])
        {
            blocks.Add(
                new Paragraph(
                    $"{(assumption.Measured ? "Measured" : "Assumed")}: {Text(assumption.What)}{Cite(assumption.Source)}",
                    Small: true
                )
            );
        }
        if (heat.Trust is HeatModelTrust trust)
        {
            blocks.Add(new Paragraph(TradeWords.Of(trust), Small: true));
        }
    }
}
