using CsCheck;
using Graftbench.Core.Findings;
using Graftbench.Core.Proof;
using static Graftbench.Core.Tests.Proof.Boards;

namespace Graftbench.Core.Tests.Proof;

/// <summary>Rails. The limits are those of the project fact sheet on the trade, 3.3, where not said otherwise.</summary>
public class RailProofTests
{
    public static readonly TheoryData<double, double, Verdict, string> Ratios = new()
    {
        // ohm now, ohm before
        { 49, 100, Verdict.Blocker, "proof.rail-low" },
        { 51, 100, Verdict.Warning, "proof.rail-lower" },
        { 79, 100, Verdict.Warning, "proof.rail-lower" },
        { 81, 100, Verdict.Ok, "proof.rail-as-before" },
        { 149, 100, Verdict.Ok, "proof.rail-as-before" },
        { 151, 100, Verdict.Warning, "proof.rail-higher" },
        { 0, 100, Verdict.Blocker, "proof.rail-low" },
        { 100, 0, Verdict.Unknown, "proof.rail-baseline-zero" },
    };

    [Theory, MemberData(nameof(Ratios))]
    public void A_rail_is_judged_by_its_baseline(double ohm, double before, Verdict verdict, string code)
    {
        NetProof rail = Prove(Rail("PVX", ohm, before)).Of("pvx")!;
        Assert.Contains(rail.Findings, one => one.Code == code && one.Verdict == verdict);
        Assert.Equal(verdict is Verdict.Blocker or Verdict.Unknown, rail.BarsPower);
    }

    [Fact]
    public void Never_measured_is_unknown_and_bars_power()
    {
        ProofAnswer answer = Prover.Answer(
            new ProofRequest(Rail("1V05", 100, 100)) { Rails = [new ProofRail("1V8", RailClass.Memory)] }
        );
        Assert.Equal(Verdict.Unknown, answer.Of("1V8")!.Verdict);
        Assert.False(answer.MayPower);
        Assert.Equal("Not yet: of 1 rail it is not known whether it is shorted: 1V8.", ProofQuestion.Line(answer));
        Assert.Equal(Verdict.Unknown, ProofQuestion.Answer(answer)!.Verdict);
    }

    [Fact]
    public void No_nets_at_all_are_unknown_never_ok()
    {
        ProofAnswer answer = Prove();
        Assert.Equal("proof.no-rails", Assert.Single(answer.Findings).Code);
        Assert.False(answer.MayPower);
        Assert.Null(ProofQuestion.Answer(answer));
    }

    [Fact]
    public void A_rail_without_a_baseline_is_unknown_even_where_it_looks_good() =>
        Assert.True(Prove(Ohm("3V3", 5000)).Of("3V3")!.BarsPower);

    [Fact]
    public void Rails_of_the_chip_are_held_against_the_donor_and_those_of_the_board_against_itself()
    {
        Reading[] readings =
        [
            Ohm("VCORE", 2.0, ReadingState.Baseline),
            Ohm("VCORE", 0.6, ReadingState.DonorBaseline),
            Ohm("VCORE", 0.58),
            .. Rail("3V3", 900, 1000),
        ];
        ProofAnswer answer = Prover.Answer(new ProofRequest(readings) { Map = Map });
        NetProof core = answer.Of("VCORE")!;
        Assert.Equal(ReadingState.DonorBaseline, core.BaselineState);
        Assert.Equal(0.58 / 0.6, core.ChangeRatio!.Value, 1e-9);
        Assert.Equal(ReadingState.Baseline, answer.Of("3V3")!.BaselineState);
    }

    [Fact]
    public void A_core_rail_is_never_judged_by_its_absolute_value() =>
        Assert.DoesNotContain(
            Prover
                .Answer(
                    new ProofRequest(
                        Rail("X", 0.3, 0.3).Select(one => one with { Leads = LeadState.FourWire }).ToList()
                    )
                    {
                        Rails = [new ProofRail("X", RailClass.Core)],
                    }
                )
                .Of("X")!
                .Findings,
            one => one.Verdict != Verdict.Ok
        );

    public static readonly TheoryData<RailClass, double, double, string> Hints = new()
    {
        // class, ohm just below, ohm just above
        { RailClass.LowIo, 3.9, 4.1, "rail-resistance-page" },
        { RailClass.Memory, 19, 21, "card-diagnosis-manual" },
        { RailClass.Main, 99, 101, "rail-resistance-page" },
        { RailClass.Input, 999, 1001, "rail-resistance-page" },
    };

    [Theory, MemberData(nameof(Hints))]
    public void A_low_rail_of_a_known_class_is_a_hint_and_no_stop(
        RailClass kind,
        double below,
        double above,
        string source
    )
    {
        NetProof Of(double ohm) =>
            Prover.Answer(new ProofRequest(Rail("X", ohm, ohm)) { Rails = [new ProofRail("X", kind)] }).Of("X")!;
        Assert.Contains(Of(below).Findings, one => one.Code == "proof.rail-hint" && one.Source == source);
        Assert.False(Of(below).BarsPower);
        Assert.DoesNotContain(Of(above).Findings, one => one.Code == "proof.rail-hint");
    }

    [Fact]
    public void A_main_input_below_100_ohm_stops_even_where_it_was_so_before()
    {
        ProofAnswer answer = Prover.Answer(
            new ProofRequest(Rail("VIN", 90, 95)) { Rails = [new ProofRail("VIN", RailClass.Input)] }
        );
        Assert.Equal("Do not power: VIN is shorted, 90 Ω to ground.", ProofQuestion.Line(answer));
    }

    [Theory, InlineData(0.45, true), InlineData(0.55, false), InlineData(1.9, false), InlineData(2.1, true)]
    public void A_healthy_board_only_warns(double ratio, bool warns)
    {
        NetProof rail = Prove([.. Rail("X", 100 * ratio, 100 * ratio), Ohm("X", 100, ReadingState.Healthy)]).Of("X")!;
        Assert.Equal(warns, rail.Findings.Any(one => one.Code == "proof.rail-unlike-healthy"));
        Assert.False(rail.BarsPower);
    }

    [Theory]
    [InlineData("B", "B", false)]
    [InlineData("B", "C", true)]
    [InlineData("B", null, true)]
    [InlineData(null, "C", true)]
    public void A_healthy_board_of_another_revision_is_said(string? host, string? healthy, bool said)
    {
        ProofAnswer answer = Prover.Answer(
            new ProofRequest([.. Rail("X", 100, 100), Ohm("X", 100, ReadingState.Healthy) with { Revision = healthy }])
            {
                HostRevision = host,
            }
        );
        Assert.Equal(said, answer.General.Any(one => one.Code == "proof.healthy-revision"));
        Assert.True(answer.MayPower);
    }

    [Theory]
    [InlineData(0.5, LeadState.NotSaid, true)]
    [InlineData(0.5, LeadState.Subtracted, true)]
    [InlineData(0.5, LeadState.FourWire, false)]
    [InlineData(5, LeadState.NotSaid, true)]
    [InlineData(5, LeadState.Included, true)]
    [InlineData(5, LeadState.Subtracted, false)]
    [InlineData(15, LeadState.NotSaid, false)]
    public void Few_ohms_need_the_leads_taken_off(double ohm, LeadState leads, bool warns) =>
        Assert.Equal(
            warns,
            Prove([.. Rail("X", ohm, ohm).Select(one => one with { Leads = leads })])
                .Of("X")!
                .Findings.Any(one => one.Code == "proof.leads")
        );

    [Fact]
    public void Repeats_that_contradict_each_other_are_unknown()
    {
        ProofAnswer answer = Prove([.. Rail("X", 100, 100), Ohm("X", 160)]);
        Assert.Contains(answer.Of("X")!.Findings, one => one.Code == "proof.contradiction");
        Assert.True(answer.Of("X")!.BarsPower);
    }

    [Fact]
    public void A_number_and_overload_in_one_state_are_no_mean()
    {
        NetProof rail = Prove([.. Rail("X", 100, 100), Ohm("X", 0) with { Value = MeterValue.Overload }]).Of("X")!;
        Assert.Null(rail.Now);
        Assert.True(rail.BarsPower);
    }

    [Fact]
    public void Overload_against_a_number_is_to_be_looked_at_and_no_short()
    {
        NetProof rail = Prove(Ohm("X", 100, ReadingState.Baseline), Ohm("X", 0) with { Value = MeterValue.Overload })
            .Of("X")!;
        Assert.Equal((Verdict.Warning, "proof.rail-higher"), (rail.Verdict, rail.Findings[0].Code));
    }

    [Fact]
    public void Of_a_rail_read_both_ways_the_lower_counts()
    {
        Reading Black(Reading reading) => reading with { Polarity = ProbePolarity.BlackOnGround };
        NetProof rail = Prove([.. Rail("X", 100, 100), .. Rail("X", 40, 100).Select(Black)]).Of("X")!;
        Assert.Equal((Verdict.Blocker, 0.4), (rail.Verdict, rail.ChangeRatio));
    }

    [Fact]
    public void A_later_sitting_replaces_an_earlier_one()
    {
        DateTimeOffset t = new(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);
        ProofAnswer answer = Prove(
            Ohm("X", 100, ReadingState.Baseline),
            Ohm("X", 2) with
            {
                At = t,
            },
            Ohm("X", 98) with
            {
                At = t.AddHours(5),
            }
        );
        Assert.Equal(0.98, answer.Of("X")!.ChangeRatio!.Value, 1e-9);
        Assert.Equal(1, answer.Readings.Replaced);
    }

    [Fact]
    public void What_is_let_pass_by_name_needs_a_reason_and_a_name_that_exists()
    {
        ProofAnswer Answer(string net, string why) =>
            Prover.Answer(new ProofRequest(Rail("X", 31, 100)) { Waivers = [new ProofWaiver(net, why)] });
        Assert.True(Answer("x", "twin of this board reads 33").MayPower);
        Assert.Equal(
            "It may be powered with limited current: 1 rail and 0 signals compared, 1 set aside with a reason.",
            ProofQuestion.Line(Answer("x", "twin of this board reads 33"))
        );
        Assert.False(Answer("x", " ").MayPower);
        Assert.Contains(Answer("x", " ").General, one => one.Code == "proof.waiver-empty");
        Assert.Contains(Answer("y", "why").General, one => one.Code == "proof.waiver-unknown");
    }

    [Fact]
    public void A_waiver_of_one_finding_does_not_let_another_pass()
    {
        ProofAnswer Answer(string code) =>
            Prover.Answer(
                new ProofRequest(Rail("VIN", 31, 100))
                {
                    Rails = [new ProofRail("VIN", RailClass.Input)],
                    Waivers = [new ProofWaiver("VIN", "why", code)],
                }
            );
        // Both stand: far below its baseline, and below 100 ohm.
        Assert.False(Answer("proof.rail-low").MayPower);
        Assert.False(Answer("proof.input-short").MayPower);
        Assert.False(Answer("proof.rail-hint").MayPower);
    }

    [Theory]
    [InlineData("B", 90, Verdict.Warning, false)]
    [InlineData("C", 90, Verdict.Unknown, true)]
    [InlineData(null, 90, Verdict.Unknown, true)]
    [InlineData("B", 30, Verdict.Blocker, true)]
    public void A_healthy_board_of_the_same_revision_stands_in_for_a_baseline(
        string? revision,
        double ohm,
        Verdict verdict,
        bool bars
    )
    {
        NetProof rail = Prover
            .Answer(
                new ProofRequest([Ohm("X", ohm), Ohm("X", 100, ReadingState.Healthy) with { Revision = revision }])
                {
                    HostRevision = "b",
                }
            )
            .Of("X")!;
        Assert.Equal((verdict, bars), (rail.Verdict, rail.BarsPower));
    }

    [Fact]
    public void The_large_line_names_the_worst_rail()
    {
        ProofAnswer answer = Prove([.. Rail("1V8_MEM", 31, 100), .. Rail("3V3", 10, 1000), .. Rail("5V", 1000, 1000)]);
        Assert.Equal(
            "Do not power: 1V8_MEM is 0.31 of its baseline. 1 more stands against it.",
            ProofQuestion.Line(answer)
        );
        Assert.Equal(Verdict.Blocker, ProofQuestion.Answer(answer)!.Verdict);
    }

    [Fact]
    public void The_order_of_readings_does_not_matter() =>
        Gen.Shuffle(
                (Reading[])[.. Rail("A", 40, 100), .. Rail("B", 90, 100), .. Signal("S", 0.5, 0.52), .. Others(0.002)]
            )
            .Sample(shuffled =>
            {
                ProofAnswer answer = Prove(shuffled);
                return answer.Of("A")!.Findings[0].Code == "proof.rail-low"
                    && Math.Abs(answer.Of("S")!.ShiftV!.Value + 0.022) < 1e-9;
            });

    [Fact]
    public void The_lower_a_rail_the_worse_its_verdict_and_never_better() =>
        Gen.Select(Gen.Double[0.01, 1.4], Gen.Double[0.01, 1.4])
            .Sample(
                (one, other) =>
                {
                    Verdict Of(double ratio) => Prove(Rail("PVX", 100 * ratio, 100)).Of("PVX")!.Verdict;
                    return one <= other ? Of(one) <= Of(other) : Of(one) >= Of(other);
                }
            );

    [Theory]
    [InlineData("VCORE", RailClass.Core)]
    [InlineData("1V8_MEM", RailClass.Memory)]
    [InlineData("+1.05V", RailClass.LowIo)]
    [InlineData("3V3_STBY", RailClass.Main)]
    [InlineData("5V", RailClass.Main)]
    [InlineData("DCIN", RailClass.Input)]
    [InlineData("1V8", RailClass.Other)]
    [InlineData("RESET#", RailClass.Other)]
    public void A_class_is_guessed_from_the_name(string name, RailClass expected) =>
        // common practice, no source
        Assert.Equal(expected, RailClasses.ByName(name));

    [Theory]
    [InlineData("1V8_MEM", 1.8)]
    [InlineData("+3.3V", 3.3)]
    [InlineData("P5V", null)]
    [InlineData("12V_IN", 12.0)]
    [InlineData("VCORE", null)]
    [InlineData("1V05", 1.05)]
    [InlineData("V3P3", 3.3)]
    [InlineData("P3V3", 3.3)]
    [InlineData("P1V05_STBY", 1.05)]
    [InlineData("VDD1V8", 1.8)]
    [InlineData("DDR4V", null)]
    [InlineData("DP2P1", null)]
    [InlineData("GPIO12", null)]
    public void A_voltage_is_read_off_the_name(string name, double? expected) =>
        Assert.Equal(expected, RailClasses.Volts(name));

    [Fact]
    public void A_limit_can_be_replaced_and_says_whose_it_is()
    {
        ProofThresholds own = ProofThresholds.Standard.With("ratio-stop", 0.3);
        ProofAnswer answer = Prover.Answer(new ProofRequest(Rail("PVX", 40, 100)) { Thresholds = own });
        Assert.Equal("proof.rail-lower", answer.Of("PVX")!.Findings[0].Code);
        Assert.Equal("job-file", own.Of("ratio-stop").Source);
        Assert.Throws<ArgumentException>(() => own.With("no-such", 1));
        Assert.Throws<ArgumentException>(() => own.With("ratio-stop", double.NaN));
    }

    [Fact]
    public void Where_the_other_boards_baseline_was_taken_the_answer_says_how_to_use_it()
    {
        NetProof rail = Prover.Answer(new ProofRequest(Rail("VMEM", 50, 50)) { Rails = [], Map = Map }).Of("1V8_MEM")!;
        Finding missing = rail.Findings.Single(one => one.Code == "proof.rail-no-baseline");
        Assert.Contains("The host's own baseline of it was taken", missing.Todo, StringComparison.Ordinal);
        Finding other = Prove(Rail("VX", 50, 50, ReadingState.DonorBaseline))
            .Of("VX")!
            .Findings.Single(one => one.Code == "proof.rail-no-baseline");
        Assert.Contains("The donor's baseline of it was taken", other.Todo, StringComparison.Ordinal);
    }

    [Fact]
    public void A_chip_from_the_shelf_is_not_asked_for_its_donor_board()
    {
        NetProof rail = Prover
            .Answer(new ProofRequest(Rail("VMEM", 50, 50)) { Map = Map, FromDonor = false })
            .Of("1V8_MEM")!;
        Finding missing = rail.Findings.Single(one => one.Code == "proof.rail-no-baseline");
        Assert.StartsWith(
            "The chip came without a board: measure a healthy board",
            missing.Todo,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void The_next_step_is_that_of_what_bars_power_not_of_a_warning_beside_it()
    {
        ProofAnswer answer = Prove(Ohm("VX", 1.4));
        Assert.Contains(answer.Of("VX")!.Findings, one => one.Code == "proof.leads");
        Assert.Equal(
            answer.Of("VX")!.Findings.Single(one => one.Code == "proof.rail-no-baseline").Todo,
            ProofQuestion.Answer(answer)!.Next
        );
    }
}
