using Graftbench.Core.Watching.Lines;

namespace Graftbench.Core.Tests.Watching.Lines;

public class SampleClockTests
{
    [Fact]
    public void Stamps_space_lines_that_arrive_in_bursts()
    {
        SampleClock clock = new();
        // Ten lines each second, a hundred milliseconds apart by the logger.
        double[] times = [.. Enumerable.Range(0, 30).Select(i => clock.NextS(100 + (i / 10), 7 + (0.1 * i), out _))];
        Assert.All(times.Skip(1).Zip(times), pair => Assert.Equal(0.1, pair.First - pair.Second, 1e-9));
    }

    [Fact]
    public void A_clock_that_jumps_is_set_anew_and_said_once_each_time()
    {
        SampleClock clock = new();
        clock.NextS(100, 10, out string? fine);
        double after = clock.NextS(101, 3611, out string? jumped);
        double next = clock.NextS(102, 3612, out string? again);
        Assert.Null(fine);
        Assert.Contains("3600", jumped, StringComparison.Ordinal);
        Assert.Null(again);
        Assert.Equal((101d, 102d), (after, next));
    }

    [Fact]
    public void A_clock_that_keeps_jumping_is_no_longer_used()
    {
        SampleClock clock = new();
        List<double> times = [];
        for (int i = 0; i < 20; i++)
        {
            times.Add(clock.NextS(i, i % 2 * 1000, out _));
        }
        Assert.True(clock.StampsIgnored);
        Assert.Equal(19, times[^1], 1e-9);
    }

    [Theory]
    [InlineData(new double[] { 5, 5, 5, 5 })]
    [InlineData(new double[] { 5, 4.5, 4, 3.5 })]
    [InlineData(new double[] { double.NaN, 5, double.NaN, 6 })]
    public void Times_always_rise(double[] stamps)
    {
        SampleClock clock = new();
        double last = double.NegativeInfinity;
        for (int i = 0; i < stamps.Length; i++)
        {
            double time = clock.NextS(10 + (0.1 * i), double.IsNaN(stamps[i]) ? null : stamps[i], out _);
            Assert.True(time > last);
            Assert.InRange(time, 10 - SampleClock.ToleranceS, 10.3 + SampleClock.ToleranceS);
            last = time;
        }
    }

    [Fact]
    public void Midnight_is_no_jump()
    {
        SampleClock clock = new();
        clock.NextS(100, 86_399.5, out _);
        double after = clock.NextS(101, 0.5, out string? note);
        Assert.Null(note);
        Assert.Equal(101, after, 1e-9);
        clock.NextS(102, 1.5, out note);
        Assert.Null(note);
    }
}
