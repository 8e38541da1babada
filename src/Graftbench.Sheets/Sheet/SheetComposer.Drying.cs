using Graftbench.Core.Drying;
using Graftbench.Core.Planning;
using Graftbench.Sheets.Drawing;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Sheets.Sheet;

internal sealed partial class SheetComposer
{
    private const int PenRows = 6;

    /// <summary>Pictures that take half of the page are laid out narrow, so that their words stay large.</summary>
    private const double HalfWidth = 400;

    private void Drying()
    {
        DryingPlan drying = plan.Drying;
        blocks.Add(new Heading(2, "Drying plan"));
        string set = drying.Climate.SetC is null
            ? "Dryer temperature not stated."
            : $"Dryer at {QuantityText.Temperature(drying.Climate.SetC, display)},";
        string air = drying.Climate.SetC is null
            ? ""
            : $" air inside {QuantityText.Humidity(drying.Climate.HumidityPercent)},";
        string spread =
            $" parts off by up to {QuantityText.TemperatureDifference(drying.Climate.SpreadDeltaK, display)},";
        blocks.Add(
            new Paragraph(
                $"{set}{air}{spread} warm after {QuantityText.HoursAtLeast(drying.Climate.WarmUpH)}. {Text(drying.Climate.How)}"
            )
        );
        if (drying.Subjects.Count == 0)
        {
            blocks.Add(new Paragraph("Nothing to dry is named in the job.", Bold: true));
        }
        foreach (SubjectDrying subject in drying.Subjects)
        {
            Subject(subject);
        }
    }

    private void Subject(SubjectDrying subject)
    {
        blocks.Add(new Heading(3, $"{Text(subject.Title)}: {TradeWords.Of(subject.State)}"));
        blocks.Add(new Facts([.. SubjectFacts(subject)]));
        if (Text(subject.AdviceWhy).Length > 0)
        {
            blocks.Add(new Paragraph("Why: " + Text(subject.AdviceWhy)));
        }
        if (subject.Bodies.Count > 0)
        {
            blocks.Add(BodiesTable(subject));
            BodiesNotes(subject);
        }
        BodyDrying? deciding = subject.Bodies.Where(body => body.AdviceH is not null).MaxBy(body => body.AdviceH);
        foreach (BodyDrying body in subject.Bodies.OrderByDescending(body => body == deciding).Take(1))
        {
            blocks.Add(new Paragraph($"{Text(body.Ref)} if heated now: {Text(body.IfHeatedNow.Says)}", Bold: true));
            blocks.Add(
                new PictureRow(FloorLifeBar.Picture(body.FloorLife, $"Floor life of {Text(body.Ref)}", 460), 0.66)
            );
        }
        if (deciding is { Profile: MoistureProfile profile })
        {
            string name = Text(deciding.Ref);
            double target = deciding.IfHeatedNow.TargetFraction;
            double? nowH = subject is { State: DryingState.InDryer, StartAt: DateTimeOffset start }
                ? (plan.ComputedAt - start).TotalHours - plan.Drying.Climate.WarmUpH
                : null;
            MoistureMarks marks = MoistureMarks.Of(deciding.Diffusion, nowH);
            blocks.Add(
                new PictureRow([
                    new Figure(
                        MeanCurve.Picture(profile, target, marks, $"Mean moisture of {name}", HalfWidth),
                        $"{name}: mean moisture"
                    ),
                    new Figure(
                        MoistureMap.Picture(
                            profile,
                            target,
                            marks,
                            $"Moisture in {name} over depth and time",
                            HalfWidth
                        ),
                        $"{name}: moisture over depth and time"
                    ),
                ])
            );
        }
        if (subject.Laminate is LaminateDrying laminate)
        {
            string hours = laminate is { LowH: double low, HighH: double high }
                ? $"{QuantityText.HoursAtLeast(low)} to {QuantityText.HoursAtLeast(high)}"
                : "no answer";
            blocks.Add(
                new Paragraph(
                    $"Bare laminate: {hours}, from {QuantityText.Percent(laminate.StartPercent)} to {QuantityText.Percent(laminate.TargetPercent)} by weight. "
                        + Text(laminate.Says)
                        + Cite(laminate.Source)
                )
            );
        }
        if (subject.Weighing is WeighingTrend trend)
        {
            if (trend.Points.Count > 1)
            {
                blocks.Add(
                    new PictureRow(
                        WeighingPicture.Picture(trend, $"Weighings of {Text(subject.Title)}", HalfWidth),
                        0.49
                    )
                );
            }
            blocks.Add(new Paragraph("Weighings: " + Text(trend.Says)));
        }
    }

    private IEnumerable<Fact> SubjectFacts(SubjectDrying subject)
    {
        bool answered = subject.AdviceH is not null;
        yield return new Fact(
            "Ready at",
            subject.ReadyAt is null ? (subject.AdviceH == 0 ? "now" : "no answer") : When(subject.ReadyAt),
            !answered
        );
        yield return new Fact(
            "Hours in the dryer",
            answered
                ? $"{QuantityText.HoursAndDays(subject.AdviceH)} at {QuantityText.Temperature(subject.UsedC, display)}"
                : "no answer",
            !answered
        );
        if (subject.StartAt is not null)
        {
            yield return new Fact("Goes in", When(subject.StartAt));
        }
        if (subject.DoneH > 0)
        {
            yield return new Fact("Already counts", QuantityText.HoursAtMost(subject.DoneH));
        }
        if (subject.CapC is not null)
        {
            yield return new Fact(
                "Hottest allowed",
                $"{QuantityText.Temperature(subject.CapC, display)}: {Text(subject.CapReason)}"
            );
        }
        yield return subject.UseBy is null
            ? new Fact("Use by", Text(subject.UseByWhy) is { Length: > 0 } why ? why : QuantityText.NotKnown)
            : new Fact(
                "Use by",
                $"{When(subject.UseBy)}{(Text(subject.UseByWhy) is { Length: > 0 } reason ? ": " + reason : "")}"
            );
        BakeBudget budget = subject.Budget;
        string overheated =
            budget.OverheatedH > 0 ? $"; {QuantityText.Hours(budget.OverheatedH)} hotter than allowed" : "";
        yield return new Fact(
            "Budget above 90 °C",
            $"spent {QuantityText.Hours(budget.SpentH)}, this plan {QuantityText.HoursAtLeast(budget.PlannedH)},"
                + $" of {QuantityText.HoursAndDays(budget.LimitH)} in all{overheated}",
            budget.OverheatedH > 0
        );
    }

    // Bodies that differ in nothing but their names share a row.
    private static Table BodiesTable(SubjectDrying subject)
    {
        List<IReadOnlyList<Cell>> rows = [];
        var groups = subject
            .Bodies.GroupBy(body =>
                (
                    body.Level,
                    body.LevelKnown,
                    body.ThicknessMm,
                    body.ThicknessKnown,
                    body.Table,
                    body.Diffusion?.Hours,
                    body.AdviceH,
                    body.FloorLife.State
                )
            )
            .OrderByDescending(group => group.Key.AdviceH ?? double.MaxValue);
        foreach (var group in groups)
        {
            BodyDrying body = group.First();
            string name = Named([.. group.Select(one => Text(one.Ref))]);
            rows.Add([
                new Cell([name], Bold: true),
                new Cell(
                    $"level {TradeWords.Of(body.Level)}{(body.LevelKnown ? "" : " (assumed)")}",
                    QuantityText.Length(body.ThicknessMm) + (body.ThicknessKnown ? "" : " (assumed)"),
                    TradeWords.Of(body.FloorLife.State)
                ),
                TableCell(body.Table),
                DiffusionCell(body.Diffusion),
                new Cell([QuantityText.HoursAndDays(body.AdviceH), Text(body.AdviceWhy)]),
            ]);
        }
        return new Table(
            $"Bodies of {Text(subject.Title)} that take up moisture",
            [
                new Column("Body", 0.11),
                new Column("Level, thickness, floor life", 0.18),
                new Column("Answer of the bake table", 0.25),
                new Column("Answer by diffusion", 0.25),
                new Column("Advice", 0.21),
            ],
            rows
        );
    }

    private static bool IsLong(IReadOnlyList<CalendarEntry> calendar) =>
        calendar.Count > 0
        && (calendar.Max(entry => entry.To) - calendar.Min(entry => entry.From)).TotalDays
            > CalendarPicture.LongestHourlyDays;

    // What is the same for many bodies is said once under the table, by name where it differs.
    private void BodiesNotes(SubjectDrying subject)
    {
        foreach (var group in subject.Bodies.GroupBy(body => (Text(body.Table.Says), body.Table.Source)))
        {
            Note(
                "Bake table",
                group.Select(body => body.Ref),
                subject.Bodies.Count,
                group.Key.Item1 + Cite(group.Key.Source)
            );
        }
        foreach (
            var group in subject
                .Bodies.Where(body => body.Diffusion is not null)
                .GroupBy(body => (Text(body.Diffusion!.Says), body.Diffusion!.Source))
        )
        {
            Note(
                "Diffusion",
                group.Select(body => body.Ref),
                subject.Bodies.Count,
                group.Key.Item1 + Cite(group.Key.Source)
            );
        }
    }

    private void Note(string what, IEnumerable<string> refs, int all, string says)
    {
        string[] names = [.. refs.Select(Text)];
        string whose = names.Length == all ? "" : $" ({Named(names)})";
        blocks.Add(new Paragraph($"{what}{whose}: {says}", Small: true));
    }

    private static string Named(string[] names) =>
        names.Length > 8
            ? $"{string.Join(", ", names.Take(8))} and {names.Length - 8} more alike"
            : string.Join(", ", names);

    private static Cell TableCell(TableAnswer table) =>
        table is { Applies: true, Hours: double hours }
            ? new Cell(QuantityText.HoursAndDays(hours), "cell: " + TradeWords.ConfidenceShort(table.Confidence))
            : new Cell("does not apply");

    private static Cell DiffusionCell(DiffusionAnswer? answer) =>
        answer is null
            ? new Cell("no answer")
            : new Cell(
                $"{QuantityText.HoursAndDays(answer.Hours)}",
                $"95 % band {QuantityText.HoursAtLeast(answer.LowH)} – {QuantityText.HoursAtLeast(answer.HighH)}",
                $"to {QuantityText.FractionAsPercent(answer.TargetFraction)} of saturation; the air keeps {QuantityText.FractionAsPercent(answer.FloorFraction)}"
            );

    private void CalendarAndWeighing()
    {
        blocks.Add(new Heading(2, "Calendar"));
        Dictionary<string, string> titles = new(StringComparer.Ordinal);
        foreach (SubjectDrying subject in plan.Drying.Subjects)
        {
            titles[subject.Id] = Text(subject.Title);
        }
        blocks.Add(
            new PictureRow(CalendarPicture.Picture(plan.Drying.Calendar, plan.ComputedAt, offset, titles), 0.76)
        );
        blocks.Add(new Paragraph($"Clock times at {QuantityText.Offset(offset)}.", Small: true));
        // A long plan names its entries only where they begin, and long words may be cut: these stand in full.
        List<CalendarEntry> inFull =
        [
            .. plan.Drying.Calendar.Where(entry => IsLong(plan.Drying.Calendar) || entry.What.Length > 40),
        ];
        if (inFull.Count > 0)
        {
            blocks.Add(
                new Table(
                    IsLong(plan.Drying.Calendar) ? "The calendar in words" : "Entries with long words, in full",
                    [
                        new Column("From", 0.19),
                        new Column("Until", 0.19),
                        new Column("What", 0.17),
                        new Column("What happens", 0.45),
                    ],
                    [
                        .. inFull.Select(entry =>
                            (IReadOnlyList<Cell>)
                                [
                                    new Cell(QuantityText.MomentShort(entry.From, offset)),
                                    new Cell(entry.To > entry.From ? QuantityText.MomentShort(entry.To, offset) : ""),
                                    new Cell(
                                        entry.SubjectId.Length == 0
                                            ? "whole job"
                                            : titles.GetValueOrDefault(entry.SubjectId, Text(entry.SubjectId))
                                    ),
                                    new Cell(Text(entry.What)),
                                ]
                        ),
                    ]
                )
            );
        }
        blocks.Add(new Heading(2, "Weighings by pen"));
        blocks.Add(
            new Table(
                "The same balance each time; typed into the job, the weights give the end point with its error",
                [
                    new Column("What", 0.26),
                    new Column("Date, time", 0.24),
                    new Column("Weight, g", 0.18),
                    new Column("Hours in", 0.14),
                    new Column("By", 0.18),
                ],
                [
                    .. Enumerable
                        .Range(0, PenRows)
                        .Select(_ => (IReadOnlyList<Cell>)[new Cell(), new Cell(), new Cell(), new Cell(), new Cell()]),
                ],
                ForPen: true
            )
        );
    }
}
