using Graftbench.Core.Heating;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Tests.Watching;

public sealed class CueBookTests
{
    private const double MoltenC = 220;
    private const double SolidusC = 217;

    private static readonly WatchAhead Nothing = new(false, 240, null, null, null, []);

    [Fact]
    public void Lift_comes_after_the_asked_time_and_the_guard_and_goes_at_once()
    {
        CueBook book = new(new WatchGoals(HeatTask.Lift, 8), MoltenC, SolidusC);
        List<(double TimeS, CueKind Kind)> shown = [];
        for (int k = 1; k <= 60; k++)
        {
            // The lower end passes full melt from 20 s on and falls short of it from 41 s on.
            double low = k is >= 20 and <= 40 ? 220.1 : 219.5;
            shown.Add((k, book.Take(At(k, 224, low), Nothing).Kind));
        }
        List<double> lifts = [.. shown.Where(one => one.Kind == CueKind.Lift).Select(one => one.TimeS)];
        Assert.Equal(20 + 8 + 5, lifts[0]);
        Assert.Equal(40, lifts[^1]);
        Assert.Equal(CueKind.Hold, shown[40].Kind);
    }

    [Theory]
    [InlineData(HeatTask.Lift, CueKind.Lift)]
    [InlineData(HeatTask.Place, CueKind.LetSettle)]
    [InlineData(HeatTask.AttachBalls, CueKind.LetSettle)]
    public void The_task_says_what_molten_means(HeatTask task, CueKind expected)
    {
        CueBook book = new(new WatchGoals(task, 5), MoltenC, SolidusC);
        WatchCue cue = book.Take(At(0, 230, 225), Nothing);
        for (int k = 1; k <= 12; k++)
        {
            cue = book.Take(At(k, 230, 225), Nothing);
        }
        Assert.Equal(expected, cue.Kind);
    }

    [Theory]
    [InlineData(WatchTrust.Settling)]
    [InlineData(WatchTrust.NotTrusted)]
    [InlineData(WatchTrust.CannotTell)]
    public void Without_trust_there_is_no_lift_however_hot(WatchTrust trust)
    {
        CueBook book = new(new WatchGoals(HeatTask.Lift, 5), MoltenC, SolidusC);
        for (int k = 1; k <= 200; k++)
        {
            WatchCue cue = book.Take(At(k, 260, 250) with { Trust = trust, Reasons = ["A reason."] }, Nothing);
            Assert.NotEqual(CueKind.Lift, cue.Kind);
        }
    }

    [Fact]
    public void One_second_of_doubt_or_a_hole_starts_the_time_anew()
    {
        foreach (bool hole in new[] { false, true })
        {
            CueBook book = new(new WatchGoals(HeatTask.Lift, 10), MoltenC, SolidusC);
            for (int k = 1; k <= 14; k++)
            {
                book.Take(At(k, 230, 225), Nothing);
            }
            int next = hole ? 30 : 15;
            LiveEstimate odd = At(next, 230, 225);
            book.Take(hole ? odd : odd with { Trust = WatchTrust.NotTrusted, Reasons = ["A reason."] }, Nothing);
            for (int k = next + 1; k < next + 15; k++)
            {
                Assert.NotEqual(CueKind.Lift, book.Take(At(k, 230, 225), Nothing).Kind);
            }
        }
    }

    [Fact]
    public void After_the_melt_the_way_down_asks_for_no_further_heat_and_says_when_it_is_solid()
    {
        CueBook book = new(new WatchGoals(HeatTask.Place, 10), MoltenC, SolidusC);
        List<(double AtC, CueKind Kind)> down = [];
        // Up to 235 °C at 1 K/s, thirty seconds there, then down at 1 K/s: without the turn it would say "soak is enough" again.
        for (int k = 0; k <= 400; k++)
        {
            double atC = k < 205 ? 30 + k : Math.Max(60, 235 - Math.Max(0, k - 235));
            CueKind kind = book.Take(At(k, atC, atC - 3), Nothing).Kind;
            if (k > 245)
            {
                down.Add((atC, kind));
            }
        }
        Assert.DoesNotContain(
            down,
            one => one.Kind is CueKind.SoakEnough or CueKind.PreheatReached or CueKind.FirstJointsMelt or CueKind.Wait
        );
        Assert.Contains(down, one => one.Kind == CueKind.Freezing);
        // 30 K of undercooling below the solidus (from memory: 10 to 30 K for small joints of tin), and the band on top.
        double firstSolidC = down.First(one => one.Kind == CueKind.Solid).AtC;
        Assert.InRange(firstSolidC, SolidusC - 30 - 15, SolidusC - 30);
        Assert.Equal(CueKind.Solid, down[^1].Kind);
    }

    [Fact]
    public void A_second_heat_after_cooling_is_watched_like_the_first()
    {
        CueBook book = new(new WatchGoals(HeatTask.Place, 5), MoltenC, SolidusC);
        for (int k = 0; k <= 60; k++)
        {
            book.Take(At(k, 235 - k, 232 - k), Nothing);
        }
        CueKind last = CueKind.Wait;
        for (int k = 61; k <= 140; k++)
        {
            last = book.Take(At(k, Math.Min(235, 175 + (k - 60)), Math.Min(232, 172 + (k - 60))), Nothing).Kind;
        }
        Assert.Equal(CueKind.LetSettle, last);
    }

    [Fact]
    public void Random_estimates_never_lift_early()
    {
        Core.Numerics.Dice dice = new(11);
        for (int run = 0; run < 300; run++)
        {
            double asked = dice.Between(1, 20);
            CueBook book = new(new WatchGoals(HeatTask.Lift, asked), MoltenC, SolidusC);
            double time = 0;
            double? since = null;
            for (int k = 0; k < 300; k++)
            {
                time += dice.Uniform() < 0.02 ? 20 : 1;
                double low = 219 + 3 * dice.Uniform() + (k > 100 ? 1.2 : 0);
                WatchTrust trust = dice.Uniform() < 0.03 ? WatchTrust.NotTrusted : WatchTrust.Trusted;
                bool sure = trust == WatchTrust.Trusted && low >= MoltenC;
                since = sure ? since ?? time : null;
                WatchCue cue = book.Take(
                    At(time, low + 3, low) with
                    {
                        Trust = trust,
                        Reasons = ["A reason."],
                    },
                    Nothing
                );
                if (cue.Kind == CueKind.Lift)
                {
                    Assert.True(since is double from && time - from >= asked, $"{run} {k}");
                }
            }
        }
    }

    [Fact]
    public void Cues_come_in_the_order_of_a_heat_and_do_not_flicker()
    {
        CueBook book = new(new WatchGoals(HeatTask.Lift, 5), MoltenC, SolidusC);
        Core.Numerics.Dice dice = new(3);
        List<CueKind> shown = [];
        for (int k = 1; k <= 320; k++)
        {
            // 25 to 165 °C, held, then to 232 °C, with a noise that crosses every threshold several times.
            double there = Math.Max(Math.Min(25 + 0.95 * k, 165), Math.Min(0.95 * k - 60, 232)) + 0.8 * dice.Normal();
            CueKind kind = book.Take(At(k, there, there - 6, hottest: there + 12), Nothing).Kind;
            if (shown.Count == 0 || shown[^1] != kind)
            {
                shown.Add(kind);
            }
        }
        Assert.Equal(
            [
                CueKind.Wait,
                CueKind.PreheatReached,
                CueKind.SoakEnough,
                CueKind.FirstJointsMelt,
                CueKind.Hold,
                CueKind.Lift,
            ],
            shown
        );
    }

    [Fact]
    public void Too_fast_a_ramp_is_said_and_taken_back_below_its_limit()
    {
        CueBook book = new(new WatchGoals(HeatTask.Place, 30), MoltenC, SolidusC);
        double top = 30;
        List<(int K, CueKind Kind)> shown = [];
        for (int k = 1; k <= 80; k++)
        {
            top += k is > 20 and <= 40 ? 3.6 : 1.5;
            shown.Add((k, book.Take(At(k, 60, 55, top: top), Nothing).Kind));
        }
        Assert.Contains(shown, one => one is { K: > 28 and < 40, Kind: CueKind.RampTooFast });
        Assert.DoesNotContain(shown, one => one is { K: < 25 or > 55, Kind: CueKind.RampTooFast });
    }

    [Fact]
    public void A_limit_before_the_melt_is_told_and_at_the_limit_it_is_stop()
    {
        CueBook book = new(new WatchGoals(HeatTask.Place, 30), MoltenC, SolidusC);
        WatchCue cue = book.Take(At(0, 200, 195), Nothing);
        for (int k = 1; k <= 10; k++)
        {
            cue = book.Take(At(k, 200, 195), Ahead(28, 70));
        }
        Assert.Equal(CueKind.LimitFirst, cue.Kind);
        Assert.Contains("C12", cue.Headline, StringComparison.Ordinal);
        Assert.Equal(28, cue.LeftS);
        // After the melt it is no matter.
        for (int k = 11; k <= 20; k++)
        {
            cue = book.Take(At(k, 200, 195), Ahead(28, 20));
        }
        Assert.NotEqual(CueKind.LimitFirst, cue.Kind);
        Assert.Equal(CueKind.StopNow, book.Take(At(21, 200, 195), Ahead(0, 20)).Kind);
    }

    [Fact]
    public void Doubt_is_told_with_its_reasons()
    {
        CueBook book = new(new WatchGoals(HeatTask.Place, 30), MoltenC, SolidusC);
        WatchCue cue = book.Take(At(0, 180, 175), Nothing);
        for (int k = 1; k <= 8; k++)
        {
            cue = book.Take(At(k, 180, 175) with { Trust = WatchTrust.CannotTell, Reasons = ["Why."] }, Nothing);
        }
        Assert.Equal(CueKind.CannotTell, cue.Kind);
        Assert.Equal("Why.", cue.Detail);
    }

    private static WatchAhead Ahead(double limitInS, double meltInS) =>
        new(
            false,
            240,
            meltInS / 2,
            meltInS,
            null,
            [new LimitAhead("C12 body", "C12", 180, true, limitInS, limitInS / 2, false)]
        );

    private static LiveEstimate At(
        double timeS,
        double coldestC,
        double lowC,
        double? hottest = null,
        double? top = null
    )
    {
        PlaceEstimate Place(string name, double estimateC, double bottomC) =>
            new(name, name, new TemperatureBand(estimateC, bottomC, 2 * estimateC - bottomC), 1);
        double hottestC = hottest ?? coldestC + 5;
        return new LiveEstimate(
            timeS,
            Place("joint 1,1", coldestC, lowC),
            Place("joint 3,3", hottestC, hottestC - coldestC + lowC),
            [],
            top is double topC ? Place("body top", topC, topC - 5) : null,
            [],
            new LearnedFactors(1, 0.1, 1, 0.1),
            [],
            200,
            200,
            WatchTrust.Trusted,
            [],
            0
        );
    }
}
