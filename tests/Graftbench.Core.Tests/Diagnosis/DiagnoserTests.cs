using System.Text.Json;
using CsCheck;
using Graftbench.Core.Diagnosis;
using Graftbench.Core.Findings;
using Graftbench.Core.Tests.Jobs;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Diagnosis;

/// <summary>
/// The figures of <see cref="Golden"/> were computed for this project before the program was, from the same estimates, by
/// another program; see docs/models/diagnosis.md. tests/reference/diagnosis.py computes the others by enumeration.
/// </summary>
public class DiagnoserTests
{
    private static readonly CauseTable Table = CauseTable.Standard;

    public static readonly TheoryData<string, double> GoldenGains = new()
    {
        { "image", 0.3718 },
        { "diode", 0.3648 },
        { "press", 0.1776 },
        { "read", 0.1770 },
        { "temperature", 0.1547 },
        { "neighbour", 0.1141 },
        { "rail", 0.1116 },
        { "side", 0.1039 },
        { "current", 0.1039 },
    };

    public static readonly TheoryData<string, string, string, double> Golden = new()
    {
        { "current=restarts", "cause", "firmware", 0.2044 },
        { "current=restarts", "cause", "open-edge", 0.1577 },
        { "current=restarts", "cause", "pillow", 0.1314 },
        { "current=restarts", "cause", "package", 0.1022 },
        { "current=restarts", "cause", "image", 0.0964 },
        { "current=restarts", "entropy", "", 3.3301 },
        { "current=restarts press=same", "cause", "firmware", 0.2540 },
        { "current=restarts press=same", "cause", "image", 0.1197 },
        { "current=restarts press=same", "cause", "open-edge", 0.1100 },
        { "current=restarts press=same", "per-minute", "image", 27.42 },
        { "current=restarts press=same", "per-minute", "read", 16.15 },
        { "current=restarts press=same image=wrong", "cause", "firmware", 0.6355 },
        { "current=restarts press=same image=wrong", "cause", "image", 0.3183 },
        { "current=restarts press=same image=wrong", "entropy", "", 1.2970 },
        { "current=standby rail=low", "cause", "bridge", 0.3785 },
        { "current=standby rail=low", "cause", "package", 0.1521 },
        { "current=standby rail=low", "cause", "neighbour", 0.1298 },
        { "current=standby rail=low", "per-minute", "neighbour", 11.13 },
        { "current=standby rail=low", "per-minute", "diode", 10.83 },
    };

    private static List<TestSeen> Seen(string text) =>
        [
            .. text.Split(' ', StringSplitOptions.RemoveEmptyEntries)
                .Select(part => part.Split('='))
                .Select(part => new TestSeen(part[0], part[1])),
        ];

    private static DiagnosisAnswer Answer(string text) => Diagnoser.Answer(new DiagnosisRequest(Seen(text)));

    [Theory, MemberData(nameof(GoldenGains))]
    public void Before_any_test_each_is_expected_to_tell_so_much(string test, double bits) =>
        Assert.Equal(bits, Answer("").Tests.Single(one => one.Test.Id == test).GainBits, 0.00005);

    [Fact]
    public void Before_any_test_the_order_by_the_minute_is_the_printed_one()
    {
        DiagnosisAnswer answer = Answer("");
        Assert.Equal(3.5372, answer.EntropyBits, 0.00005);
        Assert.Equal(
            ["press", "current", "image", "diode", "read", "rail", "temperature", "neighbour", "side"],
            answer.Tests.Select(one => one.Test.Id)
        );
        Assert.Null(answer.Named);
        Assert.StartsWith("Nothing was tested yet", answer.Answer, StringComparison.Ordinal);
    }

    [Theory, MemberData(nameof(Golden))]
    public void The_worked_cases_come_out_to_the_printed_digits(string seen, string what, string of, double expected)
    {
        DiagnosisAnswer answer = Answer(seen);
        double found = what switch
        {
            "cause" => answer.Causes.Single(one => one.Cause.Id == of).Fraction,
            "entropy" => answer.EntropyBits,
            _ => answer.Tests.Single(one => one.Test.Id == of).MilliBitsPerMin,
        };
        Assert.Equal(expected, found, what == "per-minute" ? 0.005 : 0.00005);
    }

    [Fact]
    public void While_a_rail_has_failed_no_test_under_power_comes_first()
    {
        DiagnosisAnswer answer = Answer("current=standby rail=low");
        Assert.Equal(["neighbour", "diode"], answer.Tests.Take(2).Select(one => one.Test.Id));
        Assert.All(answer.Tests.Where(one => one.Test.NeedsPower), one => Assert.NotNull(one.Barred));
        Assert.Contains(answer.Findings, one => one.Code == "diagnosis.no-power" && one.Verdict == Verdict.FixFirst);
        Assert.DoesNotContain("power", answer.Next, StringComparison.OrdinalIgnoreCase);
    }

    [Theory]
    [InlineData("", "press")]
    [InlineData("current=restarts press=same", "image")]
    [InlineData("current=standby rail=low", "neighbour")]
    [InlineData("diode=tied rail=low side=uneven", null)]
    public void The_test_to_do_next_is_the_one_that_the_line_tells(string seen, string? test)
    {
        DiagnosisAnswer answer = Answer(seen);
        Assert.Equal(test, answer.Best?.Test.Id);
        Assert.StartsWith(test is null ? "Do next:" : "Test next:", answer.Next, StringComparison.Ordinal);
    }

    [Fact]
    public void Enumeration_by_another_program_finds_the_same()
    {
        string text = File.ReadAllText(Path.Combine(Corpus.Root, "tests/corpus/diagnosis/reference.json"));
        using JsonDocument document = JsonDocument.Parse(text);
        int compared = 0;
        int shares = 0;
        double worst = 0;
        foreach (JsonElement one in document.RootElement.EnumerateArray())
        {
            List<TestSeen> seen =
            [
                .. one.GetProperty("seen")
                    .EnumerateArray()
                    .Select(pair => new TestSeen(pair[0].GetString()!, pair[1].GetString()!)),
            ];
            double[] posterior = Inference.PosteriorFraction(Table, seen);
            foreach ((int c, JsonElement share) in one.GetProperty("posterior").EnumerateArray().Index())
            {
                Assert.Equal(share.GetDouble(), posterior[c], 1e-9);
                worst = Math.Max(worst, Math.Abs(share.GetDouble() - posterior[c]));
                shares++;
            }
            foreach (JsonProperty gain in one.GetProperty("gains").EnumerateObject())
            {
                Assert.Equal(
                    gain.Value.GetDouble(),
                    Inference.GainBits(Table, posterior, Table.TestOf(gain.Name)),
                    1e-9
                );
                compared++;
            }
        }
        Assert.True(compared > 200);
        Truth.Note("diagnosis.shares", worst, shares);
    }

    [Fact]
    public void Closed_cases_move_a_row_as_a_beta_distribution_does()
    {
        // Beta(3, 2) has the mean .60; after three of three Beta(6, 2) has .75.
        ClosedCase one = new("open-edge", Seen("diode=open"));
        CauseTable moved = Table.With([one, one, one]);
        int test = Table.TestOf("diode");
        Assert.Equal(0.60, Table.ChanceFraction(0, test, 0), 1e-12);
        Assert.Equal(0.75, moved.ChanceFraction(0, test, 0), 1e-12);
        Assert.Equal((20 * 0.18 + 3) / 23, moved.Causes[0].PriorFraction, 1e-12);
        Assert.Equal(Table.ChanceFraction(1, test, 0), moved.ChanceFraction(1, test, 0), 1e-12);
    }

    [Fact]
    public void Chances_sum_to_one_and_their_order_does_not_matter_whatever_was_seen() =>
        Gen.Int[0, Table.Tests.Count - 1]
            .Array[0, 9]
            .SelectMany(tests => Gen.Int[0, 99].Array[tests.Length].Select(outcomes => (tests, outcomes)))
            .Sample(
                pair =>
                {
                    List<TestSeen> seen =
                    [
                        .. pair.tests.Zip(
                            pair.outcomes,
                            (t, o) =>
                                new TestSeen(
                                    Table.Tests[t].Id,
                                    Table.Tests[t].Outcomes[o % Table.Tests[t].Outcomes.Count].Id
                                )
                        ),
                    ];
                    double[] one = Inference.PosteriorFraction(Table, seen);
                    double[] other = Inference.PosteriorFraction(Table, seen.AsEnumerable().Reverse());
                    return Math.Abs(one.Sum() - 1) < 1e-12
                        && one.Zip(other).All(both => both.First > 0 && Math.Abs(both.First - both.Second) < 1e-12)
                        && Enumerable
                            .Range(0, Table.Tests.Count)
                            .All(t => Inference.GainBits(Table, one, t) is >= 0 and < 2);
                },
                iter: 500
            );

    [Fact]
    public void A_single_outcome_weighs_no_more_than_fifty_to_one()
    {
        CauseTable harsh = new(
            [new("a", "A", CausePart.Chip, 0.5), new("b", "B", CausePart.Joints, 0.5)],
            [new("t", "T", 5, false, false, null, [new("x", "x"), new("y", "y")])],
            [
                [
                    [0.999, 0.001],
                ],
                [
                    [0.001, 0.999],
                ],
            ]
        );
        Assert.Equal(50.0 / 51, Inference.PosteriorFraction(harsh, [new TestSeen("t", "x")])[0], 1e-12);
    }

    [Fact]
    public void A_fault_that_comes_and_goes_is_seen_at_least_once_by_the_binomial_law()
    {
        // 1 - (1 - 0.3)^4 = 0.7599; of a cause that shows it in 45 of 100 cases 0.45 of that.
        double[] four = Inference.LikelihoodFraction(Table, new TestSeen("press", "changes", 4, 0.3));
        Assert.Equal(0.45 * 0.7599, four[0], 1e-9);
        double[] none = Inference.LikelihoodFraction(Table, new TestSeen("press", "same", 4, 0.3));
        Assert.Equal(1 - (0.45 * 0.7599), none[0], 1e-9);
    }

    [Theory]
    [InlineData("press=purple", "no outcome")]
    [InlineData("smell=burnt", "no test")]
    public void What_the_table_does_not_have_is_refused_by_name(string seen, string says) =>
        Assert.Contains(says, Assert.Throws<ArgumentException>(() => Answer(seen)).Message, StringComparison.Ordinal);

    [Theory]
    [InlineData(0.5, 0.4)]
    [InlineData(1.0, 0.0)]
    [InlineData(double.NaN, 0.5)]
    public void A_row_that_does_not_sum_to_one_or_holds_a_zero_is_refused(double first, double second)
    {
        ArgumentException error = Assert.Throws<ArgumentException>(() =>
            new CauseTable(
                [new("a", "A", CausePart.Chip, 1 - 1e-9), new("b", "B", CausePart.Chip, 1e-9)],
                [new("t", "T", 5, false, false, null, [new("x", "x"), new("y", "y")])],
                [
                    [
                        [first, second],
                    ],
                    [
                        [0.5, 0.5],
                    ],
                ]
            )
        );
        Assert.Contains("a, test t", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void No_culprit_is_named_below_the_stated_chance_and_reasons_stand_beside_one_above_it()
    {
        Assert.Null(Answer("current=restarts press=same image=wrong").Named);
        DiagnosisAnswer sure = Answer("diode=tied rail=low side=uneven");
        Assert.Equal("bridge", sure.Named?.Cause.Id);
        Assert.Equal(["diode", "rail"], sure.Named!.For.Select(reason => reason.Test.Id).Order());
        Assert.StartsWith("Do next", sure.Next, StringComparison.Ordinal);
    }

    [Fact]
    public void What_contradicts_itself_or_overlaps_is_said()
    {
        Assert.Contains(Answer("press=changes press=same").Findings, one => one.Code == "diagnosis.both-ways");
        Assert.Contains(Answer("diode=open side=uneven").Findings, one => one.Code == "diagnosis.dependent");
        Assert.Contains(
            Answer("image=wrong diode=open press=changes").Findings,
            one => one.Code == "diagnosis.no-single-cause"
        );
        Assert.DoesNotContain(
            Answer("diode=open press=changes").Findings,
            one => one.Code == "diagnosis.no-single-cause"
        );
    }

    [Fact]
    public void A_heat_costs_more_the_more_were_spent_and_cheap_actions_come_first()
    {
        Assert.Equal(0, new HeatPrice(3).OfMin(0), 1e-12);
        double[] prices = [.. Enumerable.Range(0, 8).Select(spent => new HeatPrice(spent).OfMin(1))];
        Assert.All(prices.Zip(prices.Skip(1)), pair => Assert.True(pair.Second > pair.First));
        Assert.Equal(2, prices[2] / prices[0], 1e-9);
        double[] joints = Inference.PosteriorFraction(Table, Seen("diode=open press=changes"));
        RankedAction fresh = RepairActions.Ranked(Table, joints, new HeatPrice(0))[0];
        Assert.Equal("again", fresh.Action.Id);
        double[] firmware = Inference.PosteriorFraction(Table, Seen("image=wrong read=burst"));
        Assert.Equal(
            ["restore", "update"],
            RepairActions.Ranked(Table, firmware, new HeatPrice(2)).Take(2).Select(one => one.Action.Id).Order()
        );
    }

    [Fact]
    public void Joints_ahead_of_firmware_that_is_not_ruled_out_warn_before_a_heat() =>
        Assert.Contains(Answer("rail=none").Findings, one => one.Code == "diagnosis.firmware-open");
}
