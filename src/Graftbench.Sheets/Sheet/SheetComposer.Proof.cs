using Graftbench.Core.Findings;
using Graftbench.Core.Fit;
using Graftbench.Core.Proof;
using Graftbench.Sheets.Drawing;
using Graftbench.Sheets.Pictures;
using static System.FormattableString;

namespace Graftbench.Sheets.Sheet;

/// <content>Fit before the work, proof before power.</content>
internal sealed partial class SheetComposer
{
    private const int MostNets = 60;

    private void Fit()
    {
        if (plan.Apart?.FitSheet is not { } sheet)
        {
            return;
        }
        blocks.Add(new Heading(2, $"Fit: chip {Text(sheet.Chip.Id)} on this board"));
        blocks.Add(new Banner(sheet.Verdict, Text(sheet.Answer)));
        blocks.Add(
            new Table(
                "Rule by rule",
                [new Column("Rule", 0.2), new Column("Found", 0.5), new Column("To do", 0.3)],
                [
                    .. sheet.Rows.Select(row =>
                        (IReadOnlyList<Cell>)
                            [
                                new Cell([Text(row.Title)], row.Verdict),
                                new Cell([.. Worst(row).Select(Told)]),
                                new Cell([
                                    .. Worst(row)
                                        .Select(finding => Text(finding.Todo))
                                        .Where(todo => todo.Length > 0)
                                        .Distinct()
                                        .Take(2),
                                ]),
                            ]
                    ),
                ]
            )
        );
        List<Figure> figures = [];
        if (RailPicture.Picture(sheet.Rails, 430) is Picture rails)
        {
            figures.Add(new Figure(rails, "Rails: what the chip takes, and under it what the board gives."));
        }
        if (sheet.Heat is { } heat && FitHeatPicture.Picture(heat, 430, display) is Picture settles)
        {
            figures.Add(new Figure(settles, "Heat made and heat taken: where they cross, it settles."));
        }
        if (figures.Count > 0)
        {
            blocks.Add(new PictureRow(figures, figures.Count > 1 ? 1 : 0.5));
        }
    }

    private static IEnumerable<Finding> Worst(FitRow row) =>
        row.Findings.Where(finding => finding.Verdict == row.Verdict).Take(3);

    private string Told(Finding finding)
    {
        string value = finding.Value is { } found ? $" {found}" : "";
        string limit = finding.Limit is { } held ? $" ({held})" : "";
        return $"{Text(finding.What)}{Text(value).Insert(0, value.Length > 0 ? " " : "")}{Text(limit).Insert(0, limit.Length > 0 ? " " : "")}{Cite(finding.Source)}";
    }

    private void Proof()
    {
        if (plan.Apart is not { Proof: { } answer, Proven: { } proof })
        {
            return;
        }
        blocks.Add(new Heading(2, "Proof before power"));
        blocks.Add(new Banner(answer.Verdict, Text(answer.Answer)));
        // A signal that reads as before needs no line on paper.
        NetProof[] told = [.. proof.Nets.Where(net => net.Rail is not null || net.Verdict != Verdict.Ok)];
        if (told.Length > 0)
        {
            blocks.Add(
                new Table(
                    "Rails and signals, worst first",
                    [
                        new Column("Net", 0.22),
                        new Column("Now", 0.13),
                        new Column("Before", 0.13),
                        new Column("Change", 0.12),
                        new Column("Said", 0.4),
                    ],
                    [.. told.Take(MostNets).Select(NetRow)]
                )
            );
        }
        if (told.Length > MostNets)
        {
            blocks.Add(
                new Paragraph(Invariant($"{told.Length - MostNets} further nets are on the screen."), Small: true)
            );
        }
        if (proof.Nets.Count > told.Length)
        {
            blocks.Add(
                new Paragraph(Invariant($"{proof.Nets.Count - told.Length} signals read as before."), Small: true)
            );
        }
        if (plan.Apart.FirstPower is { } power)
        {
            blocks.Add(
                new Paragraph(
                    power.Allowed
                        ? $"First power: {(power.SupplyV is { } volts ? Invariant($"{volts:0.##} V, ") : "")}limit {(power.LimitCurrentA is { } limit ? Invariant($"{limit:0.##} A") : "not known")}."
                        : "First power: not yet, see what stands against it.",
                    Bold: true
                )
            );
            blocks.Add(
                new TickList([
                    .. power.Steps.Select(step =>
                        $"{Text(step.Title)}: {Text(step.What)} Switch off at once: {Text(step.Stop)}"
                    ),
                ])
            );
        }
    }

    private static IReadOnlyList<Cell> NetRow(NetProof net) =>
        [
            new Cell([Text(net.Net)], net.Verdict, Bold: net.BarsPower),
            new Cell(net.Now is { } now ? ReadingText.Of(net.Kind, now) : "not read"),
            new Cell(net.Baseline is { } before ? ReadingText.Of(net.Kind, before) : "-"),
            new Cell(
                net.ShiftV is { } shift ? ProofWords.Shift(shift)
                : net.ChangeRatio is { } ratio ? Invariant($"× {ratio:0.00}")
                : "-"
            ),
            new Cell($"{Text(net.Findings[0].What)}{(net.Waived is { } why ? $" Set aside: {Text(why)}" : "")}"),
        ];
}
