using Graftbench.Core.Heating;

namespace Graftbench.Core.Tests.Heating;

public class StageTitlesTests
{
    [Theory]
    // Melts and is molten inside the last stage: not before that does it hold.
    [InlineData(HeatTask.Place, 210, 240, "Warm the board|Warm further|Bring near melting|Melt the joints, then hold")]
    [InlineData(HeatTask.Place, 130, 150, "Warm the board|Bring near melting|Melt the joints|Hold, every joint molten")]
    // A stage that begins 3 s before the last joint melts is the hold.
    [InlineData(HeatTask.Place, 150, 203, "Warm the board|Bring near melting|Go on melting|Hold, every joint molten")]
    [InlineData(HeatTask.Lift, 210, 240, "Warm the board|Warm further|Bring near melting|Melt the joints, then lift")]
    [InlineData(HeatTask.Lift, 130, 150, "Warm the board|Bring near melting|Melt the joints|Every joint molten: lift")]
    [InlineData(
        HeatTask.AttachBalls,
        210,
        240,
        "Warm the chip|Warm further|Bring near melting|Melt the balls, then hold"
    )]
    // Some joints melt, others never do.
    [InlineData(
        HeatTask.Place,
        150,
        null,
        "Warm the board|Bring near melting|Go on melting|Hold: not everything melts"
    )]
    [InlineData(HeatTask.Place, null, null, "Warm the board|Warm further|Warm through|Hold: not everything melts")]
    public void A_stage_is_called_what_happens_in_it(HeatTask task, int? firstS, int? allS, string titles)
    {
        List<HeatMoment> moments = [];
        if (firstS is { } first)
        {
            moments.Add(new HeatMoment(first, HeatMoments.FirstMelts, "", null));
        }
        if (allS is { } all)
        {
            moments.Add(new HeatMoment(all, HeatMoments.AllMolten, "", null));
        }
        Assert.Equal(titles, string.Join('|', StageTitles.Of(task, [60, 30, 110, 70], moments)));
    }
}
