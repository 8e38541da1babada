using CsCheck;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Mixing;

namespace Graftbench.Core.Tests.Mixing;

/// <summary>
/// Joints of the project fact sheet 'solder alloys', sections 3.4 to 4.3 and 5. "calc" is its independent calculation with the
/// same parameters in another language.
/// </summary>
public class MixPlannerTests
{
    internal static MixAlloy Alloy(string name) => MixAlloys.Read(name).Alloy!;

    // 0.9 mg and 0.1 mg: SAC305 with 10 % of tin-lead.
    private static MixAnswer Tenth(double? peakC, bool curves = false) =>
        MixPlanner.Plan(
            new MixRequest(
                "test",
                [MixPart.Mass(Alloy("SAC305"), 0.9, "ball"), MixPart.Mass(Alloy("Sn63Pb37"), 0.1, "land")],
                peakC,
                WithCurves: curves
            )
        );

    [Fact] // row 34 and worked joint A
    public void Tin_lead_ball_on_what_is_left_of_lead_free()
    {
        MixAnswer joint = MixPlanner.Plan(
            new MixRequest(
                "A",
                [MixPart.Ball(Alloy("Sn63Pb37"), 0.60), MixPart.Layer(Alloy("SAC305"), 0.50, 0.020)],
                210
            )
        );
        Assert.Equal(MixState.Computed, joint.State);
        Assert.Equal(0.9790, joint.MassMg, 0.001);
        Assert.Equal(35.90, joint.Shares.LeadPercent, 0.02);
        Assert.Equal(0.089, joint.Shares.SilverPercent, 0.001);
        Assert.Equal(183.81, joint.Liquidus!.ValueC, 0.05);
        Assert.Equal(183.4, joint.FullMelt!.ValueC, 0.1);
        Assert.Equal(176.5, joint.Solidus!.ValueC, 0.05);
        Assert.Equal(175, joint.Freezing!.StillC);
        Assert.True(joint.Peak!.Mixes);
        Assert.Equal(["alloy.freezes-late", "alloy.lead", "alloy.mixes"], Codes(joint).Order());
    }

    [Fact] // row 35 and worked joint B
    public void Lead_free_ball_in_tin_lead_paste()
    {
        MixAnswer joint = MixPlanner.Plan(
            new MixRequest(
                "B",
                [MixPart.Ball(Alloy("SAC305"), 0.60), MixPart.Paste(Alloy("Sn63Pb37"), 0.50, 0.125)],
                215
            )
        );
        Assert.Equal(0.9377, joint.MassMg, 0.001);
        Assert.Equal(4.07, joint.Shares.LeadPercent, 0.01);
        Assert.Equal(214.76, joint.Liquidus!.ValueC, 0.05);
        // Full melt is 214.6: within the model's error of the peak, so the worse side counts.
        Finding peak = joint.Findings.Single(one => one.Code == "alloy.does-not-mix");
        Assert.Equal(Verdict.FixFirst, peak.Verdict);
        Assert.Contains("may melt", peak.What, StringComparison.Ordinal);
    }

    [Fact] // row 36 and worked joint E
    public void Bismuth_on_lead_is_refused()
    {
        MixAnswer joint = MixPlanner.Plan(
            new MixRequest(
                "E",
                [MixPart.Ball(Alloy("Sn42Bi58"), 0.50), MixPart.Layer(Alloy("Sn63Pb37"), 0.45, 0.015)],
                180
            )
        );
        Assert.Equal(0.5603 + 0.0200, joint.MassMg, 0.001);
        Assert.Equal(1.278, joint.Shares.LeadPercent, 0.005);
        Assert.Equal(97.96, joint.Solidus!.ValueC, 0.05);
        Assert.True(joint.Solidus.LowC <= 95.5, "measured: 95 to 96 °C");
        Finding first = joint.Findings[0];
        Assert.Equal((Verdict.Blocker, "alloy.lead-meets-bismuth"), (first.Verdict, first.Code));
        Assert.Contains("95 °C", first.What, StringComparison.Ordinal);
        Assert.NotNull(first.Todo);
        Assert.StartsWith("Refused", joint.Answer, StringComparison.Ordinal);
        // Rule of thumb of 3.4: 2.9 times the lead.
        Assert.Equal(2.9 * 1.278 / 100, joint.Freezing!.LateFraction, 0.004);
    }

    [Theory] // section 4.2 (row 37): 10 % Sn63Pb37 in SAC305
    [InlineData(205, 0.303, 0.23, 0.01)]
    [InlineData(210, 0.692, 0.658, 0.005)]
    [InlineData(216, 1, 1, 0.001)]
    public void How_far_a_peak_dissolves_the_ball(double peakC, double liquid, double dissolved, double tolerance)
    {
        MixPeak peak = Tenth(peakC).Peak!;
        Assert.Equal(liquid, peak.LiquidFraction, 0.005);
        Assert.Equal(dissolved, peak.DissolvedFraction!.Value, tolerance);
        Assert.Equal("SAC305", peak.LastAlloy);
        Assert.False(peak.Mixes);
    }

    [Fact]
    public void Full_mixing_needs_full_melt_and_its_error()
    {
        // T99 of 10 % is 215.06 (section 3.4), the error 3 K (3.3).
        MixAnswer joint = Tenth(219);
        Assert.Equal(218.06, joint.NeededC!.Value, 0.05);
        Assert.True(joint.Peak!.Mixes);
        Assert.False(Tenth(218).Peak!.Mixes);
        Assert.Contains("bring the coldest joint to 219 °C", joint.Answer, StringComparison.Ordinal);
        Assert.Contains("below 175 °C", joint.Answer, StringComparison.Ordinal);
    }

    [Fact]
    public void Without_a_peak_mixing_is_unknown_and_never_ok()
    {
        MixAnswer joint = Tenth(null);
        Assert.Null(joint.Peak);
        Assert.Contains(joint.Findings, one => one.Code == "alloy.peak-unknown" && one.Verdict == Verdict.Unknown);
        Assert.DoesNotContain(joint.Findings, one => one.Verdict == Verdict.Ok);
    }

    [Fact] // section 4.3
    public void Lead_in_a_lead_free_joint_is_said_with_the_limit()
    {
        Finding lead = Tenth(219).Findings.Single(one => one.Code == "alloy.lead");
        Assert.Contains("3.7 %", lead.What, StringComparison.Ordinal);
        Assert.Contains("not lead-free any more", lead.What, StringComparison.Ordinal);
        Assert.Contains("RoHS", lead.Limit, StringComparison.Ordinal);
        Assert.Contains("recycling", lead.Todo, StringComparison.Ordinal);
        MixAnswer clean = MixPlanner.Plan(new MixRequest("c", [MixPart.Ball(Alloy("SAC305"), 0.5)], 235));
        Assert.DoesNotContain("alloy.lead", Codes(clean));
    }

    [Fact] // section 4.3: the ball stays a column, only the fillet melts
    public void A_high_lead_ball_stays_solid()
    {
        MixAnswer joint = MixPlanner.Plan(
            new MixRequest(
                "column",
                [MixPart.Ball(Alloy("Pb90Sn10"), 0.8), MixPart.Paste(Alloy("Sn63Pb37"), 0.7, 0.15)],
                205
            )
        );
        Assert.Equal("Pb90Sn10", Assert.Single(joint.Solid).Alloy.Name);
        Assert.Equal(37, joint.Shares.LeadPercent, 0.01);
        Assert.Equal(182.8, joint.FullMelt!.ValueC, 0.1);
        Assert.Contains("alloy.stays-solid", Codes(joint));
        // Clean solder around it takes up lead all the same: section 4.3, do not move above 175.
        MixAnswer clean = MixPlanner.Plan(
            new MixRequest(
                "clean",
                [MixPart.Ball(Alloy("Pb90Sn10"), 0.8), MixPart.Paste(Alloy("SAC305"), 0.7, 0.15)],
                235
            )
        );
        Assert.Equal(175, clean.Freezing!.StillC);
        Assert.Contains("below 175 °C", clean.Answer, StringComparison.Ordinal);
        MixAnswer alone = MixPlanner.Plan(new MixRequest("alone", [MixPart.Ball(Alloy("Pb90Sn10"), 0.8)], 240));
        Assert.Contains("alloy.nothing-melts", Codes(alone));
        MixAnswer bismuth = MixPlanner.Plan(
            new MixRequest(
                "worst",
                [MixPart.Ball(Alloy("Pb90Sn10"), 0.8), MixPart.Paste(Alloy("Sn42Bi58"), 0.7, 0.15)],
                180
            )
        );
        Assert.Equal(Verdict.Blocker, bismuth.Findings[0].Verdict);
    }

    [Fact]
    public void Bismuth_on_clean_lead_free_is_allowed_and_said()
    {
        // 3.4: solidus 137.1, full melt 158 at 20 % SAC305.
        MixAnswer joint = MixPlanner.Plan(
            new MixRequest(
                "bi",
                [MixPart.Mass(Alloy("Sn42Bi58"), 0.8, "ball"), MixPart.Mass(Alloy("SAC305"), 0.2, "land")],
                165
            )
        );
        Assert.Equal(137.1, joint.Solidus!.ValueC, 0.1);
        Assert.Equal(158, joint.FullMelt!.ValueC, 0.6);
        Assert.Contains("alloy.melts-low", Codes(joint));
        Assert.DoesNotContain(joint.Findings, one => one.Verdict == Verdict.Blocker);
    }

    [Fact]
    public void Outside_the_model_is_unknown_and_never_ok()
    {
        MixAnswer joint = MixPlanner.Plan(
            new MixRequest("in", [MixPart.Ball(Alloy("In52Sn48"), 0.5), MixPart.Ball(Alloy("SAC305"), 0.5)], 240)
        );
        Assert.Equal(MixState.NoAnswer, joint.State);
        Assert.Null(joint.FullMelt);
        Finding finding = Assert.Single(joint.Findings);
        Assert.Equal(Verdict.Unknown, finding.Verdict);
        Assert.Contains("Indium", finding.What, StringComparison.Ordinal);
        Assert.StartsWith("No figure", joint.Answer, StringComparison.Ordinal);
        Assert.Empty(joint.Tensions);
    }

    [Fact]
    public void Heats_density_and_tension_carry_their_ranges()
    {
        MixAnswer joint = MixPlanner.Plan(new MixRequest("s", [MixPart.Ball(Alloy("Sn63Pb37"), 0.6)], 200));
        // Section 1.2, 1.3 and row 32.
        Assert.Equal(44800, joint.Heat!.MeltingJPerKg!.Value, 1000.0);
        Assert.Equal(193, joint.Heat.SolidJPerKgK!.Value, 2.0);
        Assert.Equal(208, joint.Heat.LiquidJPerKgK!.Value, 3.0);
        Assert.Equal(8400, joint.Density.SolidKgPerM3, 10.0);
        Assert.Equal(8060, joint.Density.LiquidKgPerM3!.Value, 20.0);
        Assert.True(joint.Density.LiquidLowKgPerM3 < 8000 && joint.Density.LiquidHighKgPerM3 > 8100);
        MixTension flux = joint.Tensions.Single(one => one.Cover == "flux");
        Assert.Equal(
            (0.40, 0.36, 0.44),
            (flux.TensionNPerM, Math.Round(flux.LowNPerM, 3), Math.Round(flux.HighNPerM, 3))
        );
        // Row 40.
        MixAnswer half = MixPlanner.Plan(
            new MixRequest(
                "h",
                [MixPart.Mass(Alloy("SAC305"), 1, "a"), MixPart.Mass(Alloy("Sn63Pb37"), 1, "b")],
                WithCurves: false
            )
        );
        Assert.Equal(0.425, half.Tensions.Single(one => one.Cover == "flux").TensionNPerM, 0.001);
    }

    [Fact]
    public void Curves_rise_with_heat_and_fall_with_cold_and_meet_the_table()
    {
        MixAnswer joint = Tenth(210, curves: true);
        Assert.True(joint.Heating.Count > 60);
        Assert.All(
            joint.Heating.Zip(joint.Heating.Skip(1)),
            pair => Assert.True(pair.Second.LiquidFraction >= pair.First.LiquidFraction - 1e-6)
        );
        Assert.All(
            joint.Cooling.Zip(joint.Cooling.Skip(1)),
            pair =>
                Assert.True(
                    pair.Second.LiquidFraction <= pair.First.LiquidFraction + 1e-9
                        && pair.Second.TemperatureC < pair.First.TemperatureC
                )
        );
        Assert.Equal(0, joint.Heating[0].LiquidFraction);
        Assert.Equal(1, joint.Heating[^1].LiquidFraction);
        Assert.Equal(0.692, joint.Heating.Single(point => point.TemperatureC == 210).LiquidFraction, 0.005);
        Assert.True(joint.Cooling[^1].LiquidFraction < 1e-5);
    }

    [Fact] // section 3.4
    public void The_map_is_the_table_of_all_mixtures()
    {
        MixMap map = Tenth(210, curves: true).Map!;
        Assert.Equal(("SAC305", "Sn63Pb37"), (map.First, map.Second));
        Assert.Equal(10, map.HerePercent, 1e-9);
        (double Percent, double LiquidusC, double FullC)[] table =
        [
            (0, 219.87, 219.75),
            (20, 210.70, 210.50),
            (50, 198.22, 197.91),
            (90, 185.44, 185.06),
            (100, 183.19, 182.82),
        ];
        foreach ((double percent, double liquidusC, double fullC) in table)
        {
            MixMapRow row = map.Rows.Single(one => one.SecondPercent == percent);
            Assert.Equal(liquidusC, row.LiquidusC!.Value, 0.03);
            Assert.Equal(fullC, row.FullMeltC!.Value, 0.05);
            if (percent is >= 10 and <= 90)
            {
                Assert.Equal(176.5, row.SolidusC!.Value, 0.05);
                Assert.Equal(176.5, row.FreezingEndC!.Value, 0.3);
            }
        }
    }

    [Fact]
    public void One_alloy_or_three_have_no_map()
    {
        Assert.Null(MixPlanner.Plan(new MixRequest("one", [MixPart.Ball(Alloy("SAC305"), 0.5)], 235)).Map);
        Assert.Null(
            MixPlanner
                .Plan(
                    new MixRequest(
                        "three",
                        [
                            MixPart.Ball(Alloy("SAC305"), 0.5),
                            MixPart.Layer(Alloy("Sn63Pb37"), 0.4, 0.02),
                            MixPart.Mass(Alloy("SnAg3.5"), 0.1, "wire"),
                        ],
                        235
                    )
                )
                .Map
        );
    }

    [Fact] // row 38
    public void Order_of_the_parts_changes_nothing() =>
        Gen.Select(Gen.Double[0.01, 1], Gen.Double[0.01, 1])
            .Sample(
                (a, b) =>
                {
                    MixPart one = MixPart.Mass(Alloy("SAC305"), a, "ball");
                    MixPart two = MixPart.Mass(Alloy("Sn63Pb37"), b, "land");
                    MixAnswer first = MixPlanner.Plan(new MixRequest("x", [one, two], 200, WithCurves: false));
                    MixAnswer second = MixPlanner.Plan(new MixRequest("x", [two, one], 200, WithCurves: false));
                    Assert.Equal(first.FullMelt!.ValueC, second.FullMelt!.ValueC, 1e-6);
                    Assert.Equal(first.Answer, second.Answer);
                },
                iter: 10,
                threads: 1
            );

    [Fact]
    public void Every_finding_names_a_source_that_exists_and_what_stops_says_what_to_do()
    {
        string[] names = ["SAC305", "Sn63Pb37", "Sn42Bi58", "Pb90Sn10", "In52Sn48", "SAC405"];
        foreach (string first in names)
        {
            foreach (string second in names)
            {
                MixAnswer joint = MixPlanner.Plan(
                    new MixRequest(
                        "all",
                        [MixPart.Ball(Alloy(first), 0.6), MixPart.Layer(Alloy(second), 0.5, 0.02)],
                        200,
                        WithCurves: false
                    )
                );
                Assert.NotEmpty(joint.Findings);
                Assert.All(joint.Findings, one => Assert.NotNull(ReferenceShelf.FindSource(one.Source!)));
                Assert.All(
                    joint.Findings.Where(one => one.Verdict <= Verdict.FixFirst || one.Verdict == Verdict.Unknown),
                    one => Assert.False(string.IsNullOrWhiteSpace(one.Todo), one.Code)
                );
            }
        }
    }

    [Fact]
    public void Any_joint_at_any_peak_is_answered_with_numbers_only()
    {
        string[] names =
        [
            .. Core.Facts.Alloys.All.Select(alloy => alloy.Id),
            "Sn50Pb50",
            "Pb95Sn5",
            "Sn100",
            "Bi100",
            "Pb100",
        ];
        Gen.Select(
                Gen.Int[0, names.Length - 1].Select(i => names[i]),
                Gen.Int[0, names.Length - 1].Select(i => names[i]),
                Gen.Double[-4, 1],
                Gen.Double[60, 450]
            )
            .Sample(
                (first, second, logMg, peakC) =>
                {
                    MixAnswer joint = MixPlanner.Plan(
                        new MixRequest(
                            "any",
                            [
                                MixPart.Mass(Alloy(first), 1, "ball"),
                                MixPart.Mass(Alloy(second), Math.Pow(10, logMg), "land"),
                            ],
                            peakC,
                            WithCurves: logMg > 0.5
                        )
                    );
                    // Numbers that are none are refused by the writer.
                    Assert.StartsWith("{", MixAnswerJson.Write(joint), StringComparison.Ordinal);
                    Assert.True(
                        joint.State == MixState.Computed
                            || first.Contains("In", StringComparison.Ordinal)
                            || second.Contains("In", StringComparison.Ordinal),
                        $"{first} {second} {logMg}: {joint.Answer}"
                    );
                    Assert.True(joint.Peak is null || joint.Peak.DissolvedFraction is null or (>= 0 and <= 1));
                },
                iter: 40,
                threads: 1
            );
    }

    [Fact]
    public void A_mass_of_nothing_is_the_callers_mistake()
    {
        Assert.Throws<ArgumentException>(() => MixPlanner.Plan(new MixRequest("none", [])));
        Assert.Throws<ArgumentOutOfRangeException>(() =>
            MixPlanner.Plan(new MixRequest("zero", [MixPart.Mass(Alloy("SAC305"), 0, "ball")]))
        );
    }

    private static IEnumerable<string> Codes(MixAnswer joint) => joint.Findings.Select(one => one.Code);
}
