using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Core.Joints;

namespace Graftbench.Core.Tests.Joints;

/// <summary>Joint cases as documents, good and bad, and the answer they lead to.</summary>
public class JointCaseReaderTests
{
    private const string Good = """
        {
          "format": "graftbench-joints-1", "pitchMm": 1.27, "rows": 8, "columns": 8, "ballDiameterMm": 0.76, "trials": 200,
          "seat": { "packagePadMm": 0.6, "boardPadMm": 0.6, "hasParts": "no", "packageG": 0.5, "hotWarpageMm": 0.03,
                    "domeHeightMm": 0.03, "domeSpreadPercent": 25 }
        }
        """;

    [Fact]
    public void A_good_case_is_answered_with_everything_a_screen_shows()
    {
        JointCaseReading reading = JointCaseReader.Read(Encoding.UTF8.GetBytes(Good));
        Assert.Empty(reading.Problems);
        JointPlan plan = JointPlanner.Plan(reading.Request!, reading.Assumptions);
        Assert.Equal(JointPlanState.Reached, plan.State);
        Assert.Equal(64, plan.Joints.Count);
        Assert.All(plan.Joints, joint => Assert.NotNull(joint.OpenFraction));
        Assert.NotEmpty(plan.Levers);
        Assert.NotEmpty(plan.Need!.Levels);
        Assert.Equal(0, plan.Need.Levels[0].LeastMeanDomeMm);
        Assert.True(plan.Balls[0].Suits);
        Assert.True(plan.Curve!.Points.Count > 50);
        Assert.Contains(plan.Findings, finding => finding.Code == "joints.all-form" && finding.Verdict == Verdict.Ok);
        Assert.Equal(8, JointSections.RowsMm(plan).Count);
        JointSection cut = JointSections.Cut(plan, 3)!;
        Assert.Equal(8, cut.Joints.Count);
        Assert.All(cut.Joints, joint => Assert.True(joint.Joined));
        double highest = cut.Joints[0].Outlines[0].Max(point => point.ZMm);
        Assert.Equal(plan.Joints[cut.Joints[0].Index].GapMm, highest, 1e-6);
        Assert.DoesNotContain("NaN", JointPlanJson.Write(plan), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("\"ballDiameterMm\": 0.76", "\"ballDiameterMm\": 1.30", "as large as their pitch")]
    [InlineData("\"packagePadMm\": 0.6", "\"packagePadMm\": 0", "")]
    [InlineData("\"packagePadMm\": 0.6,", "", "seat.packagePadMm is missing")]
    [InlineData("\"rows\": 8", "\"rows\": 100", "more joints")]
    [InlineData("\"packagePadMm\": 0.6", "\"packagePadMm\": 1.2", "cannot span")]
    [InlineData(
        "\"hasParts\": \"no\"",
        "\"parts\": [{\"name\":\"C1\",\"xMm\":0,\"yMm\":0,\"heightMm\":1.2}]",
        "taller than any joint"
    )]
    [InlineData("\"packageG\": 0.5", "\"solder\": {\"tensionNPerM\": 500}", "")]
    public void What_is_wrong_is_said(string good, string bad, string expected)
    {
        string text = Good.Replace(good, bad, StringComparison.Ordinal);
        if (expected == "more joints")
        {
            text = text.Replace("\"columns\": 8", "\"columns\": 101", StringComparison.Ordinal);
            expected = "";
        }
        if (expected == "cannot span")
        {
            text = text.Replace("\"boardPadMm\": 0.6", "\"boardPadMm\": 1.2", StringComparison.Ordinal)
                .Replace("\"ballDiameterMm\": 0.76", "\"ballDiameterMm\": 0.4", StringComparison.Ordinal);
        }
        JointCaseReading reading = JointCaseReader.Read(Encoding.UTF8.GetBytes(text));
        Assert.Null(reading.Request);
        Assert.Contains(reading.Problems, problem => problem.What.Contains(expected, StringComparison.Ordinal));
        Assert.All(reading.Problems, problem => Assert.NotNull(problem.Todo ?? problem.Allowed));
    }

    [Fact]
    public void All_problems_come_at_once()
    {
        string text = Good.Replace("0.76", "1.30", StringComparison.Ordinal)
            .Replace(
                "\"hasParts\": \"no\"",
                "\"hasParts\": \"no\", \"parts\": [{\"name\":\"C1\",\"xMm\":0,\"yMm\":0,\"heightMm\":2.5}]",
                StringComparison.Ordinal
            );
        JointCaseReading reading = JointCaseReader.Read(Encoding.UTF8.GetBytes(text));
        Assert.True(reading.Problems.Count >= 3, string.Join('\n', reading.Problems));
    }

    [Fact]
    public void Unknown_parts_and_warpage_are_never_ok()
    {
        string text = Good.Replace("\"hasParts\": \"no\",", "", StringComparison.Ordinal)
            .Replace("\"hotWarpageMm\": 0.03,", "", StringComparison.Ordinal);
        JointCaseReading reading = JointCaseReader.Read(Encoding.UTF8.GetBytes(text));
        JointPlan plan = JointPlanner.Plan(
            reading.Request! with
            {
                Goal = reading.Request.Goal with { WithLevers = false },
            },
            reading.Assumptions
        );
        Assert.Contains(
            plan.Findings,
            finding => finding.Code == "joints.parts-unknown" && finding.Verdict == Verdict.Unknown
        );
        Assert.Contains(plan.Findings, finding => finding.Code == "joints.warpage-unknown");
        Assert.Contains(plan.Assumptions, one => one.What.StartsWith("warpage at reflow", StringComparison.Ordinal));
    }
}
