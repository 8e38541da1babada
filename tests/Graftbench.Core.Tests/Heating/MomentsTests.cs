using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

public class MomentsTests
{
    private static readonly RectMm Chip = new(82.5, 117.5, 57.5, 92.5);

    [Theory]
    [InlineData(84, 59, "lower left corner")]
    [InlineData(116, 91, "upper right corner")]
    [InlineData(84, 75, "left side")]
    [InlineData(100, 91, "upper side")]
    [InlineData(100, 75, "middle")]
    public void Joints_are_told_by_where_they_lie(double xMm, double yMm, string expected) =>
        Assert.Equal(expected, Places.OfJoint(new HeatPlace("j", HeatPlaceKind.Joint, null, xMm, yMm, 0), Chip));

    [Theory]
    [InlineData(HeatPlaceKind.BoardTop, 122.5, 75, 0, "5 mm off the chip's right side, at mid-side, on the board")]
    [InlineData(HeatPlaceKind.BoardTop, 100, 49.5, 0, "8 mm off the chip's lower side, at mid-side, on the board")]
    [InlineData(HeatPlaceKind.Probe, 76.5, 49.5, 0, "10 mm off the chip's lower left corner, on the board")]
    [InlineData(HeatPlaceKind.Underside, 100, 75, -1.6, "on the board's underside, under the chip's middle")]
    [InlineData(HeatPlaceKind.BodyTop, 100, 75, 2, "on the chip's top, in the middle")]
    public void Probe_places_are_told_so_that_they_can_be_found(
        HeatPlaceKind kind,
        double xMm,
        double yMm,
        double zMm,
        string expected
    ) => Assert.Equal(expected, Places.OfProbe(new HeatPlace("p", kind, null, xMm, yMm, zMm), Chip));

    // Joints on straight lines, 2 and 1.9 K/s up to 110 s, then 1 K/s down: crossings by hand.
    [Fact]
    public void Moments_of_straight_lines_are_those_worked_out_by_hand()
    {
        HeatPlace[] places =
        [
            new("joint 1,1", HeatPlaceKind.Joint, "U1", 84, 91, 0),
            new("joint 9,1", HeatPlaceKind.Joint, "U1", 84, 59, 0),
            new("body top", HeatPlaceKind.BodyTop, "U1", 100, 75, 2),
        ];
        double[][] rows = [Row(2), Row(1.9), Row(2.1)];
        BoardHeatModel model = LumpedModels.Model([], new RectMm(80, 120, 55, 95), []) with { Chip = Chip };
        IReadOnlyList<HeatMoment> moments = Moments.Of(new HeatTrace(1, rows), places, model, 110, HeatTask.Lift);
        Assert.Equal(
            ["first-joint-melts", "all-joints-molten", "body-peak", "switch-off", "last-joint-solid"],
            moments.Select(one => one.Name)
        );
        // Molten at 220 °C: 195/2 and 195/1.9 s; solid again at 217 °C: 110 + (245 − 217)/1 s.
        Assert.Equal(97.5, moments[0].TimeS, 1e-9);
        Assert.Equal(195 / 1.9, moments[1].TimeS, 1e-9);
        Assert.Equal(110, moments[2].TimeS, 1e-9);
        Assert.Equal(138, moments[4].TimeS, 1e-9);
        Assert.Contains("upper left corner", moments[0].Text, StringComparison.Ordinal);
        Assert.Contains("lift from now on", moments[1].Text, StringComparison.Ordinal);
        HeatStage stage = new(1, "Hold", 0, 200, 300, 200, false, null);
        Assert.Contains(
            "about 1:38 first joints melt at the upper left corner",
            Moments.WithSights([stage], moments)[0].LookFor,
            StringComparison.Ordinal
        );

        static double[] Row(double slope) =>
            [.. Enumerable.Range(0, 181).Select(s => s <= 110 ? 25 + slope * s : 25 + slope * 110 - (s - 110))];
    }

    [Fact]
    public void A_joint_that_never_melts_is_not_said_to()
    {
        HeatPlace[] places = [new("joint 1,1", HeatPlaceKind.Joint, "U1", 84, 91, 0)];
        BoardHeatModel model = LumpedModels.Model([], Chip, []);
        IReadOnlyList<HeatMoment> moments = Moments.Of(
            new HeatTrace(
                1,
                [
                    [25, 100, 219],
                ]
            ),
            places,
            model,
            1,
            HeatTask.Place
        );
        Assert.DoesNotContain(moments, one => one.Name is "first-joint-melts" or "all-joints-molten");
    }
}
