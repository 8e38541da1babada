using System.Globalization;
using System.Text;
using Graftbench.Core.Calibrating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Calibrating;

public sealed class TrialLogTests
{
    private static string Log(Func<int, string> line, string heading = "timeS,board,top\n", int count = 60) =>
        heading + string.Concat(Enumerable.Range(0, count).Select(i => line(i) + "\n"));

    private static string Line(int i) => string.Create(CultureInfo.InvariantCulture, $"{i * 2},{22 + i},{22 + 2 * i}");

    [Fact]
    public void A_log_gives_its_channels_and_readings_from_the_start_of_the_heat()
    {
        TrialLog log = Read(Log(Line), startS: 10);
        Assert.Empty(log.Problems);
        Assert.Equal(["board", "top"], log.Channels);
        Assert.Equal((-10.0, 22.0), (log.Readings[0].TimeS, log.Readings[0].TemperatureC));
        Assert.Equal(
            (108.0, "top", 140.0),
            (log.Readings[^1].TimeS, log.Readings[^1].Channel, log.Readings[^1].TemperatureC)
        );
    }

    [Fact]
    public void Remarks_of_our_own_logs_are_left_out_and_open_probes_are_no_reading()
    {
        TrialLog log = Read("# heat run 12, started 2026\n# setup {}\n" + Log(i => i == 9 ? "18,,40" : Line(i)));
        Assert.Empty(log.Problems);
        Assert.Null(log.Readings.Single(one => one is { TimeS: 18, Channel: "board" }).TemperatureC);
    }

    [Theory]
    [InlineData("", "no table of temperatures")]
    [InlineData("hello\nworld\n", "no table of temperatures")]
    public void What_is_no_log_is_said(string text, string says) =>
        Assert.Contains(says, Assert.Single(Read(text).Problems), StringComparison.Ordinal);

    [Fact]
    public void A_clock_that_jumps_back_and_lines_that_do_not_read_are_said()
    {
        TrialLog log = Read(
            Log(
                i =>
                    i > 280 ? Line(i - 20)
                    : i is > 205 and < 250 ? "oops"
                    : Line(i),
                count: 300
            )
        );
        string said = string.Join('\n', log.Problems);
        Assert.Contains("jumps back", said, StringComparison.Ordinal);
        Assert.Contains("do not read", said, StringComparison.Ordinal);
    }

    [Fact]
    public void A_log_without_times_needs_to_be_told_their_distance()
    {
        string text = Log(
            i =>
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{22.5 + 3 * Math.Sin(i):0.0};{22.1 + Math.Sin(0.7 * i):0.0}"
                ),
            ""
        );
        Assert.Contains("carry no time that rises", Assert.Single(Read(text).Problems), StringComparison.Ordinal);
        TrialLog log = TrialLog.Read(Encoding.UTF8.GetBytes(text), 22, 0, 0.5);
        Assert.Empty(log.Problems);
        Assert.Equal(29.5, log.Readings[^1].TimeS);
    }

    [Fact]
    public void Bytes_of_any_sort_never_throw()
    {
        Random random = new(9);
        byte[] sound = Encoding.UTF8.GetBytes(Log(Line));
        for (int round = 0; round < 400; round++)
        {
            byte[] bytes = [.. sound.AsSpan(0, random.Next(sound.Length + 1))];
            for (int k = random.Next(30); k > 0 && bytes.Length > 0; k--)
            {
                bytes[random.Next(bytes.Length)] = (byte)random.Next(256);
            }
            TrialLog log = TrialLog.Read(bytes, 22);
            Assert.All(log.Readings, one => Assert.True(double.IsFinite(one.TimeS)));
            Assert.NotNull(TrialSetPoints.Read(Encoding.Latin1.GetString(bytes), HeatControl.Knobs, 22));
        }
    }

    [Fact]
    public void Set_points_hold_or_run_straight_as_the_bench_is_set()
    {
        const string Text = "seconds, gas, bottom heater\n0, , 150\n120, 220, -\n240, 280, 180\n";
        TrialSetPoints held = TrialSetPoints.Read(Text, HeatControl.Knobs, 22);
        Assert.Empty(held.Problems);
        Assert.Equal(22, Heating.SetPointsAt(held.Schedule!.Gas, 119));
        Assert.Equal(220, Heating.SetPointsAt(held.Schedule.Gas, 200));
        Assert.Equal(150, Heating.SetPointsAt(held.Schedule.Preheater, 239));
        TrialSetPoints ramps = TrialSetPoints.Read(Text, HeatControl.Ramps, 22);
        Assert.Equal(250, Heating.SetPointsAt(ramps.Schedule!.Gas, 180), 1e-9);
        HeatSchedulesEqual(
            held.Schedule,
            TrialSetPoints.Read(TrialSetPoints.Write(held.Schedule), HeatControl.Knobs, 22).Schedule!
        );
    }

    [Theory]
    [InlineData("", "unknown")]
    [InlineData("10, abc, 5", "line 1")]
    [InlineData("10, 20\n5, 30", "line 2")]
    [InlineData("10, 900, 20", "line 1")]
    [InlineData("10, 20, 30, 40", "line 1")]
    public void Set_points_that_cannot_be_read_are_said_line_by_line(string text, string says)
    {
        TrialSetPoints read = TrialSetPoints.Read(text, HeatControl.Ramps, 22);
        Assert.Null(read.Schedule);
        Assert.Contains(read.Problems, problem => problem.Contains(says, StringComparison.Ordinal));
    }

    private static void HeatSchedulesEqual(Core.Heating.HeatSchedule a, Core.Heating.HeatSchedule b)
    {
        foreach (double timeS in new double[] { 1, 50, 121, 239, 241, 400 })
        {
            Assert.Equal(Heating.SetPointsAt(a.Gas, timeS), Heating.SetPointsAt(b.Gas, timeS), 1e-9);
            Assert.Equal(Heating.SetPointsAt(a.Preheater, timeS), Heating.SetPointsAt(b.Preheater, timeS), 1e-9);
        }
    }

    private static TrialLog Read(string text, double startS = 0) =>
        TrialLog.Read(Encoding.UTF8.GetBytes(text), 22, startS);

    private static class Heating
    {
        public static double SetPointsAt(IReadOnlyList<SignalPoint> points, double timeS) =>
            Core.Heating.SetPoints.AtC(points, timeS);
    }
}
