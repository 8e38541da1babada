using System.Globalization;
using System.Text.RegularExpressions;
using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using static Graftbench.Core.Tests.Drying.SampleJob;

namespace Graftbench.Core.Tests.Drying;

/// <summary>Where a dryer never ends, another is named with its hours; those hours are what the plan says of that dryer.</summary>
public class OtherDryerTests
{
    private static readonly Part Capacitor = new()
    {
        Ref = "C1",
        Kind = PartKind.AluminiumElectrolytic,
        BakeLimitC = 85,
    };

    // Damp room air at 55 °C keeps more in the body than level 5a may hold.
    private static readonly Job Endless = Job(
        Board(Body("U5", 1.4, MoistureLevel.Unknown), Capacitor),
        Chip(from: ChipPlace.Shelf)
    ) with
    {
        Bench = new Bench { RoomC = 22, RoomHumidityPercent = 50 },
        Dryer = new Dryer { SetC = 55, Air = DryerAir.Room },
    };

    private static SubjectDrying Host(Job job) => DryingPlanner.Plan(job, Now).Subjects[0];

    private static string Remedy()
    {
        SubjectDrying host = Host(Endless);
        Assert.Equal(DryingState.NoAnswer, host.State);
        string way = Assert.Single(host.Findings, finding => finding.Code == "drying.no-answer").Todo!;
        Finding wet = Assert.Single(host.Findings, finding => finding.Code == "drying.not-dry");
        Assert.EndsWith(way, wet.Todo, StringComparison.Ordinal);
        return way;
    }

    private static double HoursSaid(string way) =>
        double.Parse(
            Regex
                .Match(Remedy(), Regex.Escape(way) + ": ([0-9]+) h", RegexOptions.None, TimeSpan.FromSeconds(1))
                .Groups[1]
                .Value,
            CultureInfo.InvariantCulture
        );

    [Theory]
    [InlineData("at 80 °C", 80, false, null)]
    [InlineData("at 125 °C after taking off C1", 125, true, null)]
    [InlineData("at 55 °C with desiccant that keeps the air at 5 % RH or less", 55, false, 5.0)]
    public void What_is_said_of_another_dryer_is_what_the_plan_says_with_it(
        string way,
        double setC,
        bool capacitorOff,
        double? dryPercent
    )
    {
        Job job = Endless with
        {
            Host = Board(Body("U5", 1.4, MoistureLevel.Unknown), Capacitor with { TakenOff = capacitorOff }),
            Dryer = new Dryer
            {
                SetC = setC,
                Air = dryPercent is null ? DryerAir.Room : DryerAir.Stated,
                HumidityPercent = dryPercent,
            },
        };
        SubjectDrying there = Host(job);

        Assert.Equal(setC, there.UsedC);
        Assert.Equal(Math.Ceiling(there.AdviceH!.Value), HoursSaid(way));
    }

    [Fact]
    public void The_plan_names_the_way_out_as_its_next_step() =>
        Assert.Contains(
            "after taking off C1",
            DryingPlanner.Plan(Endless, Now).Findings[0].Todo,
            StringComparison.Ordinal
        );

    /// <summary>The hottest part is hotter than the dryer's setting by the spread: it must stay within its limit, the coldest decides the hours.</summary>
    [Theory]
    [InlineData(2)]
    [InlineData(5)]
    public void The_spread_of_the_other_dryer_counts_both_ways(double spreadDeltaK)
    {
        Job job = Endless with { Dryer = Endless.Dryer with { SetC = 58, SpreadDeltaK = spreadDeltaK } };
        Match way = Regex.Match(
            Host(job).Findings.Single(finding => finding.Code == "drying.no-answer").Todo!,
            "at (?<set>[0-9.]+) °C: (?<hours>[0-9]+) h",
            RegexOptions.None,
            TimeSpan.FromSeconds(1)
        );
        double setC = double.Parse(way.Groups["set"].Value, CultureInfo.InvariantCulture);
        SubjectDrying there = Host(job with { Dryer = job.Dryer with { SetC = setC } });

        Assert.DoesNotContain(there.Findings, finding => finding.Code == "drying.too-hot-for-it");
        Assert.Equal(setC - spreadDeltaK, there.UsedC);
        Assert.Equal(
            way.Groups["hours"].Value,
            Math.Ceiling(there.AdviceH!.Value).ToString("0", CultureInfo.InvariantCulture)
        );
    }
}
