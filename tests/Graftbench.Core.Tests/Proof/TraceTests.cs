using CsCheck;
using Graftbench.Core.Diagnosis;
using Graftbench.Core.Findings;
using Graftbench.Core.Numerics;
using Graftbench.Core.Proof;

namespace Graftbench.Core.Tests.Proof;

/// <summary>Traces of the first power, all made here. What each picture stands for: project fact sheet on the trade, 3.5.</summary>
public class TraceTests
{
    private const double LimitA = 0.6;
    private const double StandbyA = 0.05;

    // Pieces of seconds and current; a piece of two levels is a straight line between them.
    private static CurrentTrace Made(
        ulong seed,
        double perS,
        double noiseA,
        params (double LengthS, double FromA, double ToA)[] pieces
    )
    {
        Dice dice = new(seed);
        List<double> times = [];
        List<double> currents = [];
        double start = 0;
        foreach ((double length, double from, double to) in pieces)
        {
            int count = (int)Math.Round(length * perS);
            for (int i = 0; i < count; i++)
            {
                times.Add(start + (i / perS));
                currents.Add(from + ((to - from) * i / count) + (noiseA * dice.Normal()));
            }
            start += count / perS;
        }
        return new CurrentTrace(times, currents);
    }

    private static (double, double, double) Flat(double lengthS, double currentA) => (lengthS, currentA, currentA);

    private static (double, double, double)[] Of(TraceSignature signature) =>
        signature switch
        {
            TraceSignature.Zero => [Flat(10, 0)],
            TraceSignature.AtLimit => [Flat(1, 0), Flat(9, 0.6)],
            TraceSignature.Standby => [Flat(1, 0), Flat(20, 0.05)],
            TraceSignature.KickAndBack => [Flat(5, 0.05), Flat(0.6, 0.3), Flat(4, 0.05), Flat(0.6, 0.3), Flat(5, 0.05)],
            TraceSignature.MidPlateau => [Flat(3, 0.05), Flat(1, 0.15), Flat(15, 0.32)],
            TraceSignature.Restarts =>
            [
                Flat(3, 0.05),
                .. Enumerable
                    .Repeat(new[] { Flat(0.5, 0.2), Flat(2.5, 0.42), Flat(1.5, 0.05) }, 4)
                    .SelectMany(one => one),
            ],
            TraceSignature.Busy =>
            [
                Flat(3, 0.05),
                Flat(1, 0.2),
                .. Enumerable.Range(0, 30).Select(i => Flat(0.5, 0.4 + (0.12 * ((i * 7 % 5) - 2) / 2))),
            ],
            TraceSignature.SlowClimb => [Flat(3, 0.05), (30, 0.3, 0.45)],
            _ => [Flat(3, 0.05), Flat(1.5, 0.3), Flat(8, 0.05), Flat(2, 0.3)],
        };

    public static TheoryData<TraceSignature> Signatures => [.. Enum.GetValues<TraceSignature>()];

    [Theory, MemberData(nameof(Signatures))]
    public void A_made_trace_reads_as_what_it_was_made_for(TraceSignature signature)
    {
        foreach (double perS in new[] { 10.0, 50, 400 })
        {
            for (ulong seed = 1; seed <= 5; seed++)
            {
                CurrentTrace trace = Made(seed, perS, 0.001, Of(signature));
                TraceAnswer answer = TraceJudge.Answer(
                    new TraceRequest(trace) { LimitCurrentA = LimitA, StandbyCurrentA = StandbyA }
                );
                Assert.True(
                    answer.Signature == signature,
                    $"{perS} a second, {seed}: {answer.Signature}; {string.Join("; ", answer.Figures)}"
                );
                Assert.NotEmpty(answer.Figures);
            }
        }
    }

    [Theory, MemberData(nameof(Signatures))]
    public void A_signature_is_an_outcome_of_the_diagnosis_test_or_none(TraceSignature signature)
    {
        TraceAnswer answer = TraceJudge.Answer(
            new TraceRequest(Made(1, 50, 0.001, Of(signature))) { LimitCurrentA = LimitA, StandbyCurrentA = StandbyA }
        );
        BoardTest test = CauseTable.Standard.Tests[CauseTable.Standard.TestOf("current")];
        Assert.Equal(signature == TraceSignature.Unknown, answer.OutcomeId is null);
        Assert.True(answer.OutcomeId is null || test.Outcomes.Any(one => one.Id == answer.OutcomeId));
        if (signature == TraceSignature.Restarts)
        {
            Assert.Equal("restarts", answer.OutcomeId);
        }
    }

    [Fact]
    public void Standby_that_nobody_told_is_taken_for_no_answer()
    {
        TraceAnswer answer = TraceJudge.Answer(
            new TraceRequest(Made(1, 50, 0.001, Of(TraceSignature.Standby))) { LimitCurrentA = LimitA }
        );
        Assert.Equal(TraceSignature.Unknown, answer.Signature);
        Assert.Contains(answer.Findings, one => one.Code == "trace.no-standby");
    }

    [Fact]
    public void The_limit_is_reached_only_where_it_is_told()
    {
        TraceAnswer answer = TraceJudge.Answer(
            new TraceRequest(Made(1, 50, 0.001, Of(TraceSignature.AtLimit))) { StandbyCurrentA = StandbyA }
        );
        Assert.NotEqual(TraceSignature.AtLimit, answer.Signature);
        Assert.Contains(answer.Findings, one => one.Code == "trace.no-limit");
    }

    [Fact]
    public void Plateaus_lie_where_the_steps_were_made()
    {
        TraceAnswer answer = TraceJudge.Answer(
            new TraceRequest(Made(3, 50, 0.002, Flat(3, 0.05), Flat(1, 0.15), Flat(15, 0.32)))
        );
        Assert.Equal(3, answer.Plateaus.Count);
        Assert.Equal([0.0, 3, 4], answer.Plateaus.Select(one => Math.Round(one.FromS, 1)));
        Assert.Equal(0.32, answer.Plateaus[2].MeanCurrentA, 0.001);
        Assert.Equal(0.002, answer.NoiseCurrentA, 0.0003);
    }

    [Fact]
    public void Steps_of_ten_noises_are_found_within_a_sample_and_no_others() =>
        Gen.Select(Gen.ULong[1, 1000], Gen.Int[20, 80], Gen.Int[20, 80], Gen.Int[20, 80])
            .Sample(
                (seed, a, b, c) =>
                {
                    CurrentTrace trace = Made(
                        seed,
                        10,
                        0.002,
                        Flat(a / 10.0, 0.05),
                        Flat(b / 10.0, 0.07),
                        Flat(c / 10.0, 0.05)
                    );
                    IReadOnlyList<TracePlateau> found = TraceJudge.Answer(new TraceRequest(trace)).Plateaus;
                    // A stray cut is rare: it may come, at the price that the criterion sets, in one of a hundred or so.
                    return new[] { a / 10.0, (a + b) / 10.0 }.All(step =>
                            found.Any(one => Math.Abs(one.FromS - step) < 0.11)
                        )
                        && found.Count <= 5;
                }
            );

    [Fact]
    public void A_trace_is_held_against_the_healthy_one_plateau_by_plateau()
    {
        CurrentTrace healthy = Made(1, 50, 0.001, Flat(3, 0.05), Flat(2, 0.2), Flat(10, 0.4));
        Finding Compare(params (double, double, double)[] pieces) =>
            Assert.Single(
                TraceJudge
                    .Answer(
                        new TraceRequest(Made(2, 50, 0.001, pieces))
                        {
                            StandbyCurrentA = StandbyA,
                            LimitCurrentA = LimitA,
                            Healthy = [healthy],
                        }
                    )
                    .Findings,
                one => one.Where == "healthy trace 1"
            );
        Assert.Equal("trace.as-healthy", Compare(Flat(3, 0.05), Flat(2, 0.2), Flat(10, 0.42)).Code);
        Assert.Equal("trace.shorter-than-healthy", Compare(Flat(3, 0.05), Flat(10, 0.2)).Code);
        Finding unlike = Compare(Flat(3, 0.05), Flat(2, 0.29), Flat(10, 0.4));
        Assert.Equal("trace.unlike-healthy", unlike.Code);
        Assert.StartsWith("Plateau 2", unlike.What, StringComparison.Ordinal);
    }

    public static readonly TheoryData<string, double, double> Good = new()
    {
        // text, last time [s], last current [A]
        { "time,current\n", 0.9, 0.09 },
        { "time (ms),current (mA)\n", 0.0009, 0.00009 },
        { "t_s;i_ma\n", 0.9, 0.00009 },
        { "# remark\nTime [s],Current [A]\n", 0.9, 0.09 },
        { "", 0.9, 0.09 },
    };

    [Theory, MemberData(nameof(Good))]
    public void A_trace_is_read(string head, double lastS, double lastA)
    {
        char separator = head.Contains(';', StringComparison.Ordinal) ? ';' : ',';
        string rows = string.Concat(
            Enumerable.Range(0, 10).Select(i => FormattableString.Invariant($"{i / 10.0}{separator}{i / 100.0}\n"))
        );
        CurrentTrace trace = CurrentTrace.Read(head + rows).Trace!;
        Assert.Equal(
            (10, lastS, lastA),
            (trace.TimeS.Count, Math.Round(trace.TimeS[^1], 9), Math.Round(trace.CurrentA[^1], 9))
        );
    }

    public static readonly TheoryData<string, string> Bad = new()
    {
        { "", "0 samples; at least 10" },
        { "time,current\n0,0\n", "1 samples" },
        { "when,what\n0,0\n", "names no columns" },
        { "time,current\n0,0\n1,x\n", "holds no time and current" },
        { "time,current\n0,0\n0,1\n", "does not come after" },
        { "time,current\n0,510\n", "more than 100 A" },
        { "time,current\n0,0\n90000,0\n", "longer than a day" },
        { "time,current\n0,NaN\n", "holds no time and current" },
    };

    [Theory, MemberData(nameof(Bad))]
    public void What_is_wrong_with_a_trace_is_told(string text, string says)
    {
        TraceReading read = CurrentTrace.Read(text);
        Assert.Null(read.Trace);
        Assert.Contains(read.Problems, problem => problem.What.Contains(says, StringComparison.Ordinal));
    }

    [Fact]
    public void Any_trace_gets_an_answer_without_an_exception() =>
        Gen.Select(Gen.Double[-1, 5].Array[10, 200], Gen.Double[0.01, 3].Nullable(), Gen.Double[0.01, 3].Nullable())
            .Sample(
                (currents, limit, standby) =>
                {
                    CurrentTrace trace = new([.. currents.Select((_, i) => i * 0.1)], currents);
                    TraceAnswer answer = TraceJudge.Answer(
                        new TraceRequest(trace) { LimitCurrentA = limit, StandbyCurrentA = standby }
                    );
                    return answer.Plateaus.Count > 0 && answer.Plateaus.All(one => double.IsFinite(one.MeanCurrentA));
                },
                iter: 500
            );

    // Two samples a second, as bench supplies log: a dip to standby is two samples long.
    [Fact]
    public void Starts_over_and_over_are_not_taken_for_a_busy_board_at_few_samples()
    {
        for (ulong seed = 1; seed <= 20; seed++)
        {
            TraceAnswer answer = TraceJudge.Answer(
                new TraceRequest(Made(seed, 2, 0.0015, Of(TraceSignature.Restarts)))
                {
                    LimitCurrentA = LimitA,
                    StandbyCurrentA = StandbyA,
                }
            );
            Assert.Equal(TraceSignature.Restarts, answer.Signature);
        }
    }

    [Theory]
    [InlineData(0.004)]
    [InlineData(0.006)]
    public void A_flat_plateau_stays_one_under_the_noise_of_its_supply(double noiseA)
    {
        for (ulong seed = 1; seed <= 10; seed++)
        {
            TraceAnswer answer = TraceJudge.Answer(
                new TraceRequest(Made(seed, 20, noiseA, Flat(3, 0.05), Flat(1, 0.2), Flat(26, 0.42)))
                {
                    LimitCurrentA = LimitA,
                    StandbyCurrentA = StandbyA,
                }
            );
            Assert.Equal(TraceSignature.MidPlateau, answer.Signature);
        }
    }

    [Fact]
    public void More_current_than_the_limit_lets_through_is_told()
    {
        TraceAnswer Of(double limitA) =>
            TraceJudge.Answer(
                new TraceRequest(Made(1, 20, 0.001, Flat(3, 0.05), Flat(20, 0.42)))
                {
                    LimitCurrentA = limitA,
                    StandbyCurrentA = StandbyA,
                }
            );
        Assert.Contains(Of(0.3).Findings, one => one.Code == "trace.past-limit");
        Assert.DoesNotContain(Of(0.6).Findings, one => one.Code == "trace.past-limit");
    }
}
