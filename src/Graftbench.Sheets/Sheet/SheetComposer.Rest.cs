using Graftbench.Core.Drying;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;
using Graftbench.Core.Planning;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Sheets.Sheet;

internal sealed partial class SheetComposer
{
    private void Ledger()
    {
        blocks.Add(new Heading(2, "Heat ledger beside the guideline"));
        if (plan.Ledger.Accounts.Count == 0)
        {
            blocks.Add(new Paragraph("No heats can be counted: no board and no chip is named."));
        }
        foreach (HeatAccount[] pair in plan.Ledger.Accounts.Chunk(2))
        {
            blocks.Add(
                new PictureRow(
                    [
                        .. pair.Select(account => new Figure(
                            LedgerPicture.Picture(account, HalfWidth),
                            $"{Text(account.Title)}: {LedgerPicture.Words(account)}{Cite(account.GuidelineSource)}"
                        )),
                    ],
                    pair.Length > 1 ? 1 : 0.5
                )
            );
        }
        foreach (HeatAccount account in plan.Ledger.Accounts)
        {
            if (account.Planned.Count > 0)
            {
                IEnumerable<string> planned = account.Planned.Select(heat =>
                    heat.LowNumber == heat.HighNumber
                        ? $"{TradeWords.Of(heat.Kind)} {QuantityText.Digits(heat.LowNumber, 1)}{Cite(heat.Source)}"
                        : $"{TradeWords.Of(heat.Kind)} {QuantityText.Digits(heat.LowNumber, 1)} to {QuantityText.Digits(heat.HighNumber, 1)}{Cite(heat.Source)}"
                );
                blocks.Add(
                    new Paragraph($"{Text(account.Title)}, planned: {string.Join("; ", planned)}.", Small: true)
                );
            }
            foreach (Heat heat in account.Spent)
            {
                string peak = heat.PeakC is null ? "" : $", peak {QuantityText.Temperature(heat.PeakC, display)}";
                string above = heat.AboveLiquidusS is double s ? $", {QuantityText.Digits(s, 0)} s above liquidus" : "";
                string why = Text(heat.Why) is { Length: > 0 } text ? $": {text}" : "";
                string decision = Text(heat.Decision) is { Length: > 0 } given ? $" Decision: {given}" : "";
                blocks.Add(
                    new Paragraph(
                        $"{Text(account.Title)}, {When(heat.At)}, {TradeWords.Of(heat.Kind)}{peak}{above}{why}.{decision}",
                        Small: true
                    )
                );
            }
        }
    }

    private void Findings()
    {
        IReadOnlyList<Finding> findings = Finding.WorstFirst(plan.Findings);
        FindingTable(
            "Findings, worst first",
            "What stands against its limit",
            [.. findings.Where(finding => finding.Verdict < Verdict.Unknown)],
            "No finding stands against a limit."
        );
        FindingTable(
            "What could not be checked: unknown is not ok",
            "Not checked, and why",
            [.. findings.Where(finding => finding.Verdict == Verdict.Unknown)],
            "Every check that was computed had what it needed. Questions that are not computed yet are listed below."
        );
        FindingTable(
            "Checked and inside its limits",
            "Inside its limits",
            [.. findings.Where(finding => finding.Verdict == Verdict.Ok)],
            "Nothing."
        );
    }

    private void FindingTable(string title, string caption, IReadOnlyList<Finding> findings, string none)
    {
        blocks.Add(new Heading(2, title));
        if (findings.Count == 0)
        {
            blocks.Add(new Paragraph(none));
            return;
        }
        blocks.Add(
            new Table(
                caption,
                [
                    new Column("Verdict", 0.13),
                    new Column("Where and what", 0.36),
                    new Column("Value and limit", 0.24),
                    new Column("What to do", 0.27),
                ],
                [.. findings.GroupBy(finding => finding with { Where = "" }).Select(FindingRow)]
            )
        );
    }

    // Findings that differ in nothing but their place share a row.
    private IReadOnlyList<Cell> FindingRow(IEnumerable<Finding> alike)
    {
        Finding finding = alike.First();
        string where = string.Join("; ", alike.Select(one => Text(one.Where)).Distinct(StringComparer.Ordinal));
        List<string> against = [];
        string value = Text(finding.Value) is { Length: > 0 } found ? found : "";
        string limit = Text(finding.Limit) is { Length: > 0 } given ? "limit " + given : "";
        if (value.Length + limit.Length > 0)
        {
            against.Add(string.Join(", ", new[] { value, limit }.Where(text => text.Length > 0)));
        }
        if (!string.IsNullOrWhiteSpace(finding.Source))
        {
            string? title = ReferenceShelf.FindSource(finding.Source)?.Title;
            against.Add("set by " + Text(title ?? finding.Source) + Cite(finding.Source));
        }
        List<string> todo = [Text(finding.Todo) is { Length: > 0 } next ? next : "nothing"];
        foreach (EvidenceEntry entry in alike.SelectMany(one => Waivers.Of(plan.Job, one)).Distinct())
        {
            todo.Add($"SET ASIDE by {Text(entry.Who)}, {When(entry.At)}: {Text(entry.Note)}");
        }
        return
        [
            new Cell([TradeWords.Of(finding.Verdict)], finding.Verdict, Bold: true),
            new Cell($"{where}: {Text(finding.What)} ({Text(finding.Code)})"),
            new Cell(against),
            new Cell(todo),
        ];
    }

    private void Assumptions()
    {
        blocks.Add(new Heading(2, "Assumed, because the job does not say it"));
        if (plan.Drying.Assumptions.Count == 0)
        {
            blocks.Add(new Paragraph("Nothing was assumed."));
            return;
        }
        blocks.Add(
            new Table(
                "Replace an assumption by a fact and the plan gets sharper",
                [new Column("Where", 0.25), new Column("What was assumed", 0.75)],
                [
                    .. plan.Drying.Assumptions.Select(assumption =>
                        (IReadOnlyList<Cell>)
                            [
                                new Cell(Text(assumption.Where)),
                                new Cell(Text(assumption.What) + Cite(assumption.Source)),
                            ]
                    ),
                ]
            )
        );
    }

    private void Questions()
    {
        blocks.Add(new Heading(2, "The ten questions"));
        blocks.Add(
            new Table(
                "What this plan answers, and what it does not",
                [new Column("No.", 0.06), new Column("Question", 0.44), new Column("Answer", 0.50)],
                [
                    .. plan.Questions.Select(question =>
                        (IReadOnlyList<Cell>)
                            [
                                new Cell(question.Number.ToString(System.Globalization.CultureInfo.InvariantCulture)),
                                new Cell(Text(question.Question)),
                                AnswerCell(question),
                            ]
                    ),
                ]
            )
        );
    }

    private static Cell AnswerCell(QuestionAnswer question)
    {
        if (!question.Computed)
        {
            return new Cell(["Not computed yet"], Verdict.Unknown);
        }
        string answer = $"{TradeWords.Of(question.Verdict)}: {Text(question.Answer)}";
        return new Cell(
            Text(question.Next) is { Length: > 0 } next ? [answer, "Next: " + next] : [answer],
            question.Verdict
        );
    }

    private void Cautions()
    {
        if (plan.Cautions.Count == 0)
        {
            return;
        }
        blocks.Add(new Heading(2, "Cautions"));
        blocks.Add(
            new Table(
                "What can hurt you, the board or its owner",
                [new Column("What can hurt", 0.19), new Column("What to do", 0.65), new Column("How sure", 0.16)],
                [
                    .. plan.Cautions.Select(caution =>
                        (IReadOnlyList<Cell>)
                            [
                                new Cell([Text(caution.Hazard)], Bold: true),
                                new Cell(Text(caution.Text) + Cite(caution.Source)),
                                new Cell(TradeWords.ConfidenceShort(caution.Confidence)),
                            ]
                    ),
                ]
            )
        );
    }

    private void Sources()
    {
        foreach (string id in plan.SourceIds)
        {
            Cite(id);
        }
        blocks.Add(new Heading(2, "Sources"));
        string marks = string.Join(
            "; ",
            Enum.GetValues<Confidence>().Select(mark => $"{TradeWords.InBrief(mark)}: {TradeWords.Of(mark)}")
        );
        blocks.Add(new Paragraph($"How far a figure can be trusted is said beside it. {marks}.", Small: true));
        for (int i = 0; i < sources.Count; i++)
        {
            SourceRow? row = ReferenceShelf.FindSource(sources[i]);
            string words = row is null
                ? $"{Text(sources[i])}: not in the source table"
                : $"{Text(row.Title)} ({Text(row.Id)}). {Text(row.Note)}";
            blocks.Add(new Paragraph($"[{i + 1}] {words}", Small: true));
        }
    }

    private void Signature()
    {
        blocks.Add(new Heading(2, "Signed"));
        blocks.Add(
            new Paragraph(
                "Signed on paper, this sheet says that its findings were read. It sets nothing aside: that is written down with its reason.",
                Small: true
            )
        );
        blocks.Add(new SignLines(["Technician, date", "Owner or on the owner's behalf, date"]));
    }
}
