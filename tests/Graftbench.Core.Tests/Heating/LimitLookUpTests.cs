using Graftbench.Core.Facts;
using Graftbench.Core.Heating;

namespace Graftbench.Core.Tests.Heating;

public class LimitLookUpTests
{
    [Theory]
    [InlineData(HeatLimitKind.JointSpread, null, 0)]
    [InlineData(HeatLimitKind.NeighbourPeak, "U7", 1)]
    public void Only_the_limit_of_a_place_is_looked_up_in_a_data_sheet(HeatLimitKind kind, string? place, int times)
    {
        HeatLimit limit = new(
            kind,
            place,
            "limit",
            10,
            "K",
            2,
            false,
            Confidence.CommonPractice,
            "common-practice",
            ""
        );
        ScheduleAnswer answer = new([], [14.7], false, [limit], 1, true);
        IReadOnlyList<HeatRemedy> remedies = Remedies.Try(
            [],
            _ => null,
            (_, _) => throw new InvalidOperationException("there is nothing to try"),
            new RemedyReach(answer, 0),
            [limit],
            [limit],
            0.9,
            default
        );
        Assert.Equal(times, remedies.Count(one => one.Code == "limit-confirmed"));
    }
}
