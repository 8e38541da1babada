using Graftbench.Core.Findings;
using static System.FormattableString;

namespace Graftbench.Vision.Xray;

/// <summary>What a person says about a joint, against or with the machine; kept beside the machine's word, never over it.</summary>
/// <param name="Name">Name of the ball.</param>
/// <param name="State">What it is.</param>
/// <param name="Who">Who says so.</param>
/// <param name="At">When.</param>
/// <param name="VoidPercent">Void area by the person's eye [%]; null where not told.</param>
/// <param name="Note">Why, if written.</param>
public sealed record JointCorrection(
    string Name,
    JointSight State,
    string Who,
    DateTimeOffset At,
    double? VoidPercent = null,
    string? Note = null
);

/// <summary>A joint with the machine's word and every person's.</summary>
/// <param name="Machine">What the machine read.</param>
/// <param name="State">What counts: the last person's word, else the machine's.</param>
/// <param name="VoidPercent">What counts of its voids; null where neither tells.</param>
/// <param name="Said">What persons said, oldest first; nothing is taken away.</param>
public sealed record CorrectedJoint(
    JointReading Machine,
    JointSight State,
    double? VoidPercent,
    IReadOnlyList<JointCorrection> Said
);

/// <summary>Puts a reading and what persons said about it side by side.</summary>
public static class JointCorrections
{
    /// <summary>Each joint of the reading, in its order; corrections of balls that the field does not have are told.</summary>
    /// <param name="reading">What the machine read.</param>
    /// <param name="corrections">What persons said, in any order.</param>
    public static (IReadOnlyList<CorrectedJoint> Joints, IReadOnlyList<Finding> Findings) Beside(
        XrayReading reading,
        IReadOnlyList<JointCorrection> corrections
    )
    {
        ArgumentNullException.ThrowIfNull(reading);
        ArgumentNullException.ThrowIfNull(corrections);
        ILookup<string, JointCorrection> said = corrections
            .OrderBy(one => one.At)
            .ToLookup(one => one.Name, StringComparer.OrdinalIgnoreCase);
        List<CorrectedJoint> joints = [];
        List<Finding> findings = [];
        HashSet<string> known = new(StringComparer.OrdinalIgnoreCase);
        foreach (JointReading joint in reading.Joints)
        {
            known.Add(joint.Name);
            JointCorrection[] own = [.. said[joint.Name]];
            JointCorrection? last = own.LastOrDefault();
            joints.Add(
                new CorrectedJoint(
                    joint,
                    last?.State ?? joint.State,
                    own.LastOrDefault(one => one.VoidPercent is not null)?.VoidPercent ?? joint.VoidPercent,
                    own
                )
            );
            if (last is not null && last.State != joint.State)
            {
                findings.Add(
                    new Finding(
                        Verdict.Warning,
                        "xray.corrected",
                        joint.Name,
                        Invariant(
                            $"The picture was read as {joint.State}, {last.Who} says {last.State}; both are kept."
                        ),
                        Todo: last.Note
                    )
                );
            }
        }
        findings.AddRange(
            corrections
                .Where(one => !known.Contains(one.Name))
                .Select(one => new Finding(
                    Verdict.Unknown,
                    "xray.corrected-unknown",
                    one.Name,
                    "A correction names a ball that the field does not have.",
                    Todo: "Check its name."
                ))
        );
        return (joints, findings);
    }
}
