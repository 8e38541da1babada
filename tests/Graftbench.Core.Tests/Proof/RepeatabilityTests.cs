using CsCheck;
using Graftbench.Core.Numerics;
using Graftbench.Core.Proof;

namespace Graftbench.Core.Tests.Proof;

public class RepeatabilityTests
{
    private const string Sheet = "project fact sheet on the trade, 3.2: 1 % over 100 nets, power 95 %";

    public static readonly TheoryData<double, double, int, string> Repeats = new()
    {
        // s [mV], shift [mV], repeats
        { 3, 18, 2, Sheet },
        { 3, 10, 6, Sheet },
        { 5, 18, 5, Sheet },
        { 5, 10, 15, Sheet },
        { 2, 18, 1, Sheet },
        { 2, 10, 3, Sheet },
    };

    [Theory, MemberData(nameof(Repeats))]
    public void So_many_repeats_are_needed(double spreadMilliV, double shiftMilliV, int expected, string source) =>
        Assert.True(new RepeatPlan(spreadMilliV, 100).Needed(shiftMilliV) == expected, source);

    [Fact]
    public void A_shift_that_is_seen_with_n_repeats_needs_n() =>
        Gen.Select(Gen.Double[0.5, 10], Gen.Int[1, 500], Gen.Int[1, 30])
            .Sample(
                (spread, nets, n) =>
                {
                    RepeatPlan plan = new(spread, nets);
                    double seen = plan.SeenShiftNumber(n, n);
                    return plan.Needed(seen * 1.0001) == n && plan.Needed(seen * 0.999) == n + 1;
                }
            );

    // Draws of a fixed sequence: the chance to pass the alarm without a shift, and to miss one that can just be seen.
    [Fact]
    public void False_alarms_and_misses_are_as_rare_as_asked()
    {
        RepeatPlan plan = new(3, 100);
        (double alarm, double seen) = (plan.AlarmShiftNumber(2, 2), plan.SeenShiftNumber(2, 2));
        Dice dice = new(11);
        double error = 3 * Math.Sqrt(1.0 / 2 + 1.0 / 2);
        int jobs = 20_000;
        int alarms = 0;
        int missed = 0;
        for (int job = 0; job < jobs; job++)
        {
            bool any = false;
            for (int net = 0; net < 100; net++)
            {
                any |= error * dice.Normal() > alarm;
            }
            alarms += any ? 1 : 0;
            missed += seen + (error * dice.Normal()) <= alarm ? 1 : 0;
        }
        // Four standard errors of a share counted over 20,000 jobs.
        Assert.Equal(0.01, (double)alarms / jobs, 4 * Math.Sqrt(0.01 * 0.99 / jobs));
        Assert.Equal(0.05, (double)missed / jobs, 4 * Math.Sqrt(0.05 * 0.95 / jobs));
    }

    [Fact]
    public void The_interval_holds_the_true_scatter_in_95_of_100()
    {
        Dice dice = new(5);
        int inside = 0;
        const int Trials = 2000;
        for (int trial = 0; trial < Trials; trial++)
        {
            List<Reading> readings = [];
            for (int net = 0; net < 10; net++)
            {
                double level = dice.Between(0.4, 0.7);
                readings.AddRange(
                    Enumerable.Range(0, 5).Select(_ => Diode($"N{net}", level + (0.003 * dice.Normal())))
                );
            }
            Repeatability found = Assert.Single(Repeatability.Of(ReadingSet.Of(readings)));
            Assert.Equal((40.0, 10), (found.FreedomNumber, found.Nets));
            inside += found.LeastNumber <= 0.003 && found.MostNumber >= 0.003 ? 1 : 0;
        }
        Assert.Equal(0.95, (double)inside / Trials, 4 * Math.Sqrt(0.95 * 0.05 / Trials));
    }

    // Worked by hand: spreads 1 and 3 mV of two and three repeats: s² = (1·1 + 2·9)/3.
    [Fact]
    public void Scatter_is_pooled_within_nets()
    {
        double root = Math.Sqrt(0.5);
        Repeatability found = Assert.Single(
            Repeatability.Of(
                ReadingSet.Of([
                    Diode("A", 0.5 - (0.001 * root)),
                    Diode("A", 0.5 + (0.001 * root)),
                    Diode("B", 0.597),
                    Diode("B", 0.600),
                    Diode("B", 0.603),
                ])
            )
        );
        Assert.Equal(Math.Sqrt(19.0 / 3) / 1000, found.SpreadNumber, 1e-12);
    }

    [Fact]
    public void Meters_and_persons_are_kept_apart() =>
        Assert.Equal(
            3,
            Repeatability
                .Of(
                    ReadingSet.Of([
                        .. new[] { ("M1", "ann"), ("M1", "bob"), ("M2", "ann") }.SelectMany(one =>
                            new[] { 0.5, 0.503 }.Select(v =>
                                Diode("A", v) with
                                {
                                    Meter = one.Item1,
                                    Person = one.Item2,
                                }
                            )
                        ),
                    ])
                )
                .Count
        );

    [Fact]
    public void Without_repeats_enough_the_estimate_counts_and_says_so()
    {
        Repeatability found = Repeatability.For(
            ReadingSet.Of([Diode("A", 0.5), Diode("A", 0.52)]),
            ReadingKind.Diode,
            null,
            ProofThresholds.Standard
        );
        Assert.Equal((0.003, false, "graftbench-estimate"), (found.SpreadNumber, found.Measured, found.Source));
    }

    [Fact]
    public void Repeats_that_contradict_each_other_do_not_widen_the_scatter()
    {
        List<Reading> readings = [];
        for (int net = 0; net < 12; net++)
        {
            readings.Add(Diode($"N{net}", 0.500));
            readings.Add(Diode($"N{net}", 0.502));
        }
        readings.Add(Diode("BAD", 0.3));
        readings.Add(Diode("BAD", 0.9));
        Repeatability found = Repeatability.For(
            ReadingSet.Of(readings),
            ReadingKind.Diode,
            null,
            ProofThresholds.Standard
        );
        Assert.Equal(0.002 / Math.Sqrt(2), found.SpreadNumber, 1e-9);
    }

    public static readonly TheoryData<int, double, string> Lost = new()
    {
        { 2, 17.8, "project fact sheet on the trade, 3.1: (kT/q) ln 2 at 25 °C" },
        { 3, 10.4, "project fact sheet on the trade, 3.1" },
        { 4, 7.4, "project fact sheet on the trade, 3.1" },
    };

    [Theory, MemberData(nameof(Lost))]
    public void A_lost_junction_raises_the_reading(int junctions, double milliV, string source) =>
        Assert.True(Math.Abs((1000 * Junctions.LostRiseV(junctions)) - milliV) < 0.05, source);

    [Fact]
    public void Three_times_the_current_is_28_mV() => Assert.Equal(0.028, Junctions.CurrentShiftV(1.5 / 0.5), 0.0005); // project fact sheet on the trade, 3.2

    public static readonly TheoryData<double, double, double> Injection = new()
    {
        // project fact sheet on the trade, 3.4
        { 0.05, 0.5, 0.32 },
        { 0.05, 0.05, 1.0 },
    };

    [Theory, MemberData(nameof(Injection))]
    public void So_much_current_heats_a_fault(double powerW, double faultOhm, double expectedA) =>
        Assert.Equal(expectedA, Junctions.InjectionCurrentA(powerW, faultOhm), 0.005);

    [Theory, InlineData(0.005, 2.04), InlineData(0.010, 4.08)]
    public void One_ball_of_fifty_changes_2_to_4_microohm(double ballOhm, double microOhm) =>
        // project fact sheet on the trade, 3.1: 2-4 microohm, 2 % of the value
        Assert.Equal(microOhm, 1e6 * Junctions.LostBallOhm(50, ballOhm), 0.005);

    [Fact]
    public void What_is_no_junction_is_refused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => Junctions.LostRiseV(1));
        Assert.Throws<ArgumentOutOfRangeException>(() => Junctions.InjectionCurrentA(0, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => Junctions.ThermalV(double.NaN));
    }

    private static Reading Diode(string net, double volts) =>
        new()
        {
            Net = net,
            Kind = ReadingKind.Diode,
            Value = MeterValue.Of(volts),
            State = ReadingState.Baseline,
        };
}
