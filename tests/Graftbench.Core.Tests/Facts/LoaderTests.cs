using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Facts;

public class LoaderTests
{
    [Fact]
    public void Every_kind_of_part_has_a_row() =>
        Assert.All(Enum.GetValues<PartKind>(), kind => Assert.Equal(kind, PartKinds.Of(kind).Kind));

    [Fact]
    public void Every_class_of_laminate_has_one_row()
    {
        Assert.Equal(
            Enum.GetValues<LaminateKind>().Order(),
            Laminates.Classes.Select(laminate => laminate.Kind).Order()
        );
        Assert.All(Enum.GetValues<LaminateKind>(), kind => Assert.Equal(kind, Laminates.Of(kind).Kind));
    }

    [Fact]
    public void An_unknown_laminate_is_held_to_the_lowest_class() =>
        Assert.Equal(
            Laminates.Classes.Min(laminate => laminate.GlassTransitionMinC),
            Laminates.Of(LaminateKind.Unknown).GlassTransitionMinC
        );

    [Fact]
    public void Every_kind_of_heat_has_a_count() =>
        Assert.All(
            Enum.GetValues<HeatKind>(),
            kind =>
            {
                HeatCount count = HeatGuidelines.Step(kind);
                Assert.True(count.LowNumber > 0 && count.LowNumber <= count.HighNumber, count.Name);
            }
        );

    [Fact]
    public void Every_sort_of_caution_is_used() =>
        Assert.Equal(
            Enum.GetValues<CautionWhen>(),
            CautionTexts.All.Select(caution => caution.When).Distinct().Order()
        );

    // kind, limit, take off first, source of the deciding row; the figures of the fact table "Neighbours" and of the bake rules.
    public static readonly TheoryData<PartKind, double?, YesNo, string> SourcedLimits = new()
    {
        { PartKind.BallGridPackage, 125, YesNo.No, "jstd-033-rules" },
        { PartKind.MouldedPackage, 125, YesNo.No, "jstd-033-rules" },
        { PartKind.CoinCell, 60, YesNo.Yes, "from-memory" },
        { PartKind.LithiumPack, 60, YesNo.Yes, "from-memory" },
        { PartKind.AluminiumElectrolytic, 85, YesNo.No, "from-memory" },
        { PartKind.FilmCapacitorPolypropylene, 110, YesNo.No, "film-capacitor-sheets" },
        { PartKind.FilmCapacitorPolyester, 160, YesNo.No, "film-capacitor-sheets" },
        { PartKind.Supercapacitor, null, YesNo.Yes, "common-practice" },
        { PartKind.PlasticPart, null, YesNo.Unknown, "common-practice" },
        { PartKind.LabelOrTape, null, YesNo.Unknown, "common-practice" },
        { PartKind.ConnectorOther, null, YesNo.Unknown, "connector-resins" },
    };

    [Theory, MemberData(nameof(SourcedLimits))]
    public void The_most_cautious_row_of_a_kind_decides(PartKind kind, double? limitC, YesNo takeOff, string source)
    {
        PartKindFacts facts = PartKinds.Of(kind);
        Assert.Equal(limitC, facts.BakeLimitC);
        Assert.Equal(takeOff, facts.TakeOffBeforeDrying);
        Assert.Equal(source, facts.Deciding.Source);
    }

    [Fact]
    public void A_coin_cell_shows_both_limits()
    {
        PartKindFacts cell = PartKinds.Of(PartKind.CoinCell);
        Assert.Equal([60.0, 85.0], cell.Rows.Select(row => row.BakeLimitC!.Value).Order());
        Assert.Contains(cell.Rows, row => row.Source == "coin-cell-guide" && row.Confidence == Confidence.Seen);
    }

    [Fact]
    public void Only_bodies_that_can_burst_are_sensitive_to_moisture()
    {
        PartKind[] sensitive =
        [
            .. Enum.GetValues<PartKind>().Where(kind => PartKinds.Of(kind).MoistureSensitive == YesNo.Yes),
        ];
        Assert.Equal([PartKind.BallGridPackage, PartKind.MouldedPackage, PartKind.RadioModule], sensitive);
    }

    [Fact]
    public void A_kind_without_a_limit_says_in_words_that_none_was_found() =>
        Assert.All(
            PartKinds.Rows.Where(row =>
                row.BakeLimitC is null && row.Confidence == Confidence.Seen && row.Kind != PartKind.ConnectorHeatProof
            ),
            row => Assert.Contains("was found", row.Why, StringComparison.Ordinal)
        );

    [Fact]
    public void Heat_guidelines_are_three_passes_and_six_cycles()
    {
        Assert.Equal((3.0, Confidence.Seen), (HeatGuidelines.Chip.LowNumber, HeatGuidelines.Chip.Confidence));
        Assert.Equal((6.0, Confidence.FromMemory), (HeatGuidelines.Board.LowNumber, HeatGuidelines.Board.Confidence));
    }

    [Fact]
    public void A_whole_transplant_spends_four_to_seven_heats_of_the_chip()
    {
        // "4 to 7" in the trade's estimate; the sums of its own ends are 4.3 and 7.5.
        HeatKind[] steps = [HeatKind.Build, HeatKind.Lift, HeatKind.Clean, HeatKind.BallAttach, HeatKind.Place];
        Assert.Equal(4.3, steps.Sum(kind => HeatGuidelines.Step(kind).LowNumber), 9);
        Assert.Equal(7.5, steps.Sum(kind => HeatGuidelines.Step(kind).HighNumber), 9);
    }

    [Fact]
    public void Ranges_run_from_low_to_high()
    {
        Assert.All(BoardLimits.Rows, row => Assert.True(row.LowNumber <= row.HighNumber, row.Id));
        Assert.All(BenchMinutes.Steps, step => Assert.True(step.LowMin > 0 && step.LowMin <= step.HighMin, step.Step));
    }

    [Fact]
    public void Ids_of_rows_are_unique()
    {
        AllDifferent(BoardLimits.Rows.Select(row => row.Id));
        AllDifferent(BenchMinutes.Steps.Select(row => row.Step));
        AllDifferent(CautionTexts.All.Select(row => row.Id));
        AllDifferent(PackageLibrary.Classes.Select(row => row.Id));

        static void AllDifferent(IEnumerable<string> ids)
        {
            List<string> all = [.. ids];
            Assert.Equal(all.Count, all.Distinct().Count());
        }
    }

    [Fact]
    public void Laminate_classes_match_the_base_material_page()
    {
        // Slash-sheet minima: Tg, Td, T260, T288, T300.
        Assert.Equal((110, 310, 30, 5, null), Figures(LaminateKind.EpoxyTg110));
        Assert.Equal((150, 325, 30, 5, null), Figures(LaminateKind.EpoxyTg150));
        Assert.Equal((170, 340, 30, 15, 2), Figures(LaminateKind.EpoxyTg170));

        static (double, double?, double?, double?, double?) Figures(LaminateKind kind)
        {
            LaminateClass one = Laminates.Of(kind);
            return (one.GlassTransitionMinC, one.DecompositionC, one.T260Min, one.T288Min, one.T300Min);
        }
    }

    [Fact]
    public void The_board_rework_rule_stands_at_200_degrees() =>
        Assert.Equal(
            (200.0, "jstd-033-board-rework"),
            (BoardLimits.Of("board-bake-needed-above").LowNumber, BoardLimits.Of("board-bake-needed-above").Source)
        );
}
