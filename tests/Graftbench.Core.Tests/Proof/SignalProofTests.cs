using CsCheck;
using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Inspection;
using Graftbench.Core.Proof;
using static Graftbench.Core.Tests.Proof.Boards;

namespace Graftbench.Core.Tests.Proof;

/// <summary>Signals in diode-mode. Limits: project fact sheet on the trade, 3.2 and 3.3.</summary>
public class SignalProofTests
{
    public static readonly TheoryData<double, double, Verdict, string> Readings = new()
    {
        // volts now, volts before
        { 0.500, 0.500, Verdict.Ok, "proof.signal-as-before" },
        { 0.540, 0.500, Verdict.Warning, "proof.signal-moved" },
        { 0.460, 0.500, Verdict.Warning, "proof.signal-moved" },
        { 0.199, 0.500, Verdict.Blocker, "proof.signal-short" },
        { 0.150, 0.150, Verdict.Warning, "proof.signal-low-before" },
        { 1.501, 0.500, Verdict.FixFirst, "proof.signal-open" },
    };

    [Theory, MemberData(nameof(Readings))]
    public void A_signal_is_judged_by_what_it_read_before(double now, double before, Verdict verdict, string code)
    {
        NetProof signal = Prove([.. Signal("S", now, before), .. Others()]).Of("S")!;
        Assert.Equal((verdict, code), (signal.Verdict, signal.Findings[0].Code));
        Assert.Equal(verdict is Verdict.Blocker or Verdict.FixFirst, signal.BarsPower);
    }

    [Fact]
    public void Overload_where_there_was_a_junction_is_open()
    {
        NetProof signal = Prove([Diode("S", 0.5, ReadingState.Baseline), Open("S"), .. Others()]).Of("S")!;
        Assert.Equal((Verdict.FixFirst, "proof.signal-open"), (signal.Verdict, signal.Findings[0].Code));
        Assert.Equal("OL, before 0.5 V", signal.Findings[0].Value);
    }

    [Fact]
    public void Overload_before_and_after_proves_nothing() =>
        Assert.Equal(
            (Verdict.Unknown, "proof.signal-no-junction"),
            Prove([Open("S", ReadingState.Baseline), Open("S"), .. Others()]).Of("S") is { } signal
                ? (signal.Verdict, signal.Findings[0].Code)
                : default
        );

    [Fact]
    public void A_number_where_there_was_overload_is_tied_to_something() =>
        Assert.Equal(
            "proof.signal-tied",
            Prove([Open("S", ReadingState.Baseline), Diode("S", 0.6), .. Others()]).Of("S")!.Findings[0].Code
        );

    [Fact]
    public void Without_a_reading_before_it_is_unknown_whatever_it_reads()
    {
        Assert.Equal("proof.signal-no-baseline", Prove(Diode("S", 0.6)).Of("S")!.Findings[0].Code);
        Assert.Equal("proof.signal-suspect", Prove(Open("S")).Of("S")!.Findings[0].Code);
        Assert.Equal("proof.signal-suspect", Prove(Diode("S", 0.1)).Of("S")!.Findings[0].Code);
        Assert.All([Diode("S", 0.6), Open("S")], one => Assert.Equal(Verdict.Unknown, Prove(one).Of("S")!.Verdict));
    }

    [Fact]
    public void Read_before_and_not_now_is_unknown() =>
        Assert.Equal(
            "proof.signal-not-measured",
            Prove(Diode("S", 0.5, ReadingState.Baseline)).Of("S")!.Findings[0].Code
        );

    [Fact]
    public void Another_meter_is_never_compared()
    {
        NetProof signal = Prove([
                Diode("S", 0.5, ReadingState.Baseline),
                Diode("S", 0.5) with
                {
                    Meter = "M2",
                },
                .. Others(),
            ])
            .Of("S")!;
        Assert.Equal((Verdict.Unknown, "proof.other-meter"), (signal.Verdict, signal.Findings[0].Code));
        Assert.Null(signal.ShiftV);
    }

    [Fact]
    public void Another_polarity_or_none_noted_is_never_compared()
    {
        foreach (ProbePolarity? other in new ProbePolarity?[] { ProbePolarity.BlackOnGround, null })
        {
            NetProof signal = Prove([
                    Diode("S", 0.5, ReadingState.Baseline),
                    Diode("S", 0.5) with
                    {
                        Polarity = other,
                    },
                    .. Others(),
                ])
                .Of("S")!;
            Assert.Equal((Verdict.Unknown, "proof.other-polarity"), (signal.Verdict, signal.Findings[0].Code));
        }
    }

    // Read both ways: a fault in one of them is a fault of the net, and what one of them cannot tell does not hide the other.
    [Theory]
    [InlineData(0.7, 0.7, Verdict.Ok, "proof.signal-as-before")]
    [InlineData(0.7, 0.05, Verdict.Blocker, "proof.signal-short")]
    [InlineData(0.7, null, Verdict.FixFirst, "proof.signal-open")]
    [InlineData(null, null, Verdict.Ok, "proof.signal-as-before")]
    [InlineData(null, 0.6, Verdict.Warning, "proof.signal-tied")]
    public void Both_polarities_are_judged(double? before, double? now, Verdict verdict, string code)
    {
        Reading Black(double? volts, ReadingState state) =>
            (volts is { } given ? Diode("S", given, state) : Open("S", state)) with
            {
                Polarity = ProbePolarity.BlackOnGround,
            };
        NetProof signal = Prove([
                .. Others(),
                .. Signal("S", 0.5, 0.5),
                Black(before, ReadingState.Baseline),
                Black(now, ReadingState.AfterPlacing),
            ])
            .Of("S")!;
        Assert.Equal((verdict, code), (signal.Verdict, signal.Findings[0].Code));
    }

    [Fact]
    public void A_summary_does_not_list_a_hundred_signals_that_read_alike()
    {
        Reading[] readings =
        [
            .. Rail("X", 100, 100),
            .. Enumerable.Range(0, 100).SelectMany(i => Signal($"S{i}", 0.5, 0.5)),
            .. Signal("BAD", 0.1, 0.5),
        ];
        Core.Planning.QuestionSummary summary = ProofQuestion.Answer(Prove(readings))!;
        Assert.InRange(summary.Findings.Count, 4, 8);
        Assert.Equal(("proof.signal-short", "BAD"), (summary.Findings[0].Code, summary.Findings[0].Where));
        Assert.Contains(summary.Findings, one => one.Where == "S0, S1, S2 and 97 more signals");
    }

    [Fact]
    public void A_short_is_a_short_with_any_meter() =>
        Assert.Equal(
            Verdict.Blocker,
            Prove([Diode("S", 0.5, ReadingState.Baseline), Diode("S", 0.05) with { Meter = "M2" }]).Of("S")!.Verdict
        );

    // One diode read with both meters: 28 mV apart, as three times the current gives.
    [Fact]
    public void A_reference_diode_lets_two_meters_be_compared()
    {
        List<Reading> readings =
        [
            Diode("reference-diode", 0.600, ReadingState.Baseline),
            Diode("reference-diode", 0.628) with
            {
                Meter = "M2",
            },
        ];
        for (int i = 0; i < 6; i++)
        {
            readings.Add(Diode($"S{i}", 0.5 + (0.01 * i), ReadingState.Baseline));
            readings.Add(Diode($"S{i}", 0.528 + (0.01 * i) + (i == 3 ? 0.03 : 0)) with { Meter = "M2" });
        }
        ProofAnswer answer = Prove([.. readings]);
        Assert.Equal("proof.signal-as-before", answer.Of("S0")!.Findings[0].Code);
        Assert.Equal(0.03, answer.Of("S3")!.ShiftV!.Value, 1e-9);
        Assert.Null(answer.Of("reference-diode"));
    }

    [Fact]
    public void All_nets_shifted_alike_are_as_before_and_the_shift_is_said()
    {
        ProofAnswer answer = Prove([.. Others(0.030, 25, 25), .. Rail("X", 100, 100)]);
        Assert.All(answer.Nets, net => Assert.Equal(Verdict.Ok, net.Verdict));
        CommonShift shift = Assert.Single(answer.Shifts);
        Assert.Equal(0.030, shift.MedianV, 1e-9);
        Assert.Equal(0, shift.ExpectedV);
        Assert.Contains(answer.General, one => one.Code == "proof.shift-unexplained" && one.Verdict == Verdict.Warning);
    }

    [Theory]
    [InlineData(25.0, 35.0, -0.020, "proof.shift-removed")]
    [InlineData(25.0, 35.0, -0.024, "proof.shift-removed")]
    [InlineData(25.0, 35.0, -0.026, "proof.shift-unexplained")]
    [InlineData(25.0, 35.0, 0.020, "proof.shift-unexplained")]
    [InlineData(null, 35.0, -0.020, "proof.shift-unexplained")]
    [InlineData(null, null, 0.004, "proof.shift-removed")]
    public void Temperature_explains_2_mV_a_kelvin(double? before, double? now, double shiftV, string code)
    {
        // project fact sheet on the trade, 3.2: about -2 mV/K (from memory there)
        ProofAnswer answer = Prove(Others(shiftV, before, now));
        Assert.Contains(answer.General, one => one.Code == code);
        Assert.Equal(before is null || now is null ? null : -0.020, answer.Shifts[0].ExpectedV);
    }

    [Fact]
    public void Too_few_nets_keep_their_shift()
    {
        ProofAnswer answer = Prove(Signal("S", 0.54, 0.5));
        Assert.Equal(0.04, answer.Of("S")!.ShiftV!.Value, 1e-9);
        Assert.Contains(answer.General, one => one.Code == "proof.shift-not-removed");
    }

    // n = 2, 3, 4: 17.8, 10.4 and 7.4 mV; s = 3 mV (estimate) over 7 nets, power 95 %: z = 2.983 + 1.645 = 4.628, so that one
    // repeat sees 19.6 mV, four see 9.8 mV; needed are 2·(4.628·3/d)²: 1.2, 3.6, 7.1.
    [Theory]
    [InlineData(2, 2)]
    [InlineData(3, 4)]
    [InlineData(4, 8)]
    public void A_lost_junction_that_cannot_be_seen_is_said(int junctions, int needed)
    {
        NetProof signal = Prove([
                .. Signal("S", 0.5, 0.5).Select(one => one with { Junctions = junctions }),
                .. Others(),
            ])
            .Of("S")!;
        Finding said = Assert.Single(signal.Findings, one => one.Code == "proof.cannot-be-seen");
        Assert.Contains($"cannot be seen with 1 repeat; {needed} needed", said.What, StringComparison.Ordinal);
        Assert.Equal(needed, signal.NeededRepeats);
        Assert.Equal(0.0196, signal.SeenFromV!.Value, 0.0001);
    }

    [Fact]
    public void Repeats_that_are_too_few_for_what_is_sought_are_said() =>
        Assert.Contains(
            "A shift of 10 mV cannot be seen with 1 repeat; 4 needed",
            Prove([.. Others(), .. Signal("S", 0.5, 0.5)]).General.Single(one => one.Code == "proof.repeats").What,
            StringComparison.Ordinal
        );

    [Fact]
    public void The_chip_is_alone_on_a_net_that_read_overload_without_it()
    {
        ProofAnswer answer = Prove([
            .. Signal("S", 0.5, 0.5),
            Open("S", ReadingState.AfterLift),
            .. Signal("T", 0.5, 0.5),
            Diode("T", 0.5, ReadingState.AfterLift),
        ]);
        Assert.Equal(1, answer.Of("S")!.Junctions);
        Assert.Null(answer.Of("T")!.Junctions);
    }

    [Theory]
    [InlineData(4.9, "A", "B", Verdict.Blocker)]
    [InlineData(5.1, "A", "B", Verdict.Ok)]
    [InlineData(0.1, "VCORE", "vcore", Verdict.Ok)]
    public void A_pair_below_5_ohm_is_a_bridge_unless_it_is_one_net(
        double ohm,
        string net,
        string to,
        Verdict verdict
    ) => Assert.Equal(verdict, Prove(Ohm(net, ohm) with { To = to }).Of($"{net} to {to}")!.Verdict);

    [Fact]
    public void A_pair_that_was_joined_before_is_no_bridge() =>
        Assert.Equal(
            "proof.pair-joined-before",
            Prove(Ohm("B", 1, ReadingState.Baseline) with { To = "A" }, Ohm("A", 1) with { To = "B" })
                .Of("A to B")!
                .Findings[0]
                .Code
        );

    [Fact]
    public void Taking_one_amount_off_every_net_changes_no_verdict() =>
        Gen.Select(Gen.Double[-0.05, 0.05], Gen.Double[-0.04, 0.04])
            .Sample(
                (common, own) =>
                {
                    NetProof with = Prove([.. Signal("S", 0.6 + own + common, 0.6), .. Others(common)]).Of("S")!;
                    NetProof without = Prove([.. Signal("S", 0.6 + own, 0.6), .. Others()]).Of("S")!;
                    return with.Verdict == without.Verdict
                        && Math.Abs(with.ShiftV!.Value - without.ShiftV!.Value) < 1e-9;
                }
            );

    [Fact]
    public void Coverage_tells_ball_by_ball_what_stands_for_it()
    {
        Reading[] readings =
        [
            .. Others(),
            .. Signal("DATA0", 0.5, 0.5, ReadingState.DonorBaseline),
            Open("DATA0", ReadingState.AfterLift),
            .. Signal("DATA1", 0.5, 0.5, ReadingState.DonorBaseline),
            .. Signal("DATA2", 0.5, 0.5, ReadingState.DonorBaseline).Select(one => one with { Junctions = 3 }),
            Diode("DATA3", 0.5, ReadingState.DonorBaseline),
            Open("DATA3"),
            .. Signal("STROBE", 0.5, 0.5, ReadingState.DonorBaseline),
            Open("STROBE", ReadingState.AfterLift),
            .. Rail("VCORE", 20, 20, ReadingState.DonorBaseline),
            .. Rail("1V8_MEM", 20, 100, ReadingState.DonorBaseline),
        ];
        ProofAnswer proof = Prover.Answer(new ProofRequest(readings) { Map = Map });
        ProofCoverage coverage = ProofCoverage.Of(
            proof,
            new HashSet<string> { "d1", "B3" },
            new HashSet<string> { "D2", "D1" }
        );
        Dictionary<string, BallEvidence> expected = new()
        {
            ["A1"] = BallEvidence.ByReading,
            ["A2"] = BallEvidence.NotProven, // others may hang on the net
            ["A3"] = BallEvidence.NotProven, // 10.4 mV is not seen with one repeat
            ["A4"] = BallEvidence.NotProven, // open
            ["B1"] = BallEvidence.RailNotShort,
            ["B2"] = BallEvidence.RailNotShort,
            ["B3"] = BallEvidence.ByPicture,
            ["B4"] = BallEvidence.NotProven,
            ["C1"] = BallEvidence.NotProven, // its rail is low
            ["C2"] = BallEvidence.NotProven, // never read
            ["C3"] = BallEvidence.NotProven,
            ["C4"] = BallEvidence.NotNeeded,
            ["D1"] = BallEvidence.ByPicture,
            ["D2"] = BallEvidence.ByFunction,
            ["D3"] = BallEvidence.NotProven, // two balls carry it
            ["D4"] = BallEvidence.NotProven,
        };
        Assert.Equal(expected, coverage.Balls.ToDictionary(one => one.Ball.Name, one => one.Evidence));
        Assert.Equal(4.0 / 15, coverage.ProvenFraction, 1e-12);
        Assert.Equal(15, coverage.Needed);
        Assert.Contains(coverage.Words, one => one.Words.Contains("3 balls side by side", StringComparison.Ordinal));
        Assert.Throws<ArgumentException>(() => ProofCoverage.Of(Prove()));
    }

    [Fact]
    public void The_counts_of_a_coverage_add_up_to_its_balls() =>
        Gen.Select(Gen.Double[0.05, 1.6], Gen.Double[0.05, 1.6], Gen.Bool)
            .Sample(
                (now, before, lifted) =>
                {
                    Reading[] readings =
                    [
                        .. Signal("DATA0", now, before),
                        .. lifted ? new[] { Open("DATA0", ReadingState.AfterLift) } : [],
                    ];
                    ProofCoverage coverage = ProofCoverage.Of(Prover.Answer(new ProofRequest(readings) { Map = Map }));
                    return Enum.GetValues<BallEvidence>().Sum(coverage.CountOf) == Map.Balls.Count
                        && coverage.ProvenFraction is >= 0 and <= 1;
                }
            );

    // 50 balls of 5 to 10 mΩ: 2 to 4 µΩ, 2 % (project fact sheet on the trade, 3.1).
    [Fact]
    public void The_worked_figure_of_fifty_balls_is_printed()
    {
        string list = "ball,signal,type\n" + string.Concat(Enumerable.Range(1, 50).Select(i => $"A{i},GND,ground\n"));
        BallMap map = BallMapReader.Read(list, Core.Inspection.BallView.Top).Packages.Single();
        ProofCoverage coverage = ProofCoverage.Of(Prover.Answer(new ProofRequest([]) { Map = map }));
        Assert.Contains(coverage.Words, one => one.Words.Contains("2.04 to 4.08 µΩ, 2 %", StringComparison.Ordinal));
    }

    [Fact]
    public void A_bit_is_credited_however_its_number_is_written_and_a_strange_name_is_told()
    {
        BallMap map = BallMapReader
            .Read("ball,signal,type\nA1,DQ(0),signal\nA2,DQ(1),signal\nB1,GND,ground\n", BallView.Top)
            .Packages.Single();
        Reading[] readings =
        [
            .. Others(),
            .. Signal("DQ0", 0.5, 0.5),
            Open("DQ0", ReadingState.AfterLift),
            .. Signal("DATA_1", 0.5, 0.5),
            .. Signal("FOO", 0.5, 0.5).Select(one => one with { Ball = "A2" }),
        ];
        ProofAnswer proof = Prover.Answer(new ProofRequest(readings) { Map = map });
        Assert.Equal(
            BallEvidence.ByReading,
            ProofCoverage.Of(proof).Balls.Single(one => one.Ball.Name == "A1").Evidence
        );
        Finding strange = proof.General.Single(one => one.Code == "proof.not-listed");
        Assert.Contains("DATA_1", strange.Value, StringComparison.Ordinal);
        Assert.DoesNotContain("FOO", strange.Value, StringComparison.Ordinal);
        Assert.DoesNotContain("DQ0", strange.Value, StringComparison.Ordinal);
        Assert.DoesNotContain(Prover.Answer(new ProofRequest(readings)).General, one => one.Code == "proof.not-listed");
    }

    // -2 mV/K (project fact sheet on the trade, 3.2): +10 K moves a sound junction by -20 mV.
    [Fact]
    public void Where_nets_are_too_few_for_a_median_temperature_is_still_taken_off()
    {
        Reading[] readings =
        [
            .. Signal("ONE", 0.480, 0.5)
                .Select(one => one with { BoardC = one.State == ReadingState.AfterPlacing ? 35 : 25 }),
        ];
        NetProof net = Prove(readings).Of("ONE")!;
        Assert.Equal(0, net.ShiftV!.Value, 1e-9);
        Assert.Contains(net.Findings, one => one.Code == "proof.signal-as-before");
    }
}
