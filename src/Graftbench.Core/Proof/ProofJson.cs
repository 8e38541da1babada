using System.Text.Json;
using Graftbench.Core.Planning;
using Graftbench.Core.Returns;

namespace Graftbench.Core.Proof;

/// <summary>Answers from readings as JSON, for other programs.</summary>
public static class ProofJson
{
    /// <summary>Writes the proof with what goes with it.</summary>
    /// <param name="proof">The proof.</param>
    /// <param name="plan">Plan of the first power.</param>
    /// <param name="coverage">What is proven of each ball; null without a ball list.</param>
    /// <param name="trace">What a trace says; null without one.</param>
    public static string Write(ProofAnswer proof, FirstPowerPlan plan, ProofCoverage? coverage, TraceAnswer? trace)
    {
        ArgumentNullException.ThrowIfNull(proof);
        QuestionSummary? summary = ProofQuestion.Answer(proof);
        return JsonSerializer.Serialize(
            new
            {
                Answer = ProofQuestion.Line(proof),
                summary?.Next,
                Verdict = summary?.Verdict ?? Core.Findings.Verdict.Unknown,
                proof.MayPower,
                proof.Nets,
                proof.Shifts,
                Repeatability = proof.Repeat,
                proof.General,
                FirstPower = plan,
                Coverage = coverage is null
                    ? null
                    : new
                    {
                        coverage.ProvenFraction,
                        coverage.Needed,
                        Balls = coverage.Balls.Select(ball => new
                        {
                            ball.Ball.Name,
                            ball.Evidence,
                            ball.Words,
                        }),
                        coverage.Words,
                    },
                Trace = trace,
            },
            PlanJson.Options
        );
    }

    /// <summary>Writes the comparison of hand-over and return.</summary>
    public static string Write(ReturnAnswer answer) => JsonSerializer.Serialize(answer, PlanJson.Options);
}
