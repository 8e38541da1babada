using Graftbench.Core.Findings;
using Graftbench.Shared.Vision;
using Graftbench.Vision.Xray;

namespace Graftbench.Vision.Tests.Xray;

public class JointCorrectionTests
{
    [Fact]
    public void A_persons_word_counts_and_the_machines_stays()
    {
        XrayReading reading = XrayReader.Read(
            XrayScore.Request(
                XrayMaker.Make(
                    new XrayLook
                    {
                        Rows = 4,
                        Columns = 5,
                        PxPerMm = 45,
                        VoidShare = 0,
                    }
                )
            )
        );
        DateTimeOffset at = new(2026, 3, 2, 14, 0, 0, TimeSpan.Zero);
        (IReadOnlyList<CorrectedJoint> joints, IReadOnlyList<Finding> findings) = JointCorrections.Beside(
            reading,
            [
                new JointCorrection("B2", JointSight.Odd, "Ada", at.AddMinutes(5), null, "tall from the side"),
                new JointCorrection("b2", JointSight.Missing, "Ben", at),
                new JointCorrection("Z9", JointSight.Missing, "Ben", at),
            ]
        );
        CorrectedJoint joint = joints.Single(one => one.Machine.Name == "B2");
        Assert.Equal((JointSight.Odd, JointSight.Present), (joint.State, joint.Machine.State));
        Assert.Equal(["Ben", "Ada"], joint.Said.Select(one => one.Who));
        Assert.All(joints.Where(one => one != joint), one => Assert.Equal(one.Machine.State, one.State));
        Assert.Contains(findings, finding => finding is { Code: "xray.corrected", Where: "B2" });
        Assert.Contains(findings, finding => finding is { Where: "Z9", Verdict: Verdict.Unknown });
    }
}
