using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Sheets.Drawing;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Sheets.Sheet;

/// <summary>Puts a plan into the order in which a technician needs it on paper.</summary>
internal sealed partial class SheetComposer
{
    private const string NotStated = "not stated";
    private readonly JobPlan plan;
    private readonly Display display;
    private readonly TimeSpan offset;
    private readonly List<Block> blocks = [];
    private readonly List<string> sources = [];

    private SheetComposer(JobPlan plan, Display display)
    {
        this.plan = plan;
        this.display = display;
        offset = plan.ComputedAt.Offset;
    }

    /// <summary>Composes the sheet of a plan.</summary>
    public static SheetDocument Compose(JobPlan plan, Display display)
    {
        SheetComposer composer = new(plan, display);
        composer.Head();
        composer.FirstOfAll();
        composer.BoardPage(plan.Job.Host, ChipPlace.Host, "host", "Host board");
        if (plan.Job.Donor is Board donor)
        {
            composer.BoardPage(donor, ChipPlace.Donor, "donor", "Donor board");
        }
        composer.Fit();
        composer.Drying();
        composer.CalendarAndWeighing();
        composer.Heat();
        composer.Joints();
        composer.Proof();
        composer.Ledger();
        composer.Findings();
        composer.Assumptions();
        composer.Questions();
        composer.Cautions();
        composer.Sources();
        composer.Signature();
        string title = "Plan sheet: " + Text(plan.Job.Title);
        string head =
            $"{Text(plan.Job.Id)} · {Text(plan.Job.Title)} · planned {QuantityText.Moment(plan.ComputedAt, composer.offset)}";
        return new SheetDocument(title, head, composer.blocks);
    }

    private static string Text(string? text) => SheetText.Clean(text).Trim();

    private string When(DateTimeOffset? moment) =>
        moment is DateTimeOffset at ? QuantityText.Moment(at, offset) : QuantityText.NotKnown;

    // A source is cited by its number in the list at the end.
    private string Cite(string? id)
    {
        if (string.IsNullOrWhiteSpace(id))
        {
            return "";
        }
        int at = sources.IndexOf(id);
        if (at < 0)
        {
            sources.Add(id);
            at = sources.Count - 1;
        }
        return $" [{at + 1}]";
    }

    private void Head()
    {
        Job job = plan.Job;
        blocks.Add(new Heading(1, "Plan sheet: " + Text(job.Title)));
        blocks.Add(new Banner(Finding.Worst(plan.Findings), Counts()));
        bool authority = Text(job.Machine.Authority).Length > 0;
        blocks.Add(
            new Facts([
                Known("Job", job.Id),
                new Fact("Stage", TradeWords.Of(job.Stage)),
                Known("Shop", job.Shop.Name),
                Known("Technician", job.Shop.Technician),
                Known("Machine", job.Machine.What),
                Known("Serial number", job.Machine.Serial),
                Known("Owner", job.Machine.Owner),
                authority
                    ? new Fact("Owner's authority", "present: " + Text(job.Machine.Authority))
                    : new Fact("Owner's authority", "MISSING: get it in writing before the first heat", true),
                new Fact("Planned", When(plan.ComputedAt)),
                new Fact(
                    "Everything dry",
                    plan.Drying.ReadyAt is null ? "no answer: see the drying plan" : When(plan.Drying.ReadyAt),
                    plan.Drying.ReadyAt is null
                ),
            ])
        );
        Add("Symptom", job.Machine.Symptom);
        Add("Wish", job.Machine.Wish);
        foreach (Chip chip in job.Chips)
        {
            string marking = Text(chip.Marking) is { Length: > 0 } text ? $", marked {text}" : "";
            blocks.Add(
                new Paragraph(
                    $"Chip {Text(chip.Id)}{marking}: {ChipGlyph.Words(chip)}, moisture level {TradeWords.Of(chip.MoistureLevel)}."
                )
            );
        }
    }

    private void Add(string name, string? text)
    {
        if (Text(text) is { Length: > 0 } given)
        {
            blocks.Add(new Paragraph($"{name}: {given}"));
        }
    }

    private static Fact Known(string name, string? value) =>
        Text(value) is { Length: > 0 } text ? new Fact(name, text) : new Fact(name, NotStated, true);

    private string Counts()
    {
        if (plan.Findings.Count == 0)
        {
            return "Nothing was checked. Unknown is not ok.";
        }
        IEnumerable<string> counts = plan
            .Findings.GroupBy(finding => finding.Verdict)
            .OrderBy(group => group.Key)
            .Select(group => Number(group.Count(), group.Key));
        return $"{TradeWords.Meaning(Finding.Worst(plan.Findings))} Findings: {string.Join(", ", counts)}.";
    }

    private static string Number(int number, Verdict verdict)
    {
        string word = TradeWords.Of(verdict).ToLowerInvariant();
        return $"{number} {word}{(number > 1 && (verdict is Verdict.Blocker or Verdict.Warning) ? "s" : "")}";
    }

    // One thing to do stands once, with all its places; past a page's worth the findings table has the rest.
    private void FirstOfAll()
    {
        const int Most = 12;
        IGrouping<(Verdict, string), Finding>[] todo =
        [
            .. plan
                .Findings.Where(finding => finding.Verdict is Verdict.Blocker or Verdict.FixFirst)
                .GroupBy(finding => (finding.Verdict, Text(finding.Todo ?? finding.What)))
                .OrderBy(group => group.Key.Item1),
        ];
        if (todo.Length == 0)
        {
            return;
        }
        blocks.Add(new Heading(2, "Before anything else"));
        blocks.Add(
            new TickList([
                .. todo.Take(Most)
                    .Select(group => $"{TradeWords.Of(group.Key.Item1)}, {Places(group)}: {group.Key.Item2}"),
            ])
        );
        if (todo.Length > Most)
        {
            blocks.Add(new Paragraph($"{todo.Length - Most} more stand in the findings.", Bold: true));
        }
    }

    private static string Places(IEnumerable<Finding> findings)
    {
        string[] places = [.. findings.Select(finding => Text(finding.Where)).Distinct(StringComparer.Ordinal)];
        return places.Length <= 6
            ? string.Join("; ", places)
            : $"{string.Join("; ", places.Take(6))} and {places.Length - 6} more";
    }

    private void BoardPage(Board board, ChipPlace place, string id, string title)
    {
        SubjectDrying? drying = plan.Drying.Subjects.FirstOrDefault(subject => subject.Id == id);
        IReadOnlyList<RemoveFirst> off = drying?.RemoveFirst ?? [];
        string name = Text(board.Name) is { Length: > 0 } given ? $"{title}: {given}" : title;
        blocks.Add(new Heading(2, name));
        BoardPictureOptions options = new()
        {
            RemoveFirst = [.. off.Select(part => part.Ref)],
            Key = place == ChipPlace.Host,
            WidthPx = place == ChipPlace.Host ? 500 : 360,
        };
        blocks.Add(
            new PictureRow(
                BoardPicture.Picture(board, ChipSites.Drawn(plan.Job, place), options),
                place == ChipPlace.Host ? 0.58 : 0.4
            )
        );
        if (off.Count == 0)
        {
            blocks.Add(
                new Paragraph(
                    drying is null ? "Not part of the drying plan." : "No part has to come off before drying."
                )
            );
            return;
        }
        blocks.Add(
            new Table(
                "Take off before drying; tick when it is off",
                [
                    new Column("Off", 0.07),
                    new Column("Part", 0.12),
                    new Column("What it is", 0.21),
                    new Column("Hottest", 0.12),
                    new Column("Why", 0.48),
                ],
                [
                    .. off.Select(part =>
                        (IReadOnlyList<Cell>)
                            [
                                new Cell([], Tick: true),
                                new Cell([Text(part.Ref)], Bold: true),
                                new Cell(TradeWords.Of(part.Kind)),
                                new Cell(QuantityText.Temperature(part.LimitC, display)),
                                new Cell(Text(part.Why) + Cite(part.Source)),
                            ]
                    ),
                ]
            )
        );
    }
}
