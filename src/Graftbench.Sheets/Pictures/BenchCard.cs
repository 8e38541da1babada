using Graftbench.Core.Heating;
using Graftbench.Core.Planning;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>
/// The heat plan on one A4 page that stands on the bench: what to set when, what to look for, where the probe goes, when to
/// stop. Stages are set so large that they are read at one metre; what does not fit at full size makes all of it smaller.
/// </summary>
internal sealed class BenchCard
{
    public const double PageWidth = 595;
    public const double PageHeight = 842;
    private const double Margin = 30;
    private const double Wide = PageWidth - (2 * Margin);
    private static readonly string[] Hazards = ["lead", "fume", "burn", "cell", "static"];
    private readonly JobPlan plan;
    private readonly HeatPlan heat;
    private readonly Display display;
    private readonly double scale;
    private readonly ICanvas canvas;
    private double y = Margin;

    private BenchCard(JobPlan plan, HeatPlan heat, Display display, double scale, ICanvas canvas)
    {
        (this.plan, this.heat, this.display) = (plan, heat, display);
        (this.scale, this.canvas) = (scale, canvas);
    }

    /// <summary>The card of a plan.</summary>
    public static Picture Picture(JobPlan plan, HeatPlan heat, Display display)
    {
        double size = 1.14;
        while (size > 0.5 && new BenchCard(plan, heat, display, size, new NoCanvas()).DrawAll() > PageHeight - 20)
        {
            size -= 0.04;
        }
        return new Picture(
            PageWidth,
            PageHeight,
            $"Bench card: {Title(heat)}",
            Words(heat, display),
            page => new BenchCard(plan, heat, display, size, page).DrawAll()
        );
    }

    /// <summary>What the card is for.</summary>
    public static string Title(HeatPlan heat) =>
        $"{TradeWords.Of(heat.Task)}: {SheetText.Clean(heat.ChipId)}, {SheetText.Clean(heat.Subject)}";

    /// <summary>When to stop, in words.</summary>
    public static IReadOnlyList<string> StopRules(HeatPlan heat, Display display)
    {
        List<string> rules = [];
        HeatFigure? body = heat.Figures.FirstOrDefault(figure => figure.Limit.Kind == HeatLimitKind.BodyPeak);
        if (body is not null)
        {
            rules.Add($"Stop when the chip's top reaches {QuantityText.Degrees(body.Limit.Value, display)}.");
        }
        if (heat is { Probes: [{ } probe, ..] })
        {
            rules.Add(
                $"Every joint is molten when the probe reads {QuantityText.Degrees(probe.ReadsAtMoltenC, display)}"
                    + $" (± {QuantityText.Digits(probe.UncertaintyDeltaK, 1)} K): not before."
            );
        }
        if (heat.Moments.FirstOrDefault(moment => moment.Name == HeatMoments.SwitchOff) is { } off)
        {
            rules.Add(
                $"Switch off at {QuantityText.Clock(off.TimeS)}; if the chip has not settled by then, switch off, let it cool and plan again."
            );
        }
        if (heat.Moments.FirstOrDefault(moment => moment.Name == HeatMoments.LastSolid) is { } solid)
        {
            rules.Add($"Do not move the board before {QuantityText.Clock(solid.TimeS)}.");
        }
        rules.Add("Stop at once when it smokes, bulges or crackles.");
        return rules;
    }

    private static string Words(HeatPlan heat, Display display)
    {
        IEnumerable<string> stages = heat.Stages.Select(stage =>
            $"Stage {stage.Number} at {QuantityText.Clock(stage.StartS)}, {SheetText.Clean(stage.Title)}: gas {Set(stage.GasC, display)},"
            + $" preheater {Set(stage.PreheaterC, display)}{(stage.LookFor is null ? "" : ", " + SheetText.Clean(stage.LookFor))}."
        );
        string probe = heat is { Probes: [{ } best, ..] }
            ? $" Probe: {SheetText.Clean(best.Where)}. {SheetText.Clean(best.Why)}"
            : "";
        return $"{SheetText.Clean(heat.Answer)} {string.Join(" ", stages)}{probe} {string.Join(" ", StopRules(heat, display))}";
    }

    private static string Set(double? setC, Display display) =>
        setC is null ? "off" : QuantityText.Degrees(setC, display);

    private double DrawAll()
    {
        Head();
        Nozzle();
        Stages();
        Probe();
        Stop();
        CautionLines();
        Assumed();
        return y;
    }

    private void Head()
    {
        Lines(Title(heat), 24, bold: true);
        Lines(SheetText.Clean(heat.Answer), 15, bold: heat.State != HeatPlanState.Planned);
        string job =
            $"{SheetText.Clean(plan.Job.Title)} · {QuantityText.Moment(plan.ComputedAt, plan.ComputedAt.Offset)}";
        canvas.Text(
            new Pt(Margin, y + (9 * scale)),
            SheetText.Fit(job, Wide, 9 * scale),
            new TextLook(9 * scale, Ink: Ink.Muted)
        );
        y += 15 * scale;
    }

    private void Nozzle()
    {
        if (heat.Nozzle is not NozzleChoice nozzle)
        {
            return;
        }
        string name = nozzle.Name is { } given
            ? $"Nozzle {SheetText.Clean(given)}"
            : $"Nozzle {QuantityText.Digits(nozzle.LengthMm, 1)} × {QuantityText.Digits(nozzle.WidthMm, 1)} mm (not on the bench's list)";
        string flow = nozzle.FlowStep is { } step ? $", airflow {SheetText.Clean(step)}" : "";
        Lines(
            $"{name}{flow}, centred {QuantityText.Digits(nozzle.XMm, 0)} mm from the left and {QuantityText.Digits(nozzle.YMm, 0)} mm from the lower edge",
            13,
            bold: true
        );
        y += 4 * scale;
    }

    private void Stages()
    {
        if (heat.Stages.Count == 0)
        {
            Lines("There are no settings. Do not heat by this card.", 20, bold: true);
            return;
        }
        double size = (display.Fahrenheit ? 15 : 22) * scale;
        double clockX = Margin + (74 * scale);
        double gasX = Margin + (178 * scale);
        double heaterX = Margin + (282 * scale);
        double lookX = Margin + (294 * scale);
        double lookWide = PageWidth - Margin - lookX;
        TextLook head = new(10.5 * scale, Anchor.End, Ink: Ink.Muted);
        canvas.Text(new Pt(clockX, y + (11 * scale)), "clock", head);
        canvas.Text(new Pt(gasX, y + (11 * scale)), "gas to", head);
        canvas.Text(new Pt(heaterX, y + (11 * scale)), "preheater to", head);
        canvas.Text(new Pt(lookX, y + (11 * scale)), "stage and what to look for", head with { Anchor = Anchor.Start });
        y += 16 * scale;
        foreach (HeatStage stage in heat.Stages)
        {
            Rule(1.2);
            double top = y;
            double title = 14.5 * scale;
            double look = 13 * scale;
            List<(string Text, double Size, bool Bold)> lines =
            [
                .. SheetText
                    .Wrap($"{stage.Number}  {SheetText.Clean(stage.Title)}", lookWide, title, true)
                    .Select(line => (line, title, true)),
            ];
            string how = stage.Jump ? "set at once" : $"rise evenly over {QuantityText.Clock(stage.DurationS)}";
            if (stage.GasC is null && stage.PreheaterC is null)
            {
                how = "both off";
            }
            lines.Add((SheetText.Fit(how, lookWide, look), look, false));
            if (stage.LookFor is not null)
            {
                lines.AddRange(
                    SheetText
                        .Wrap("Look: " + SheetText.Clean(stage.LookFor), lookWide, look)
                        .Select(line => (line, look, false))
                );
            }
            double at = top + (3 * scale);
            foreach ((string text, double lineSize, bool bold) in lines)
            {
                at += lineSize * 1.16;
                canvas.Text(new Pt(lookX, at), text, new TextLook(lineSize, Bold: bold));
            }
            double base1 = top + (4 * scale) + (22 * scale);
            canvas.Text(
                new Pt(clockX, base1),
                QuantityText.Clock(stage.StartS),
                new TextLook(26 * scale, Anchor.End, true)
            );
            canvas.Text(new Pt(gasX, base1), Set(stage.GasC, display), new TextLook(size, Anchor.End, true));
            canvas.Text(new Pt(heaterX, base1), Set(stage.PreheaterC, display), new TextLook(size, Anchor.End, true));
            y = Math.Max(at + (6 * scale), top + (36 * scale));
        }
        Rule(1.2);
        y += 6 * scale;
    }

    private void Probe()
    {
        if (heat is not { Probes: [{ } probe, ..] })
        {
            return;
        }
        double sketchWide = 190 * scale;
        double sketchHigh = 128 * scale;
        double top = y;
        ProbeSketch.Draw(canvas, plan, heat, probe, new Box(Margin, top + 2, sketchWide, sketchHigh), scale);
        double x = Margin + sketchWide + (14 * scale);
        double wide = PageWidth - Margin - x;
        y = top;
        Lines("Probe", 16, bold: true, x, wide);
        Lines(SheetText.Clean(probe.Where), 14, bold: true, x, wide);
        Lines(
            heat.Task == HeatTask.AttachBalls
                ? "On the loose chip."
                : $"{QuantityText.Digits(probe.XMm, 0)} mm from the board's left, {QuantityText.Digits(probe.YMm, 0)} mm from its lower edge.",
            12,
            bold: true,
            x,
            wide
        );
        Lines("Why there: " + SheetText.Clean(probe.Why), 12, bold: false, x, wide);
        Lines(
            $"Coldest joint known to ± {QuantityText.Digits(probe.UncertaintyDeltaK, 1)} K with it, ± {QuantityText.Digits(probe.WithoutDeltaK, 1)} K without.",
            11,
            bold: false,
            x,
            wide
        );
        y = Math.Max(y, top + sketchHigh + (8 * scale));
    }

    private void Stop()
    {
        y += 2 * scale;
        Lines("When to stop", 16, bold: true);
        foreach (string rule in StopRules(heat, display))
        {
            canvas.Rect(new Box(Margin + 1, y + (3.5 * scale), 8 * scale, 8 * scale), 0, new Look(Ink.Text));
            Lines(rule, 13, bold: false, Margin + (15 * scale), Wide - (15 * scale));
        }
        y += 4 * scale;
    }

    private void CautionLines()
    {
        List<Caution> shown =
        [
            .. plan.Cautions.Where(caution =>
                Hazards.Any(hazard => caution.Hazard.Contains(hazard, StringComparison.OrdinalIgnoreCase))
            ),
        ];
        if (shown.Count == 0)
        {
            return;
        }
        Rule(0.6);
        y += 3 * scale;
        foreach (Caution caution in shown)
        {
            IReadOnlyList<string> lines = SheetText.Wrap(
                $"{SheetText.Clean(caution.Hazard)}: {SheetText.Clean(caution.Text)}",
                Wide,
                9.5 * scale,
                true
            );
            Put(lines, 9.5, false, Margin);
        }
    }

    private void Assumed()
    {
        List<string> assumed =
        [
            .. (heat.Model?.Assumptions ?? [])
                .Where(assumption => !assumption.Measured)
                .Select(assumption => SheetText.Clean(assumption.What).TrimEnd('.')),
        ];
        string chance = heat.Chance is HeatChance sure
            ? $"Computed chance that all goes well: {QuantityText.FractionAsPercent(sure.AllKeptFraction)} ± {QuantityText.ChanceError(sure.AllKeptErrorFraction)}. "
            : "The chance of success was not computed. ";
        const int Most = 5;
        string rest = assumed.Count > Most ? $"; {assumed.Count - Most} more on the heat screen" : "";
        string list = assumed.Count > 0 ? $"Assumed, not measured: {string.Join("; ", assumed.Take(Most))}{rest}." : "";
        y += 2 * scale;
        Lines(chance + list, 9.5, bold: false);
    }

    private void Rule(double width) =>
        canvas.Strokes([new Seg(Margin, y, PageWidth - Margin, y)], new Look(Stroke: Ink.Text, Width: width));

    private void Lines(string text, double size, bool bold) => Lines(text, size, bold, Margin, Wide);

    private void Lines(string text, double size, bool bold, double x, double wide) =>
        Put(SheetText.Wrap(text, wide, size * scale, bold), size, bold, x);

    private void Put(IReadOnlyList<string> lines, double size, bool bold, double x)
    {
        foreach (string line in lines)
        {
            y += size * scale * 1.18;
            canvas.Text(new Pt(x, y), line, new TextLook(size * scale, Bold: bold));
        }
        y += size * scale * 0.3;
    }

    /// <summary>Measures a card without drawing it.</summary>
    private sealed class NoCanvas : ICanvas
    {
        public void Begin(string name, string? title = null) { }

        public void End() { }

        public void Line(IReadOnlyList<Pt> points, bool closed, Look look) { }

        public void Shapes(IReadOnlyList<IReadOnlyList<Pt>> shapes, Look look) { }

        public void Strokes(IReadOnlyList<Seg> strokes, Look look) { }

        public void Rect(Box box, double radius, Look look) { }

        public void Circle(Pt centre, double radius, Look look) { }

        public void Dots(IReadOnlyList<Pt> centres, double radius, Ink ink) { }

        public void Text(Pt at, string text, TextLook look, string? boldLead = null) { }
    }
}
