using Graftbench.Core.Joints;
using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Tests.Joints;

/// <summary>Packages that several tests settle.</summary>
internal static class Seats
{
    /// <summary>A square field with an empty square in its middle, row by row from the lowest y.</summary>
    public static IEnumerable<(double X, double Y)> Field(int count, int empty, double pitch)
    {
        for (int row = 0; row < count; row++)
        {
            for (int column = 0; column < count; column++)
            {
                int edge = (count - empty) / 2;
                bool inside = row >= edge && row < count - edge && column >= edge && column < count - edge;
                if (empty == 0 || !inside)
                {
                    yield return ((column - (count - 1) / 2.0) * pitch, (row - (count - 1) / 2.0) * pitch);
                }
            }
        }
    }

    public static JointRequest Request(
        IEnumerable<JointSite> sites,
        IEnumerable<JointStop> stops,
        double pitch,
        double loadMilliN,
        double warpage,
        (double X, double Y) centre = default,
        JointSpread? spread = null,
        int trials = 200
    ) =>
        new(
            "chip U1",
            new JointSolder(0.5, 0, 7400, 1, 7400, "test"),
            [.. sites],
            [.. stops],
            true,
            new JointLoad(Units.WeightG(loadMilliN), 0, 0, centre.X, centre.Y),
            warpage,
            warpage,
            true,
            spread ?? new JointSpread(0, 0, 0, 0),
            pitch,
            null,
            new JointGoal(0.975, trials)
        );

    public static IEnumerable<JointSite> Sites(
        IEnumerable<(double X, double Y)> field,
        double ball,
        double pad,
        double dome = 0
    ) =>
        field.Select(
            (at, i) =>
                new JointSite(
                    $"B{i}",
                    at.X,
                    at.Y,
                    SolderCap.BallVolumeMm3(ball),
                    SolderCap.VolumeMm3(dome, pad / 2),
                    pad / 2,
                    pad / 2
                )
        );

    public static IEnumerable<JointStop> Stops(double stop, params (double X, double Y)[] at) =>
        at.Select((one, k) => new JointStop($"C{k}", one.X, one.Y, stop, 0));

    public static NominalSeat Settle(JointRequest request) =>
        JointNominal.Settle(request, JointTables.Create(request)!);
}
