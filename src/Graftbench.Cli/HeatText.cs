using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;

namespace Graftbench.Cli;

/// <summary>A heat plan for the terminal: what to set, what happens, how sure it is, what would help.</summary>
internal static class HeatText
{
    private const int Column = 14;
    private const int MostProbes = 4;

    /// <summary>Spells a plan in at most <see cref="Page.Width"/> columns.</summary>
    /// <param name="job">The job.</param>
    /// <param name="plan">The plan.</param>
    /// <param name="timesS">Moments to print temperatures at [s].</param>
    public static string Of(Job job, HeatPlan plan, IReadOnlyList<double> timesS)
    {
        Page page = new();
        page.Add(job.Title);
        page.Add($"{Task(plan.Task)}, {plan.Subject}, chip {plan.ChipId}");
        page.Add();
        page.Add(plan.Answer, 2);
        if (plan.Model?.Calibrated is { } calibrated)
        {
            page.Add($"Calibrated on {CalibrationUse.Day(calibrated.At)}.");
        }
        if (plan.Stages.Count > 0)
        {
            page.Add();
            AddStages(page, plan);
            AddFigures(page, plan);
            AddMoments(page, plan);
            AddTemperatures(page, plan, timesS);
            AddProbes(page, plan);
            AddChance(page, plan);
            AddRemedies(page, plan);
        }
        page.Add();
        DryingText.AddFindings(page, plan.Findings);
        return page.ToString();
    }

    private static string Task(HeatTask task) =>
        task switch
        {
            HeatTask.Lift => "Lift the chip",
            HeatTask.AttachBalls => "Attach balls",
            _ => "Place the chip",
        };

    private static void AddStages(Page page, HeatPlan plan)
    {
        page.Add(plan.State == HeatPlanState.Planned ? "Settings" : "Nearest settings (they pass a limit)");
        if (plan.Nozzle is { } nozzle)
        {
            string name = nozzle.Name is { } listed ? listed : "not on the bench's list";
            string flow = nozzle.FlowStep is { } step ? $", airflow {step}" : "";
            page.Add("  nozzle", $"{name}, {nozzle.LengthMm:0.#} x {nozzle.WidthMm:0.#} mm{flow}", Column);
            page.Add("", nozzle.Why, Column);
        }
        page.Add($"  {"stage", -5} {"from", 5} {"lasts", 6}  {"gas", -10}{"preheater", -10} what");
        foreach (HeatStage stage in plan.Stages)
        {
            string way = stage.Jump ? "at " : "to ";
            string gas = stage.GasC is { } gasC ? $"{way}{gasC:0} °C" : "off";
            string preheater = stage.PreheaterC is { } preheaterC ? $"{way}{preheaterC:0} °C" : "off";
            page.Add(
                $"  {stage.Number, -5} {Clock(stage.StartS), 5} {stage.DurationS, 4:0} s  {gas, -10}{preheater, -10} {stage.Title}",
                42
            );
            if (stage.LookFor is { } sight)
            {
                page.Add("", sight, 12);
            }
        }
    }

    private static void AddFigures(Page page, HeatPlan plan)
    {
        page.Add();
        page.Add("Figures, tightest first");
        foreach (HeatFigure figure in plan.Figures)
        {
            string sign = figure.Limit.AtLeast ? "at least" : "at most";
            string kind = figure.Limit.Hard ? "" : ", a goal";
            page.Add(
                $"  {figure.Limit.Title}: {figure.Figure:0.#} {figure.Limit.Unit}, {sign} {figure.Limit.Value:0.#}{kind}; room {figure.Margin:0.#}; not kept in {100 * figure.PassedChanceFraction:0} % of samples [{figure.Limit.Source}]",
                4
            );
        }
    }

    private static void AddMoments(Page page, HeatPlan plan)
    {
        page.Add();
        page.Add("What happens when");
        foreach (HeatMoment moment in plan.Moments)
        {
            page.Add($"  {Clock(moment.TimeS)}", moment.Text, Column);
        }
    }

    private static void AddTemperatures(Page page, HeatPlan plan, IReadOnlyList<double> timesS)
    {
        if (timesS.Count == 0 || plan.Curves is not { } curves)
        {
            return;
        }
        page.Add();
        page.Add("Temperatures");
        foreach (double timeS in timesS)
        {
            if (timeS > curves.TimesS[^1])
            {
                page.Add($"  {Clock(timeS)}", "after the end of the run", Column);
                continue;
            }
            int step = Enumerable.Range(0, curves.TimesS.Count).MinBy(i => Math.Abs(curves.TimesS[i] - timeS));
            page.Add(
                $"  {Clock(timeS)}",
                string.Join(", ", curves.Curves.Select(curve => $"{curve.Title} {curve.TemperaturesC[step]:0.0}"))
                    + " °C",
                Column
            );
        }
    }

    private static void AddProbes(Page page, HeatPlan plan)
    {
        page.Add();
        page.Add("Probes, best first");
        foreach (ProbeAdvice probe in plan.Probes.Take(MostProbes))
        {
            page.Add(
                $"  {probe.Rank}. {probe.Where}: reads {probe.ReadsAtMoltenC:0} °C when the coldest joint is just molten ({probe.OffsetDeltaK:+0;-0;0} K against it). {probe.Why}",
                5
            );
        }
    }

    private static void AddChance(Page page, HeatPlan plan)
    {
        page.Add();
        if (plan.Chance is { } chance)
        {
            page.Add(
                $"Chance over {chance.Samples} samples: every joint melts {ChanceText.Of(chance.AllMoltenFraction, chance.AllMoltenErrorFraction)}; and no limit is passed {ChanceText.Of(chance.AllKeptFraction, chance.AllKeptErrorFraction)}; wanted {ChanceText.Wanted(chance.WantedFraction)}",
                2
            );
        }
        foreach (HeatSensitivity one in plan.Sensitivities.Take(5))
        {
            page.Add(
                $"  {one.What}: coldest joint {one.ColdestJointDeltaK:+0.0;-0.0;0.0} K, body {one.BodyTopDeltaK:+0.0;-0.0;0.0} K, molten {one.MoltenTimeDeltaS:+0;-0;0} s",
                4
            );
        }
        if (plan.Trust is { } trust)
        {
            string reduced = trust.ReducedErrorDeltaK is { } off ? $"; reduced model within {off:0.0} K of it" : "";
            page.Add(
                $"  model: {trust.Nodes} nodes, mesh {trust.MeshErrorDeltaK:0.0} K, step {trust.StepErrorDeltaK:0.00} K{reduced}",
                4
            );
        }
    }

    private static void AddRemedies(Page page, HeatPlan plan)
    {
        if (plan.Remedies.Count == 0)
        {
            return;
        }
        page.Add();
        page.Add("What would help: what is enough first, each the cheapest first (minutes are estimates)");
        foreach (HeatRemedy remedy in plan.Remedies)
        {
            page.Add(
                $"  {remedy.Rank}. {remedy.What} {Capital(plan.Worth(remedy))}. {remedy.Effect} About {remedy.CostMin:0} min.",
                5
            );
        }
    }

    private static string Capital(string words) => char.ToUpperInvariant(words[0]) + words[1..];

    private static string Clock(double timeS)
    {
        int whole = (int)Math.Round(timeS);
        return $"{whole / 60}:{whole % 60:00}";
    }
}
