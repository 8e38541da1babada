using System.Text.Json;
using Graftbench.Core.Drying;
using Graftbench.Core.Jobs;
using Graftbench.Core.Mixing;
using Graftbench.Core.Planning;

namespace Graftbench.Core.Joints;

/// <summary>What reading a joint case gave.</summary>
/// <param name="Request">The request; null as soon as there is one problem.</param>
/// <param name="Assumptions">What was assumed.</param>
/// <param name="Problems">All problems in document order.</param>
/// <param name="NotListed">How many more problems there were than the list holds.</param>
public sealed record JointCaseReading(
    JointRequest? Request,
    IReadOnlyList<Assumption> Assumptions,
    IReadOnlyList<JobProblem> Problems,
    int NotListed
)
{
    /// <summary>The solders that meet in a joint; null as soon as there is one problem.</summary>
    public SeatMixMade? Mix { get; init; }
}

/// <summary>Reads a joint case from its document (<c>graftbench-joints-1</c>).</summary>
public static class JointCaseReader
{
    /// <summary>Reads a document. Never throws on what the text holds.</summary>
    /// <param name="utf8">The document.</param>
    public static JointCaseReading Read(ReadOnlySpan<byte> utf8)
    {
        (JointCaseDocument? document, JobReading reading) = DocumentReader<JointCaseDocument>.Read(utf8, Checks);
        if (document is null)
        {
            return new JointCaseReading(null, [], reading.Problems, reading.NotListed);
        }
        JointRequestMade made = JointRequests.Of(document);
        return new JointCaseReading(made.Request, made.Assumptions, [], 0) { Mix = SeatMix.Of(document) };
    }

    private static IEnumerable<JobCheck> Checks(JointCaseDocument document)
    {
        foreach (string field in JointRequests.Of(document).Missing)
        {
            string path = field;
            string parent = field.StartsWith("seat.", StringComparison.Ordinal) ? "seat" : "";
            yield return new JobCheck(
                new JobProblem(
                    parent,
                    0,
                    0,
                    $"{path} is missing; it cannot be assumed.",
                    null,
                    null,
                    null,
                    $"Measure it and add {path}."
                ),
                [path]
            );
        }
        foreach (
            JobCheck check in SeatChecks.Run(
                document.Seat,
                new SeatPlace(
                    (document.BallDiameterMm, "ballDiameterMm"),
                    (document.PitchMm, "pitchMm"),
                    (document.Rows, "rows"),
                    (document.Columns, "columns"),
                    "seat"
                )
            )
        )
        {
            yield return check;
        }
    }
}

/// <summary>Joint answers as JSON, for other programs, spelled like every other plan.</summary>
public static class JointPlanJson
{
    /// <summary>Writes an answer.</summary>
    public static string Write(JointPlan plan) => JsonSerializer.Serialize(plan, PlanJson.Options);

    /// <summary>Writes one joint.</summary>
    public static string Write(OneJoint joint) => JsonSerializer.Serialize(joint, PlanJson.Options);
}
