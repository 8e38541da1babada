using Graftbench.Core.Calibrating;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Calibrating;

public sealed class CalibratorTests
{
    [Fact]
    public void A_trial_teaches_the_films_within_what_it_states()
    {
        CalibrationResult result = CalibrationBench.Result;
        Assert.Equal(CalibrationState.Trusted, result.State);
        HeatFactors truth = CalibrationBench.Truth.Factors;
        void Near(string factor, double there)
        {
            LearnedNumber one = result.Numbers.Single(number => number.Factor == factor);
            Assert.InRange(Math.Log(there / one.Ratio) / one.LogSdRatio, -2.5, 2.5);
            Assert.True(one.LogSdRatio <= one.PriorLogSdRatio * 1.0001, factor);
        }
        Near(nameof(HeatFactors.TopFactor), truth.TopFactor);
        Near(nameof(HeatFactors.SpillFactor), truth.SpillFactor);
        Near(nameof(HeatFactors.BottomFactor), truth.BottomFactor);
        Near(nameof(HeatFactors.AmbientFactor), truth.AmbientFactor);
        LearnedNumber top = result.Numbers.Single(one => one.Factor == nameof(HeatFactors.TopFactor));
        Assert.Equal((LearnedShare.Learned, true, 100.0), (top.Share, top.OfBench, top.BaseNumber));
        Assert.True(result.ResidualDeltaK < 0.6);
        Assert.All(result.Residuals, one => Assert.True(one.AfterDeltaK < one.BeforeDeltaK));
    }

    [Fact]
    public void What_it_cannot_tell_is_said()
    {
        CalibrationResult result = CalibrationBench.Result;
        Assert.Contains(result.Numbers, one => one is { OfBench: true, Share: LearnedShare.Not });
        Assert.All(
            result.Numbers.Where(one => one.Factor == nameof(HeatFactors.SubstrateConductivityFactor)),
            one => Assert.False(one.OfBench)
        );
        Assert.All(result.Pairs, one => Assert.InRange(Math.Abs(one.CorrelationRatio), 0.7, 1));
        Assert.All(result.Pairs, one => Assert.True(one.TogetherLogSdRatio < one.ApartLogSdRatio));
        Assert.Contains(result.Notes, note => note.Contains("does not prove", StringComparison.Ordinal));
    }

    [Fact]
    public void The_rest_of_the_trial_and_each_left_out_probe_are_forecast_better_than_before()
    {
        ForecastGain gain = CalibrationBench.Result.Gain!;
        Assert.True(gain.SecondHalfAfterDeltaK < 0.5 * gain.SecondHalfBeforeDeltaK);
        Assert.True(gain.ColdestAfterDeltaK < gain.OtherBoardDeltaK);
        Assert.True(gain.OtherBoardDeltaK < gain.ColdestBeforeDeltaK);
        double trueC = CalibrationBench.Heat.ColdestC.Max();
        Assert.InRange(
            trueC,
            gain.ColdestAfterC - 2.5 * gain.ColdestAfterDeltaK,
            gain.ColdestAfterC + 2.5 * gain.ColdestAfterDeltaK
        );
        Truth.Note("heat.calibration", gain.ColdestAfterC - trueC);
        Assert.True(Math.Abs(gain.ColdestAfterC - trueC) < Math.Abs(gain.ColdestBeforeC - trueC));
        Assert.All(CalibrationBench.Result.Residuals, one => Assert.NotNull(one.LeftOutDeltaK));
    }

    [Fact]
    public void A_bench_that_is_as_assumed_comes_out_as_assumed()
    {
        SimulatedHeat heat = SimulatedBench.Run(
            CalibrationBench.Watch.Setup,
            CalibrationBench.Set,
            new BenchTruth(),
            rough: true,
            TestContext.Current.CancellationToken
        );
        CalibrationResult result = Fit(CalibrationBench.Request with { Readings = heat.Readings });
        Assert.Equal(CalibrationState.Trusted, result.State);
        Assert.All(result.Numbers, one => Assert.True(Math.Abs(Math.Log(one.Ratio)) < 2 * one.LogSdRatio, one.Title));
    }

    [Fact]
    public void Errors_that_last_widen_the_uncertainty_more_than_noise_of_the_same_size()
    {
        double Sd(Func<double, int, double> error)
        {
            ProbeReading[] readings =
            [
                .. CalibrationBench.Heat.Readings.Select(
                    (one, i) => one with { TemperatureC = one.TemperatureC + error(one.TimeS, i) }
                ),
            ];
            return Fit(CalibrationBench.Request with { Readings = readings })
                .Numbers.Single(one => one.Factor == nameof(HeatFactors.TopFactor))
                .LogSdRatio;
        }
        double white = Sd((_, i) => i % 2 == 0 ? 2 : -2);
        double lasting = Sd((timeS, _) => 2 * Math.Sin(2 * Math.PI * timeS / 150));
        Assert.True(lasting > 1.2 * white, $"{lasting} {white}");
    }

    public static readonly TheoryData<string, string> Contradictions = new()
    {
        { "the gas was hotter by half than was said", "cannot be explained" },
        { "two probes are swapped", "cannot be explained" },
        { "the probe on the chip hangs in the gas", "cannot be explained" },
    };

    [Theory, MemberData(nameof(Contradictions))]
    public void What_the_model_cannot_explain_is_said_and_nothing_is_kept(string what, string says)
    {
        CalibrationRequest request = CalibrationBench.Request;
        request = what switch
        {
            _ when what.StartsWith("the gas", StringComparison.Ordinal) => request with
            {
                SetPoints = request.SetPoints! with
                {
                    Gas =
                    [
                        .. request.SetPoints.Gas.Select(one =>
                            one with
                            {
                                TemperatureC = 22 + (one.TemperatureC - 22) / 1.6,
                            }
                        ),
                    ],
                },
            },
            _ when what.StartsWith("two", StringComparison.Ordinal) => request with
            {
                Readings =
                [
                    .. request.Readings.Select(one =>
                        one with
                        {
                            Channel =
                                one.Channel == "top" ? "far"
                                : one.Channel == "far" ? "top"
                                : one.Channel,
                        }
                    ),
                ],
            },
            _ => request with
            {
                Readings =
                [
                    .. request.Readings.Select(one =>
                        one.Channel == "top"
                            ? one with
                            {
                                TemperatureC =
                                    0.6 * one.TemperatureC + 0.4 * SetPoints.AtC(request.SetPoints!.Gas, one.TimeS),
                            }
                            : one
                    ),
                ],
            },
        };
        CalibrationResult result = Fit(request);
        Assert.Equal(CalibrationState.NotExplained, result.State);
        Assert.Contains(says, result.Answer, StringComparison.Ordinal);
        Assert.NotEmpty(result.Problems);
        Assert.Null(result.Calibration);
        Assert.NotEmpty(result.Residuals);
    }

    [Fact]
    public void A_nozzle_that_nobody_checked_leaves_its_film_in_more_doubt()
    {
        CalibrationResult loose = Fit(CalibrationBench.Request with { AlignmentChecked = false });
        LearnedNumber Top(CalibrationResult of) =>
            of.Numbers.Single(one => one.Factor == nameof(HeatFactors.TopFactor));
        Assert.True(Top(loose).LogSdRatio > Top(CalibrationBench.Result).LogSdRatio + 0.02);
        Assert.Contains(loose.Notes, note => note.Contains("checked by sight", StringComparison.Ordinal));
    }

    public static readonly TheoryData<string, string> Unusable = new()
    {
        { "short", "lasts" },
        { "cold", "rises by" },
        { "open", "open in" },
        { "stuck", "stuck" },
        { "back", "jumps back" },
        { "gap", "no reading for" },
        { "jump", "loose" },
        { "no probes", "No probe has a place" },
        { "in the air", "far" },
        { "unknown channel", "no reading of it" },
        { "no set points", "set points are unknown" },
        { "flat set points", "set points rise by" },
        { "warm start", "at the start" },
        { "no chip", "no chip of that name" },
        { "two nozzles", "which one was on" },
        { "five probes", "at most 4" },
    };

    [Theory, MemberData(nameof(Unusable))]
    public void A_trial_that_cannot_be_used_is_refused_with_the_reason(string what, string says)
    {
        CalibrationRequest request = CalibrationBench.Request;
        IReadOnlyList<ProbeReading> readings = request.Readings;
        ProbeReading[] Top(Func<ProbeReading, ProbeReading> change) =>
            [.. readings.Select(one => one.Channel == "top" ? change(one) : one)];
        request = what switch
        {
            "short" => request with { Readings = [.. readings.Where(one => one.TimeS < 150)] },
            "cold" => request with
            {
                Readings = [.. readings.Select(one => one with { TemperatureC = 22 + (one.TemperatureC - 22) / 10 })],
            },
            "open" => request with { Readings = Top(one => one.TimeS > 300 ? one with { TemperatureC = null } : one) },
            "stuck" => request with
            {
                Readings = Top(one => one.TimeS is > 330 and < 420 ? one with { TemperatureC = 151.2 } : one),
            },
            "back" => request with
            {
                Readings = Top(one => one.TimeS > 300 ? one with { TimeS = one.TimeS - 45 } : one),
            },
            "gap" => request with { Readings = [.. readings.Where(one => one.TimeS is < 200 or > 260)] },
            "jump" => request with
            {
                Readings = Top(one => one.TimeS is > 300 and < 305 ? one with { TemperatureC = 20 } : one),
            },
            "no probes" => request with { Probes = [] },
            "in the air" => request with
            {
                Probes = [.. request.Probes.Take(2), CalibrationBench.Probe("far", 900, 170, 0)],
            },
            "unknown channel" => request with
            {
                Probes = [.. request.Probes, CalibrationBench.Probe("nobody", 60, 60, 0)],
            },
            "no set points" => request with { SetPoints = null },
            "flat set points" => request with
            {
                SetPoints = new HeatSchedule([new(0, 22), new(100, 50)], [new(0, 22)], 600),
            },
            "warm start" => request with
            {
                Readings = [.. readings.Select(one => one with { TemperatureC = one.TemperatureC + 15 })],
            },
            "no chip" => request with { ChipId = "Z9" },
            "two nozzles" => request with
            {
                Job = request.Job with
                {
                    Bench = request.Job.Bench with
                    {
                        Heat = request.Job.Bench.Heat with
                        {
                            Gas = request.Job.Bench.Heat.Gas with
                            {
                                Nozzles = [CalibrationBench.Nozzle, new Nozzle { Name = "small", LengthMm = 20 }],
                            },
                        },
                    },
                },
            },
            _ => request with
            {
                Probes =
                [
                    .. request.Probes,
                    CalibrationBench.Probe("d", 60, 60, 0),
                    CalibrationBench.Probe("e", 90, 60, 0),
                ],
            },
        };
        CalibrationResult result = Calibrator.Calibrate(request, null, TestContext.Current.CancellationToken);
        Assert.Equal(CalibrationState.Refused, result.State);
        Assert.Contains(result.Problems, problem => problem.Contains(says, StringComparison.Ordinal));
        Assert.Null(result.Calibration);
    }

    [Fact]
    public void All_that_is_wrong_is_said_at_once()
    {
        CalibrationResult result = Calibrator.Calibrate(
            CalibrationBench.Request with
            {
                SetPoints = null,
                ChipId = "Z9",
                Readings = [new ProbeReading(double.NaN, "top", double.NaN), new ProbeReading(0, "board", 22)],
            },
            null,
            TestContext.Current.CancellationToken
        );
        Assert.True(result.Problems.Count >= 5, string.Join("\n", result.Problems));
    }

    [Fact]
    public void Readings_of_any_sort_never_throw()
    {
        Random random = new(3);
        double[] odd = [double.NaN, double.PositiveInfinity, -1e300, 1e300, 0, -273, 5000];
        for (int round = 0; round < 40; round++)
        {
            ProbeReading[] readings =
            [
                .. CalibrationBench
                    .Request.Readings.Where(_ => random.Next(20) > 0)
                    .Select(one =>
                        random.Next(200) == 0
                            ? one with
                            {
                                TimeS = random.Next(3) == 0 ? odd[random.Next(odd.Length)] : one.TimeS,
                                TemperatureC = odd[random.Next(odd.Length)],
                            }
                            : one
                    ),
            ];
            CalibrationResult result = Calibrator.Calibrate(
                CalibrationBench.Request with
                {
                    Readings = readings,
                },
                null,
                TestContext.Current.CancellationToken
            );
            Assert.Null(result.Calibration);
        }
    }

    private static CalibrationResult Fit(CalibrationRequest request) =>
        Calibrator.Fit(
            request,
            CalibrationBench.Watch,
            CalibrationBench.Nozzle,
            100,
            TestContext.Current.CancellationToken
        );
}
