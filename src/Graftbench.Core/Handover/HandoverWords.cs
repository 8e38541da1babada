using System.Globalization;
using static System.FormattableString;

namespace Graftbench.Core.Handover;

/// <summary>
/// What tests are to an owner: plain sentences of this table, never the words of findings or notes. One row for each
/// question and test.
/// </summary>
internal static class HandoverWords
{
    /// <summary>Sentences of one test.</summary>
    /// <param name="Good">It was made, and all is as it should be.</param>
    /// <param name="NotTested">It was not made, or shows nothing.</param>
    /// <param name="Wrong">It shows something that is not as it should be.</param>
    public sealed record Row(string Good, string NotTested, string Wrong);

    private static readonly Dictionary<string, Row> Rows = new(StringComparer.Ordinal)
    {
        [Question(1)] = new(
            "The data of chip and board were compared: they fit each other.",
            "Whether chip and board fit each other in every point of their data.",
            "By their data, chip and board do not fit each other in every point."
        ),
        [Question(2)] = new(
            "Board and chip were dry enough to be heated.",
            "Whether board and chip were dry enough before they were heated.",
            "Board or chip were not dried as the tables ask before they were heated."
        ),
        [Question(3)] = new(
            "Temperatures were calculated before soldering: parts nearby stay inside their limits.",
            "How hot parts nearby became: there is no calculation of it.",
            "By calculation, not every part nearby stays inside its limits."
        ),
        [Question(4)] = new(
            "Temperatures were recorded while the chip was soldered on: the solder melted.",
            "Whether all solder melted: no recorded temperatures show it.",
            "By the recorded temperatures, the solder did not melt."
        ),
        [Question(5)] = new(
            "The amount of solder under the chip was calculated: it reaches every joint.",
            "Whether the solder reaches every joint under the chip: there is no calculation of it.",
            "By calculation, the solder does not reach every joint for certain."
        ),
        [Question(6)] = new(
            "Pictures of the work were checked: balls and joints are where they should be.",
            "The joints hidden under the chip: no picture shows them all.",
            "Pictures show balls or joints that are not as they should be."
        ),
        [Question(7)] = new(
            "Supplies and signals were measured before power: they read as they should.",
            "Whether every supply and signal reads as it should: not all of them were measured.",
            "A supply or signal does not read as it should."
        ),
        [Question(8)] = new(
            "The firmware was checked: it knows the chip.",
            "Whether the firmware knows the chip in every point, and whether its content is whole.",
            "The firmware is not as it should be."
        ),
        [Question(9)] = new(
            "Tests for faults were made: nothing is left open.",
            "Faults that nobody saw a reason to search for.",
            "A fault is not explained yet."
        ),
        [FirstPower] = new(
            "The supply current was recorded at first power: it rises as that of a working machine.",
            "The supply current at first power: no record of it shows that the machine starts.",
            "The supply current at first power was not as it should be."
        ),
        [Soak] = new(
            "It ran after the work.",
            "Whether it keeps working for hours.",
            "It did not keep working for hours."
        ),
        [Readings] = new(
            "Readings were taken at hand-over, to compare with if it comes back.",
            "Readings at hand-over, to compare with if it comes back.",
            "Readings at hand-over are not as they should be."
        ),
    };

    /// <summary>Name of the first power.</summary>
    public const string FirstPower = "first-power";

    /// <summary>Name of the soak.</summary>
    public const string Soak = "soak";

    /// <summary>Name of the readings at hand-over.</summary>
    public const string Readings = "readings";

    /// <summary>Name of a question.</summary>
    public static string Question(int number) => string.Create(CultureInfo.InvariantCulture, $"question-{number}");

    /// <summary>A test in the owner's words.</summary>
    public static HandoverTest Test(string id, HandoverOutcome outcome, bool partly = false)
    {
        Row row = Rows[id];
        string words = outcome switch
        {
            HandoverOutcome.NotTested => row.NotTested,
            HandoverOutcome.Wrong => row.Wrong,
            HandoverOutcome.Remark => row.Good + " Something was noted that does not stop its use.",
            _ => row.Good,
        };
        bool tested = outcome is HandoverOutcome.Good or HandoverOutcome.Remark;
        return new HandoverTest(
            id,
            outcome,
            partly && tested,
            partly && tested ? words + " Some points of it could not be checked." : words
        );
    }

    /// <summary>The soak in the owner's words.</summary>
    public static HandoverTest SoakOf(double? hours) =>
        hours is > 0
            ? new HandoverTest(
                Soak,
                HandoverOutcome.Good,
                false,
                Invariant($"It ran for {hours:0.#} h after the work.")
            )
            : Test(Soak, HandoverOutcome.NotTested);
}
