using Graftbench.Core.Joints;

namespace Graftbench.Core.Tests.Joints;

/// <summary>What the choice of balls says of the shelf.</summary>
public class BallShelvesTests
{
    private static readonly Lazy<JointPlan> Plan = new(() =>
        JointPlanner.Plan(SmallArrayTests.Request("AR1") with { Goal = new JointGoal(0.975, 100, WithLevers: false) })
    );

    [Fact]
    public void Balls_and_stencils_that_fit_are_named()
    {
        string words = Of(0.76, Stock([new("Jar 7", 0.76, "SAC305")], [new("Plate 3", 0.85, 1.27)]), "SAC305");
        Assert.Equal("balls: Jar 7 (SAC305); stencil: Plate 3 (holes of 0.85 mm)", words);
    }

    [Theory]
    [InlineData(0.80, 1.00, "no stencil for them")] // the pitch of another package
    [InlineData(0.76, 1.27, "no stencil for them")] // no ball falls through its own diameter
    [InlineData(1.05, 1.27, "no stencil for them")] // two balls jam in it
    [InlineData(0.80, 1.27, "stencil: Plate 3")]
    [InlineData(0.80, null, "pitch not recorded")]
    public void A_stencil_suits_by_hole_and_pitch(double hole, double? pitch, string said) =>
        Assert.Contains(said, Of(0.76, Stock([], [new("Plate 3", hole, pitch)]), null), StringComparison.Ordinal);

    [Fact]
    public void Another_alloy_is_said_and_comes_last()
    {
        JointStock stock = Stock(
            [new("Old jar", 0.76, "Sn63Pb37"), new("Plain jar", 0.76, null), new("New jar", 0.76, "SAC305")],
            []
        );
        string words = Of(0.76, stock, "Sn96.5Ag3Cu0.5");
        Assert.StartsWith(
            "balls: New jar (SAC305), Old jar (Sn63Pb37, not the Sn96.5Ag3Cu0.5 of the job)",
            words,
            StringComparison.Ordinal
        );
        Assert.Contains("Plain jar (alloy not recorded)", words, StringComparison.Ordinal);
    }

    [Fact]
    public void What_has_no_size_on_record_is_unknown_and_named()
    {
        JointStock stock = Stock([], []) with { Unmeasured = ["Jar without label"] };
        Assert.Equal("no such balls; no stencil for them; no size recorded: Jar without label", Of(0.70, stock, null));
    }

    [Fact]
    public void An_answer_that_saw_no_shelf_says_nothing_of_it() =>
        Assert.All(Plan.Value.Balls, ball => Assert.Null(ball.OnShelf));

    private static JointStock Stock(BallStock[] balls, StencilStock[] stencils) => new(balls, stencils, []);

    private static string Of(double ball, JointStock stock, string? alloy) =>
        BallShelves
            .Mark(Plan.Value, stock, alloy)
            .Balls.Single(choice => Math.Abs(choice.BallDiameterMm - ball) < 1e-9)
            .OnShelf!;
}
