using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Core.Proof;

namespace Graftbench.Cli;

/// <summary>Readings that a job keeps in lists beside it: evidence of the kind reading whose file is a list.</summary>
internal static class JobProof
{
    /// <summary>The answers with question 7 laid in where the job has lists of readings; a list that cannot be used is said in it.</summary>
    /// <param name="jobPath">Path of the job document.</param>
    /// <param name="job">The job.</param>
    /// <param name="map">Ball list of the chip; null without one.</param>
    /// <param name="apart">The other answers.</param>
    public static ApartAnswers With(string jobPath, Job job, BallMap? map, ApartAnswers apart)
    {
        List<Reading> readings = [];
        List<string> wrong = [];
        foreach (EvidenceEntry entry in job.Evidence.Where(ReadingList.IsNamedBy))
        {
            if (
                BesideFile.Read(jobPath, entry.File!, entry.Sha256, 4L * ReadingList.MostCharacters, wrong)
                is not { } bytes
            )
            {
                continue;
            }
            ReadingListResult read = ReadingList.Read(Encoding.UTF8.GetString(bytes));
            readings.AddRange(read.Readings);
            wrong.AddRange(
                read.Problems.Where(problem => problem.Stops)
                    .Select(problem =>
                        FormattableString.Invariant($"{entry.File}, line {problem.Line}: {problem.What} {problem.Todo}")
                    )
            );
        }
        if (readings.Count == 0 && wrong.Count == 0)
        {
            return apart;
        }
        ProofAnswer proof = Prover.Answer(
            new ProofRequest(readings)
            {
                Map = map,
                FromDonor = job.Donor is not null,
                Waivers = [.. ProofWaiver.Of(job)],
            }
        );
        QuestionSummary summary =
            ProofQuestion.Answer(proof)
            ?? new QuestionSummary(Verdict.Unknown, "Not known: no list of readings can be used.", null, []);
        return apart with
        {
            Proof = summary with
            {
                Verdict = wrong.Count > 0 && summary.Verdict > Verdict.FixFirst ? Verdict.FixFirst : summary.Verdict,
                Findings = Finding.WorstFirst([
                    .. summary.Findings,
                    .. wrong.Select(problem => new Finding(
                        Verdict.FixFirst,
                        "proof.list",
                        "readings",
                        problem,
                        Source: "job-file",
                        Todo: "Mend the list: what it says is not counted."
                    )),
                ]),
            },
            Proven = proof,
        };
    }
}
