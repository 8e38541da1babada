using System.Globalization;
using Graftbench.Core.Joints;
using Graftbench.Core.Physics.Capillary;
using Graftbench.Core.Tests.Jobs;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Joints;

/// <summary>
/// Small uneven arrays against the minimum of total energy, made without any code of ours: joint energies by Surface Evolver,
/// the plane by SciPy's SLSQP (tests/corpus/joints/reference.py wrote arrays.csv).
/// </summary>
public class EnergyMinimumTests
{
    private static readonly (double X, double Y)[] Three = [(-1.27, -1.27), (1.27, -1.27), (0, 1.27)];
    private static readonly (double X, double Y)[] Square =
    [
        (-1.27, -1.27),
        (1.27, -1.27),
        (-1.27, 1.27),
        (1.27, 1.27),
    ];
    private static readonly (double X, double Y)[] Nine = [.. Seats.Field(3, 0, 1.27)];
    private static readonly int[] Mixed = [0, 1, 2, 1, 0, 2, 2, 0, 1];

    [Theory]
    [InlineData("three")]
    [InlineData("four-tilt")]
    [InlineData("nine")]
    [InlineData("nine-part")]
    [InlineData("nine-parts")]
    public void Plane_and_part_forces_are_those_of_least_energy(string name)
    {
        double[] expected = Row(name);
        JointRequest request = name switch
        {
            "three" => Case(Three, [0, 1, 2], 0, 0.3, (0.1, -0.2)),
            "four-tilt" => Case(Square, [0, 1, 0, 2], 0.02, 0.6, (0.3, 0.15)),
            "nine" => Case(Nine, Mixed, 0.03, 1.0, (0.2, 0.1)),
            "nine-part" => Case(Nine, Mixed, 0.03, 1.0, (0.2, 0.1), (0.3, 0.2, 0.55)),
            _ => Case(Nine, [0, 0, 0, 1, 0, 2, 0, 0, 0], 0.02, 1.5, (0, 0), (-0.6, 0.0, 0.54), (0.6, 0.1, 0.545)),
        };
        NominalSeat seat = Seats.Settle(request);
        Assert.Equal(request.Sites.Count, seat.Molten!.JoinedNumber);
        // The corner that is farthest off, by height and both tilts [µm].
        Truth.Note(
            "joints.seat",
            1000
                * (
                    Math.Abs(seat.Molten.Plane.GapMm - expected[0])
                    + request.Sites.Max(site => Math.Abs(site.XMm))
                        * Math.Abs(seat.Molten.Plane.TiltXRatio - expected[1])
                    + request.Sites.Max(site => Math.Abs(site.YMm))
                        * Math.Abs(seat.Molten.Plane.TiltYRatio - expected[2])
                )
        );
        Assert.Equal(expected[0], seat.Molten.Plane.GapMm, 1e-5);
        Assert.Equal(expected[1], seat.Molten.Plane.TiltXRatio, 1e-5);
        Assert.Equal(expected[2], seat.Molten.Plane.TiltYRatio, 1e-5);
        for (int k = 0; k < request.Stops.Count; k++)
        {
            // Theirs is a difference of energies over 0.2 µm.
            Assert.Equal(expected[3 + k], seat.Stops[k].ForceMilliN, 3e-3);
        }
    }

    private static double[] Row(string name) =>
        [
            .. File.ReadLines(Path.Combine(Corpus.Root, "tests/corpus/joints/arrays.csv"))
                .First(line => line.StartsWith(name + ",", StringComparison.Ordinal))
                .Split(',')
                .Skip(1)
                .Select(cell => double.Parse(cell, CultureInfo.InvariantCulture)),
        ];

    private static JointRequest Case(
        (double X, double Y)[] places,
        int[] which,
        double warpage,
        double load,
        (double, double) centre,
        params (double X, double Y, double Stop)[] parts
    )
    {
        double[] factors = [1, 1.04, 0.96];
        double ball = SolderCap.BallVolumeMm3(0.76);
        return Seats.Request(
            Seats.Sites(places, 0.76, 0.6).Select((site, i) => site with { BallVolumeMm3 = factors[which[i]] * ball }),
            parts.Select((part, k) => new JointStop($"C{k}", part.X, part.Y, part.Stop, 0)),
            1.27,
            load,
            warpage,
            centre
        );
    }
}
