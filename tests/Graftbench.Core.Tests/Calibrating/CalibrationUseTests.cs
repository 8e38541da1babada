using Graftbench.Core.Calibrating;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Calibrating;

/// <summary>What a calibration changes in the model of a heat.</summary>
public sealed class CalibrationUseTests
{
    private static BenchCalibration Calibration => CalibrationBench.Result.Calibration!;

    private static Job Calibrated =>
        CalibrationBench.Job with
        {
            Bench = CalibrationBench.Job.Bench with { Calibration = Calibration },
        };

    [Fact]
    public void The_nominal_run_of_a_calibrated_bench_is_the_fitted_one()
    {
        HeatFactors learned = HeatFactors.Nominal;
        foreach (CalibratedValue value in Calibration.Numbers)
        {
            learned = FactorNames.Scaled(learned, BenchNumbers.FactorOf(value.Number), value.Ratio);
        }
        BoardHeatModel usual = Build(CalibrationBench.Job);
        BoardHeatModel calibrated = Build(Calibrated);
        HeatMesh mesh = HeatModels.MeshFor(usual).Scaled(2) with { StepS = 3 };
        HeatTrace expected = FullHeatRunner
            .Coarse(usual, mesh, TestContext.Current.CancellationToken)
            .Run(CalibrationBench.Set, learned);
        HeatTrace found = FullHeatRunner
            .Coarse(calibrated, mesh, TestContext.Current.CancellationToken)
            .Run(CalibrationBench.Set, HeatFactors.Nominal);
        for (int place = 0; place < expected.TemperaturesC.Length; place++)
        {
            for (int k = 0; k < expected.Count; k += 10)
            {
                Assert.Equal(expected.TemperaturesC[place][k], found.TemperaturesC[place][k], 0.02);
            }
        }
    }

    [Fact]
    public void The_answer_says_when_it_was_calibrated_or_that_it_never_was()
    {
        BoardHeatModel calibrated = Build(Calibrated);
        Assert.Equal(CalibrationBench.Then, calibrated.Calibrated!.At);
        Finding said = calibrated.Findings.Single(one => one.Code == "heat.calibrated");
        Assert.Contains("2026-03-02", said.What, StringComparison.Ordinal);
        Assert.Null(Build(CalibrationBench.Job).Calibrated);
        Assert.DoesNotContain(
            calibrated.Assumptions,
            one => one is { Measured: false, Factor: "TopFactor" or "BottomFactor", LogSdRatio: > 0 }
        );
    }

    [Fact]
    public void Chances_are_drawn_with_the_spreads_and_correlations_of_the_trial()
    {
        BoardHeatModel model = Build(Calibrated);
        var drawn = HeatSamples.Drawn(model.Assumptions);
        string[] factors = [.. drawn.Select(one => one.Factor)];
        double[][] numbers = Core.Numerics.LatinHypercube.Normal(4000, factors.Length, 11);
        double[][] together = [.. numbers.Select(one => model.Calibrated!.Together(factors, one))];
        for (int i = 0; i < Calibration.Numbers.Count; i++)
        {
            int a = Array.IndexOf(factors, BenchNumbers.FactorOf(Calibration.Numbers[i].Number));
            Assert.Equal(1, together.Average(row => row[a] * row[a]), 0.1);
            for (int j = 0; j < i; j++)
            {
                int b = Array.IndexOf(factors, BenchNumbers.FactorOf(Calibration.Numbers[j].Number));
                // The same board: nothing is lost in transfer, so the trial's own correlation is drawn.
                Assert.Equal(
                    Calibration.Numbers[i].CorrelationsRatio[j],
                    together.Average(row => row[a] * row[b]),
                    0.08
                );
            }
        }
        double usual = Sd(Build(CalibrationBench.Job), "TopFactor");
        Assert.True(Sd(model, "TopFactor") < 0.6 * usual);
    }

    [Fact]
    public void Another_board_is_known_a_little_less_well()
    {
        Job other = Calibrated with { Host = Calibrated.Host with { LengthMm = 260 } };
        BoardHeatModel model = Build(other);
        double here = Sd(Build(Calibrated), "TopFactor");
        Assert.Equal(Math.Sqrt(here * here + 0.04 * 0.04), Sd(model, "TopFactor"), 1e-6);
        Assert.DoesNotContain(model.Findings, one => one.Code == "heat.calibration-outside");
        Job small = Calibrated with { Host = Calibrated.Host with { WidthMm = 95, ThicknessMm = 0.8 } };
        BoardHeatModel outside = Build(small);
        Assert.Contains(outside.Findings, one => one.Code == "heat.calibration-outside");
        Assert.True(Sd(outside, "TopFactor") > Sd(model, "TopFactor"));
    }

    [Fact]
    public void Another_nozzle_or_heater_is_not_covered()
    {
        Nozzle wide = new() { Name = "wide", LengthMm = 60 };
        BoardHeatModel nozzle = BoardModelBuilder.Build(Calibrated, HeatTask.Place, "G1", wide, 100);
        Assert.Contains(nozzle.Findings, one => one.Code == "heat.calibration-other-nozzle");
        Assert.Equal(0.2, Sd(nozzle, "TopFactor"), 1e-9);
        Job plate = Calibrated with
        {
            Bench = Calibrated.Bench with
            {
                Heat = Calibrated.Bench.Heat with
                {
                    Preheater = Calibrated.Bench.Heat.Preheater with { Kind = PreheaterKind.Plate },
                },
            },
        };
        BoardHeatModel heater = Build(plate);
        Assert.Contains(heater.Findings, one => one.Code == "heat.calibration-other-preheater");
        Assert.Equal(0.15, Sd(heater, "BottomFactor"), 1e-9);
    }

    [Fact]
    public void A_calibration_ages_and_expires()
    {
        Job fresh = CalibrationUse.AsOf(Calibrated, CalibrationBench.Then.AddDays(100));
        Assert.Same(Calibrated.Bench.Calibration, fresh.Bench.Calibration);
        Job old = CalibrationUse.AsOf(Calibrated, CalibrationBench.Then.AddDays(250));
        double before = Sd(Build(Calibrated), "TopFactor");
        Assert.Equal(Math.Sqrt(before * before + 0.05 * 0.05), Sd(Build(old), "TopFactor"), 1e-6);
        Job gone = CalibrationUse.AsOf(Calibrated, CalibrationBench.Then.AddDays(400));
        BoardHeatModel model = Build(gone);
        Assert.Contains(model.Findings, one => one.Code == "heat.calibration-expired");
        Assert.Equal(0.2, Sd(model, "TopFactor"), 1e-9);
    }

    [Fact]
    public void A_film_that_the_bench_enters_later_is_not_counted_twice()
    {
        Job entered = Calibrated with
        {
            Bench = Calibrated.Bench with
            {
                Heat = Calibrated.Bench.Heat with { Gas = Calibrated.Bench.Heat.Gas with { FilmWPerM2K = 130 } },
            },
        };
        double Film(BoardHeatModel model) => model.Case.Films.First(film => film.Group == FilmGroup.Top).FilmWPerM2K;
        Assert.Equal(Film(Build(Calibrated)), Film(Build(entered)), 1e-6);
    }

    [Fact]
    public void It_goes_through_the_job_document_and_back()
    {
        byte[] bytes = System.Text.Json.JsonSerializer.SerializeToUtf8Bytes(Calibrated, JobFormat.Json);
        JobReading reading = JobReader.Read(bytes, CalibrationBench.Then.AddDays(1));
        Assert.Empty(reading.Problems);
        BenchCalibration read = reading.Job!.Bench.Calibration!;
        Assert.Equal(Calibration.At, read.At);
        Assert.Equal(
            Calibration.Numbers.SelectMany(one => one.CorrelationsRatio),
            read.Numbers.SelectMany(one => one.CorrelationsRatio)
        );
        Assert.Equal(
            Calibration.Numbers.Select(one => (one.Number, one.Ratio, one.LogSdRatio)),
            read.Numbers.Select(one => (one.Number, one.Ratio, one.LogSdRatio))
        );
    }

    [Theory]
    [InlineData("\"correlationsRatio\":[]", "\"correlationsRatio\":[0.5]", "correlation with each number above it")]
    [InlineData("\"number\":\"spill\"", "\"number\":\"film-under-nozzle\"", "twice")]
    [InlineData("\"at\":\"2026-03-02T14:00:00+00:00\"", "\"at\":\"2027-03-02T14:00:00+00:00\"", "future")]
    public void A_calibration_that_was_damaged_is_refused(string there, string put, string says)
    {
        string text = System.Text.Json.JsonSerializer.Serialize(Calibrated, JobFormat.Json);
        text = text.Replace("\": ", "\":", StringComparison.Ordinal);
        Assert.Contains(there, text, StringComparison.Ordinal);
        int at = text.IndexOf(there, StringComparison.Ordinal);
        text = string.Concat(text.AsSpan(0, at), put, text.AsSpan(at + there.Length));
        JobReading reading = JobReader.Read(System.Text.Encoding.UTF8.GetBytes(text), CalibrationBench.Then.AddDays(1));
        Assert.Contains(reading.Problems, problem => problem.What.Contains(says, StringComparison.Ordinal));
    }

    private static BoardHeatModel Build(Job job) =>
        BoardModelBuilder.Build(job, HeatTask.Place, "G1", job.Bench.Heat.Gas.Nozzles[0], 100);

    private static double Sd(BoardHeatModel model, string factor) =>
        HeatSamples.Drawn(model.Assumptions).Single(one => one.Factor == factor).LogSd;
}
