using Graftbench.Core.Joints;
using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Tests.Joints;

/// <summary>
/// Small arrays of project fact sheet "seating mechanics", section 5.5: another solver of the same method (independent
/// calculation); EnergyMinimumTests is the check that shares no method.
/// </summary>
public class SmallArrayTests
{
    private static readonly (double, double)[] Four = [(-0.8, -0.8), (0.8, -0.8), (-0.8, 0.8), (0.8, 0.8)];

    [Fact]
    public void AR1_flat_without_parts()
    {
        NominalSeat seat = Seats.Settle(Request("AR1"));
        Assert.Equal(20, seat.Joints.Count);
        Assert.Equal(0.642681, seat.Cold!.Plane.GapMm, 1e-6);
        Assert.Equal(0.511038, seat.Molten!.Plane.GapMm, 2e-6);
        Assert.All(seat.Joints, joint => Assert.Equal(0.100, joint.ForceMilliN, 1e-6));
        Assert.False(seat.Cold.Rocks);
        Assert.Equal(20, seat.Cold.Contacts.Count);
    }

    [Fact]
    public void AR3_one_part_and_a_smile_leave_the_corners_open()
    {
        NominalSeat seat = Seats.Settle(Request("AR3"));
        Assert.Equal(0.590681, seat.Cold!.Plane.GapMm, 2e-6);
        Assert.Equal(0.54999, seat.Molten!.Plane.GapMm, 1.5e-5);
        Assert.Equal(6.447, seat.Stops[0].ForceMilliN, 2e-3);
        Assert.Equal([0, 5, 14, 19], Open(seat));
        Assert.All(Open(seat), i => Assert.Equal(0.0073, seat.Joints[i].MissMm, 1e-4));
        double[] gaps = [.. seat.Joints.Where(joint => joint.MissMm == 0).Select(joint => joint.GapMm)];
        Assert.Equal(0.60199, gaps.Min(), 1.5e-5);
        Assert.Equal(0.61799, gaps.Max(), 1.5e-5);
        Assert.Equal(-0.29786, seat.Joints.Min(joint => joint.ForceMilliN), 5e-5);
    }

    [Fact]
    public void AR5_domes_join_what_four_parts_hold_up()
    {
        NominalSeat seat = Seats.Settle(Request("AR5"));
        Assert.Equal(0.649081, seat.Cold!.Plane.GapMm, 2e-6);
        Assert.Equal(4, seat.Cold.Float50UmNumber);
        Assert.Equal(0.558570, seat.Molten!.Plane.GapMm, 3e-6);
        Assert.Equal(20, seat.Molten.JoinedNumber);
        Assert.All(seat.Stops, stop => Assert.Equal(2.3025, stop.ForceMilliN, 3e-4));
        Assert.Equal(0.65217, seat.Joints.Min(joint => joint.GapMm), 1e-5);
        Assert.Equal(0.73857, seat.Joints.Max(joint => joint.GapMm), 1e-5);
        Assert.Equal(-0.4331, seat.Joints.Min(joint => joint.ForceMilliN), 1e-4);
        Assert.Equal(-0.3172, seat.Joints.Max(joint => joint.ForceMilliN), 1e-4);
    }

    [Fact]
    public void AR5_without_domes_joins_nothing()
    {
        NominalSeat seat = Seats.Settle(Request("AR5 bare"));
        Assert.True(seat.Cold!.StandsOnParts);
        Assert.Equal(0, seat.Molten!.JoinedNumber);
        Assert.Equal(2.0, seat.Molten.OnStopsMilliN, 1e-6);
    }

    [Fact]
    public void AR7_uneven_balls_a_tilted_board_and_four_parts()
    {
        NominalSeat seat = Seats.Settle(Request("AR7"));
        Assert.Equal(32, seat.Joints.Count);
        Assert.Equal(0.387717, seat.Cold!.Plane.GapMm, 2e-6);
        Assert.Equal(-0.0100031, seat.Cold.Plane.TiltXRatio, 2e-7);
        Assert.Equal(-0.0000194, seat.Cold.Plane.TiltYRatio, 2e-7);
        Assert.Equal(0.327998, seat.Molten!.Plane.GapMm, 2e-6);
        Assert.Equal(-0.0100003, seat.Molten.Plane.TiltXRatio, 5e-7);
        Assert.Equal(0, seat.Molten.Plane.TiltYRatio, 5e-7);
        Assert.Equal(32, seat.Molten.JoinedNumber);
        double[] forces = [2.117, 2.364, 2.242, 2.489];
        for (int k = 0; k < 4; k++)
        {
            Assert.Equal(forces[k], seat.Stops[k].ForceMilliN, 1.5e-3);
        }
    }

    /// <summary>The arrays as requests; <c>AR5 bare</c> is AR5 without solder on the lands.</summary>
    internal static JointRequest Request(string name) =>
        name switch
        {
            "AR1" => Seats.Request(Ring(0), [], 1.27, 2.0, 0),
            "AR3" => Seats.Request(Ring(0), Seats.Stops(0.55, (0, 0)), 1.27, 2.0, 0.10),
            "AR5" => Seats.Request(Ring(0.10), Seats.Stops(0.57, Four), 1.27, 2.0, 0.18),
            "AR5 bare" => Seats.Request(Ring(0), Seats.Stops(0.57, Four), 1.27, 2.0, 0.18),
            _ => Uneven(),
        };

    private static IEnumerable<JointSite> Ring(double dome) => Seats.Sites(Seats.Field(6, 4, 1.27), 0.76, 0.6, dome);

    private static JointRequest Uneven()
    {
        JointSite[] sites =
        [
            .. Seats
                .Sites(Seats.Field(6, 2, 0.8), 0.45, 0.4, 0.03)
                .Select(
                    (site, i) =>
                        site with
                        {
                            BallVolumeMm3 = site.BallVolumeMm3 * (1 + 0.03 * Math.Cos(2.1 * (i + 1))),
                            LandHeightMm = -0.01 * site.XMm,
                        }
                ),
        ];
        JointStop[] stops =
        [
            .. Seats
                .Stops(0.33, (-0.4, -0.4), (0.4, -0.4), (-0.4, 0.4), (0.4, 0.4))
                .Select(stop => stop with { StopHeightMm = stop.StopHeightMm - 0.01 * stop.XMm }),
        ];
        return Seats.Request(sites, stops, 0.8, 1.0, 0.05, (0.2, 0.1));
    }

    private static int[] Open(NominalSeat seat) =>
        [.. Enumerable.Range(0, seat.Joints.Count).Where(i => seat.Joints[i].Class.HasFlag(JointClass.Open))];
}
