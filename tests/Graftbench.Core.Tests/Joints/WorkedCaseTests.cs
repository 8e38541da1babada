using System.Diagnostics;
using Graftbench.Core.Joints;
using Graftbench.Core.Physics.Capillary;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Joints;

/// <summary>
/// Worked cases of project fact sheet "seating mechanics", 6.1 and 6.2: share of open joints, mean of 12 random packages there
/// (independent calculation). That calculation steps by 0.004 mm and runs past the parts' stop before it is pushed back, so that
/// it joins what lies up to 0.004 mm too far; with the same overshoot ours gives its figures within the scatter. Without it, as
/// the product computes, a few more stay open: flat, stop height 0.63, the margin of 0.0127 mm and a spread of 0.0096 mm leave
/// 9.3 % open by the normal law alone; the sheet says 6.4 %.
/// </summary>
public class WorkedCaseTests(ITestOutputHelper output)
{
    // Open joints [%] by warpage, and the load on the parts at the first warpages where the sheet prints it [mN].
    public static TheoryData<string, double, double[], double[]> Cases =>
        new()
        {
            { "A", 0, [0, 0, 0, 0, 0, 0, 0], [] },
            { "A", 0.55, [0, 0, 1.7, 18, 43, 0, 0], [89, 128, 158] },
            { "A", 0.58, [0, 0.2, 17, 52, 73, 0, 0], [141] },
            { "A", 0.60, [0, 5.6, 49, 77, 90, 0, 0], [170] },
            { "A", 0.63, [6.4, 73, 95, 99, 100, 0.07, 0], [193] },
            { "B", 0, [0, 0, 0, 1.6, 6.5, 0, 0.2], [] },
            { "B", 0.30, [0, 0.03, 14, 38, 56, 0, 0.2], [76] },
            { "B", 0.33, [0, 13, 53, 73, 82, 0, 0.2], [148] },
            { "B", 0.35, [3.1, 65, 87, 94, 96, 0.03, 0.2], [172] },
            { "B", 0.37, [81, 99, 100, 100, 100, 6.2, 1.6], [] },
        };

    private static readonly double[] Warpages = [0, 0.05, 0.10, 0.15, 0.20, -0.10, -0.20];

    [Theory, MemberData(nameof(Cases))]
    public void Open_joints_and_load_on_parts_of_bare_pads(
        string name,
        double stop,
        double[] openPercent,
        double[] onStopsMilliN
    )
    {
        Stopwatch clock = Stopwatch.StartNew();
        List<string> wrong = [];
        for (int i = 0; i < Warpages.Length; i++)
        {
            JointRequest request = Case(name, stop, Warpages[i], 0, 0.25);
            JointChance chance = JointChances.Draw(request, JointTables.Create(request)!, 200, overshootMm: 0.004);
            double open = 100 * chance.OpenShareFraction;
            output.WriteLine(
                $"{name} stop {stop} warpage {Warpages[i]}: {open:0.00} % against {openPercent[i]}, load {chance.OnStopsMilliN:0}, not settled {chance.NotSettledNumber}, outside {chance.OutsideTableNumber}, {clock.ElapsedMilliseconds} ms"
            );
            // Spread of one package (from the draws) over the root of their 12, three times, and their rounding.
            double scatter = 3 * 100 * chance.OpenShareErrorFraction * Math.Sqrt(200.0 / 12 + 1);
            if (Math.Abs(open - openPercent[i]) > scatter + Math.Max(0.6, 0.03 * openPercent[i]))
            {
                wrong.Add($"{Warpages[i]}: {open:0.00} against {openPercent[i]} ± {scatter:0.0}");
            }
            if (i < onStopsMilliN.Length && Math.Abs(chance.OnStopsMilliN - onStopsMilliN[i]) > 1.5)
            {
                wrong.Add($"{Warpages[i]}: parts carry {chance.OnStopsMilliN:0.0} against {onStopsMilliN[i]} mN");
            }
        }
        Assert.True(wrong.Count == 0, string.Join("; ", wrong));
    }

    [Fact]
    public void Flat_on_parts_the_share_of_open_joints_is_that_of_the_normal_law()
    {
        // Parts fix the plane, so a joint is open when its reach falls short: mean margin and spread by hand.
        JointRequest request = Case("A", 0.63, 0, 0, 0.25);
        JointChance chance = JointChances.Draw(request, JointTables.Create(request)!, 400);
        double height = SolderCap.HeightMm(SolderCap.BallVolumeMm3(0.76), 0.3);
        double square = 0.09 + height * height;
        double byBall = 0.76 * 0.76 / square * (0.02 / 3);
        double byRadius = 2 * 0.3 * height / square * 0.004;
        double spread = Math.Sqrt(byBall * byBall + byRadius * byRadius + 0.005 * 0.005);
        double expected = NormalBelow(-(height - 0.63) / spread);
        Assert.Equal(0.093, expected, 2e-3);
        Truth.Note("joints.chance", 100 * (chance.OpenShareFraction - expected));
        Assert.Equal(expected, chance.OpenShareFraction, 4 * chance.OpenShareErrorFraction + 1e-3);
    }

    // Abramowitz and Stegun 26.2.17, |error| < 7.5e-8.
    internal static double NormalBelow(double x)
    {
        double t = 1 / (1 + 0.2316419 * Math.Abs(x));
        double tail =
            Math.Exp(-x * x / 2)
            / Math.Sqrt(2 * Math.PI)
            * t
            * (0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
        return x < 0 ? tail : 1 - tail;
    }

    /// <summary>Cases A and B of section 6.</summary>
    internal static JointRequest Case(string name, double stop, double warpage, double dome, double cv)
    {
        bool a = name == "A";
        double pitch = a ? 1.27 : 0.8;
        double pad = a ? 0.6 : 0.4;
        int across = a ? 4 : 3;
        double apart = a ? 3.0 : 2.4;
        IEnumerable<JointStop> stops = stop <= 0 ? [] : Seats.Stops(stop, [.. Seats.Field(across, 0, apart)]);
        return Seats.Request(
            Seats.Sites(Seats.Field(26, a ? 14 : 10, pitch), a ? 0.76 : 0.45, pad, dome),
            stops,
            pitch,
            a ? 49 : 20,
            warpage,
            spread: new JointSpread(a ? 0.02 / 3 : 0.01 / 3, 0.004, 0.005, 100 * cv)
        );
    }
}
