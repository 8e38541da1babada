using Graftbench.Core.Joints;
using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Tests.Joints;

/// <summary>The errors of tension, density and swelling in the drawn packages, against the normal law done by hand.</summary>
public class SolderErrorTests
{
    private const double OneBelow = 0.1587; // Normal law: share more than one standard deviation below the mean.
    private const int Trials = 4000;
    private static readonly (double Tension, double Density)[] Melts = [(0.8, 1), (0.9, 1.02), (1.1, 0.98), (1.2, 1.1)];

    [Theory]
    [InlineData(0.76, 0.6, 0.6, 5e-5)]
    [InlineData(0.45, 0.4, 0.4, 3e-6)]
    [InlineData(0.635, 0.6, 0.5, 3e-4)]
    [InlineData(0.30, 0.25, 0.30, 3e-5)]
    public void One_table_serves_every_tension_and_density(double ball, double lower, double upper, double most)
    {
        // The table's Bond number is that of 0.50 N/m and 7400 kg/m³; the shift stands for the rest. A joint carries 0.1 mN.
        double worst = 0;
        foreach ((double tension, double density) in Melts)
        {
            JointSite site = new("1", 0, 0, SolderCap.BallVolumeMm3(ball), 0, upper / 2, lower / 2);
            JointRequest request = Seats.Request([site, site, site], [], 1.27, 1, 0);
            SeatField field = new(request, JointTables.Create(request)!)
            {
                TensionNPerM = 0.5 * tension,
                DensityKgPerM3 = 7400 * density,
            };
            field.Fill(request, hot: true);
            BridgeCase bridge = new(lower / 2, upper / 2, site.BallVolumeMm3, 0.5 * tension, 7400 * density);
            double free = SolderCap.TruncatedSphereHeightMm(site.BallVolumeMm3, lower / 2, upper / 2);
            for (double share = 0.75; share < 1.8; share += 0.05)
            {
                double exact = LiquidBridge.AtGap(bridge, share * free).Shape!.ForceMilliN;
                worst = Math.Max(worst, Math.Abs(field.Force(0, share * free, out _, out _) - exact));
            }
        }
        Assert.True(worst < most, $"{worst:0.0e+0} mN");
    }

    [Theory]
    [InlineData(0.76, 0.6, 0.6)]
    [InlineData(0.45, 0.4, 0.4)]
    [InlineData(0.30, 0.25, 0.30)]
    public void The_tables_of_a_request_hold_exact_forces_up_to_heaped_lands(double ball, double lower, double upper)
    {
        double worst = 0;
        foreach (double dome in new[] { 0, 0.02, 0.06, 0.12 })
        {
            JointSite site = new(
                "1",
                0,
                0,
                SolderCap.BallVolumeMm3(ball),
                SolderCap.VolumeMm3(dome, lower / 2),
                upper / 2,
                lower / 2
            );
            // As the search for the least dome does: the tables are those of bare lands.
            JointRequest bare = Seats.Request(Enumerable.Repeat(site with { DomeVolumeMm3 = 0 }, 3), [], 1.27, 1, 0);
            JointRequest request = bare with { Sites = [site, site, site] };
            SeatField field = new(request, JointTables.Create(bare)!);
            field.Fill(request, hot: true);
            Assert.False(field.Outside);
            BridgeCase bridge = JointChanges.Bridge(request, site);
            double free = SolderCap.TruncatedSphereHeightMm(bridge.VolumeMm3, lower / 2, upper / 2);
            for (double share = 0.71; share < 1.8; share += 0.03)
            {
                double exact = LiquidBridge.AtGap(bridge, share * free).Shape!.ForceMilliN;
                worst = Math.Max(worst, Math.Abs(field.Force(0, share * free, out _, out _) - exact));
            }
        }
        Assert.True(worst < 2e-6, $"{worst:0.0e+0} mN");
    }

    [Fact]
    public void Under_a_load_just_short_of_spilling_a_low_tension_spills_every_joint_at_once()
    {
        // The load that spills is proportional to the tension: at nine tenths of it, one standard deviation of 10 % spills.
        BridgeCase bridge = new(0.3, 0.3, SolderCap.BallVolumeMm3(0.76), 0.5, 7400);
        JointRequest request = Seats.Request(
            Seats.Sites(Seats.Field(4, 0, 1.27), 0.76, 0.6),
            [],
            1.27,
            0.9 * 16 * BridgeLimits.Spill(bridge)!.Value.ForceMilliN,
            0
        );
        request = request with { Solder = request.Solder with { TensionErrorPercent = 20 } };
        JointTables tables = JointTables.Create(request)!;
        JointChance chance = JointChances.Draw(request, tables, Trials);
        Assert.Equal(OneBelow, chance.SpillFraction, 4 * Math.Sqrt(OneBelow * (1 - OneBelow) / Trials) + 0.005);
        DrawnSeat seat = new(request, tables, NeighbourPairs.Of(request.Sites, 1.27));
        Assert.All(
            Enumerable.Range(0, 200).Select(trial => seat.Next(1, trial).Spilled),
            spilled => Assert.True(spilled is 0 or 16, $"{spilled} of 16")
        );
    }

    [Fact]
    public void On_parts_a_low_swelling_opens_every_joint_at_once()
    {
        // Parts hold the package where the reach of one standard deviation less swelling ends.
        double volume = SolderCap.BallVolumeMm3(0.76);
        double stop = SolderCap.HeightMm(volume * (1.042 - 0.0085), 0.3);
        JointRequest request = Seats.Request(
            Seats.Sites(Seats.Field(4, 0, 1.27), 0.76, 0.6),
            Seats.Stops(stop, (-0.6, -0.6), (0.6, -0.6), (-0.6, 0.6), (0.6, 0.6)),
            1.27,
            1.6,
            0
        );
        request = request with { Solder = request.Solder with { SwellingFactor = 1.042, SwellingErrorPercent = 1.7 } };
        JointChance chance = JointChances.Draw(request, JointTables.Create(request)!, Trials);
        double error = Math.Sqrt(OneBelow * (1 - OneBelow) / Trials);
        Assert.Equal(1 - OneBelow, chance.AllJoinedFraction, 4 * error);
        Assert.Equal(Trials, chance.Trials);
        Assert.Equal(error, chance.AllJoinedErrorFraction, 0.1 * error);
        Assert.Equal(OneBelow, chance.OpenShareFraction, 4 * error);
    }

    [Fact]
    public void The_gap_is_said_for_both_ends_of_the_tension()
    {
        // Project fact sheet 'seating mechanics', below 3.4: 0.40 / 0.50 / 0.55 N/m give 0.506 / 0.511 / 0.513 mm.
        JointRequest request = Seats.Request(Seats.Sites(Seats.Field(4, 0, 1.27), 0.76, 0.6), [], 1.27, 1.6, 0);
        MoltenSeat Molten(double errorPercent) =>
            JointPlanner
                .Plan(
                    request with
                    {
                        Solder = request.Solder with { TensionErrorPercent = errorPercent },
                        Goal = new JointGoal(0.975, 100, WithLevers: false),
                    }
                )
                .Molten!;
        Assert.Equal(0.511, Molten(20).Plane.GapMm, 0.6e-3);
        Assert.Equal(0.506, Molten(20).LeastGapMm!.Value, 0.6e-3);
        Assert.Equal(0.513, Molten(10).MostGapMm!.Value, 0.6e-3);
    }
}
