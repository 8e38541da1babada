using Graftbench.Core.Joints;
using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Tests.Joints;

/// <summary>
/// Project fact sheet "seating mechanics", 4.2: a joined joint whose gap passes its pull-apart height leaves the joined. A seesaw:
/// ten joints at x -2, two parts at x 0, one joint at x 20, load beyond the parts. The moments about the parts are done by hand.
/// </summary>
public class PullApartTests
{
    private const int Far = 10;
    private static readonly double BreakMm = BridgeLimits
        .PullApart(new(0.3, 0.3, SolderCap.BallVolumeMm3(0.76), 0.5, 7400))!
        .Value.GapMm;

    [Fact]
    public void A_joint_that_is_stretched_past_its_limit_opens_and_carries_nothing()
    {
        NominalSeat seat = Seats.Settle(Seesaw(10));
        JointState far = seat.Joints[Far];
        Assert.Equal(JointClass.Open | JointClass.Parted, far.Class & (JointClass.Open | JointClass.Parted));
        Assert.False(far.Class.HasFlag(JointClass.Joined));
        Assert.Equal(0, far.ForceMilliN);
        Assert.Equal(BreakMm, far.BreakGapMm!.Value, 1e-3);
        Assert.True(far.GapMm > BreakMm);
        // About the parts: 10 mN at 1.5 mm against ten joints at 2 mm; the parts carry the rest.
        Assert.All(seat.Joints.Take(Far), joint => Assert.Equal(10 * 1.5 / 2 / 10, joint.ForceMilliN, 0.02));
        Assert.Equal(10 - 10 * 1.5 / 2, seat.Molten!.OnStopsMilliN, 1e-3);
        Assert.Equal((10, 1), (seat.Molten.JoinedNumber, seat.Molten.OpenNumber));
    }

    [Fact]
    public void A_joint_that_can_hold_the_pull_stays_joined_and_is_stretched()
    {
        NominalSeat seat = Seats.Settle(Seesaw(6));
        JointState far = seat.Joints[Far];
        Assert.True(far.Class.HasFlag(JointClass.Joined | JointClass.Stretched));
        Assert.True(far.GapMm < BreakMm);
        double near = seat.Joints.Take(Far).Sum(joint => joint.ForceMilliN);
        Assert.Equal(6 * -1.5, near * -2 + far.ForceMilliN * 20, 1e-4);
    }

    [Fact]
    public void What_was_pulled_apart_does_not_join_again()
    {
        JointRequest request = Seesaw(10);
        SeatField field = new(request, JointTables.Create(request)!);
        field.Fill(request, hot: true);
        bool[] joined = new bool[field.Count];
        bool[] parted = new bool[field.Count];
        // Flat at 0.60, below every touch, with the far joint already broken.
        parted[Far] = true;
        SeatPlane plane = new(0.60, 0, 0);
        SeatOutcome outcome = SeatSolver.Settle(field, ref plane, joined, parted, 1e-9);
        Assert.True(outcome.Converged);
        Assert.False(joined[Far]);
        Assert.True(joined.Take(Far).All(one => one));
    }

    [Fact]
    public void Packages_with_a_joint_pulled_apart_are_counted()
    {
        JointRequest request = Seesaw(10) with { Spread = new JointSpread(0.001, 0.001, 0.001, 0) };
        JointChance chance = JointChances.Draw(request, JointTables.Create(request)!, 50);
        Assert.Equal(1, chance.PartedFraction);
        Assert.Equal(0, chance.AllJoinedFraction);
        Assert.Equal(0, chance.NotSettledNumber);
        Assert.Equal(1, chance.OpenByJointFraction[Far]);
    }

    [Fact]
    public void The_answer_says_that_a_joint_is_pulled_apart()
    {
        JointPlan plan = JointPlanner.Plan(Seesaw(10) with { Goal = new JointGoal(0.975, 50, WithLevers: false) });
        Assert.Contains(plan.Findings, finding => finding.Code == "joints.pulled-apart");
        Assert.DoesNotContain(plan.Findings, finding => finding.Code == "joints.open");
    }

    private static JointRequest Seesaw(double loadMilliN)
    {
        IEnumerable<(double, double)> places = [.. Enumerable.Range(0, 10).Select(i => (-2.0, i - 4.5)), (20.0, 0.0)];
        return Seats.Request(
            Seats.Sites(places, 0.76, 0.6),
            Seats.Stops(0.55, (0, -1), (0, 1)),
            1,
            loadMilliN,
            0,
            (-1.5, 0)
        );
    }
}
