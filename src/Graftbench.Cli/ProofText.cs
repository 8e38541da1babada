using Graftbench.Core.Findings;
using Graftbench.Core.Proof;
using static System.FormattableString;

namespace Graftbench.Cli;

/// <summary>The proof before power as a person reads it.</summary>
internal static class ProofText
{
    private const int MostNets = 60;
    private const int MostBalls = 120;

    public static string Of(ProofAnswer proof, FirstPowerPlan plan, ProofCoverage? coverage, TraceAnswer? trace)
    {
        Page page = new();
        page.Add(ProofQuestion.Line(proof));
        if (ProofQuestion.Answer(proof)?.Next is { } next)
        {
            page.Add("→ " + next, 2);
        }
        Nets(page, proof);
        FindingText.Add(page, proof.General);
        if (coverage is not null)
        {
            Balls(page, coverage);
        }
        Plan(page, plan, proof);
        if (trace is not null)
        {
            Trace(page, trace);
        }
        return page.ToString();
    }

    private static void Nets(Page page, ProofAnswer proof)
    {
        page.Add();
        page.Add("Rails and signals, the worst first");
        foreach (NetProof net in proof.Nets.Where(net => net.Verdict != Verdict.Ok).Take(MostNets))
        {
            string waived = net.Waived is null ? "" : $", set aside: {net.Waived}";
            string name = net.Rail is null ? $"signal {net.Net}" : $"rail {net.Net}";
            foreach (Finding finding in net.Findings.Where(one => one.Verdict != Verdict.Ok))
            {
                page.Add($"  {Say.Verdict(finding.Verdict)}: {name}{waived}: {finding.What}", 4);
                if (finding.Value is not null || finding.Limit is not null)
                {
                    page.Add(
                        $"    {finding.Value}{(finding.Limit is null ? "" : $", limit {finding.Limit} ({finding.Source})")}",
                        6
                    );
                }
                if (finding.Todo is not null)
                {
                    page.Add($"    → {finding.Todo}", 6);
                }
            }
        }
        int more = proof.Nets.Count(net => net.Verdict != Verdict.Ok) - MostNets;
        if (more > 0)
        {
            page.Add(Invariant($"  ... and {more} more; --json has all."));
        }
        string[] good = [.. proof.Nets.Where(net => net.Verdict == Verdict.Ok).Select(net => net.Net)];
        if (good.Length > 0)
        {
            page.Add(
                Invariant(
                    $"  ok: {good.Length} as before: {string.Join(", ", good.Take(MostNets))}{(good.Length > MostNets ? " ..." : "")}"
                ),
                4
            );
        }
    }

    private static void Balls(Page page, ProofCoverage coverage)
    {
        page.Add();
        page.Add(
            Invariant(
                $"Balls: {100 * coverage.ProvenFraction:0} % of {coverage.Needed} that must connect are proven, seen or shown by what works"
            )
        );
        foreach (BallEvidence evidence in Enum.GetValues<BallEvidence>().OrderDescending())
        {
            string[] names =
            [
                .. coverage.Balls.Where(ball => ball.Evidence == evidence).Select(ball => ball.Ball.Name),
            ];
            if (names.Length > 0)
            {
                page.Add(
                    Invariant($"{names.Length, 5}"),
                    $"{Word(evidence)}: {string.Join(", ", names.Take(MostBalls))}{(names.Length > MostBalls ? " ..." : "")}",
                    8
                );
            }
        }
        foreach (SourcedWords one in coverage.Words)
        {
            page.Add("  " + one.Words, 4);
        }
    }

    private static void Plan(Page page, FirstPowerPlan plan, ProofAnswer proof)
    {
        page.Add();
        if (!proof.MayPower)
        {
            page.Add("First power: not before the proof allows it.");
            return;
        }
        page.Add(plan.Allowed ? "First power" : "First power, once what is open below is settled");
        foreach (PowerStep step in plan.Steps)
        {
            page.Add(Invariant($"{step.Number, 3}"), $"{step.Title}: {step.What}", 6);
            foreach (PowerWindow window in step.Rails)
            {
                string volts = window.LeastV is null
                    ? "no window: its voltage is not known"
                    : Invariant($"{window.LeastV:0.000} to {window.MostV:0.000} V");
                page.Add(
                    "",
                    $"{window.Rail.Name}: {volts}{(window.MeasuredV is { } read ? Invariant($", read {read:0.000} V") : "")}",
                    8
                );
            }
            page.Add("", $"stop: {step.Stop}", 6);
        }
        foreach (SourcedWords one in plan.Cautions)
        {
            page.Add("  ! " + one.Words, 4);
        }
        FindingText.Add(page, plan.Findings);
    }

    private static void Trace(Page page, TraceAnswer trace)
    {
        page.Add();
        page.Add($"Trace: {trace.Words}. {trace.ReadsAs}");
        page.Add("→ " + trace.Todo, 2);
        foreach (TraceFigure figure in trace.Figures)
        {
            page.Add($"  {figure.What}: {figure.Value}{(figure.Limit is null ? "" : $" ({figure.Limit})")}", 4);
        }
        if (trace.OutcomeId is { } outcome)
        {
            page.Add($"  For the diagnosis: graftbench next-test --seen current={outcome}", 4);
        }
        FindingText.Add(page, trace.Findings.Skip(1));
    }

    private static string Word(BallEvidence evidence) =>
        evidence switch
        {
            BallEvidence.ByReading => "proven by a reading",
            BallEvidence.ByPicture => "seen in a picture",
            BallEvidence.ByFunction => "needed by something that works",
            BallEvidence.RailNotShort => "rail not shorted, ball itself not proven",
            BallEvidence.NotNeeded => "not connected inside",
            _ => "not proven",
        };
}
