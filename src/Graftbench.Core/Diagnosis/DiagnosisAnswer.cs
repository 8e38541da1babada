using Graftbench.Core.Findings;

namespace Graftbench.Core.Diagnosis;

/// <summary>What a diagnosis is asked with.</summary>
/// <param name="Seen">What tests have shown, the oldest first; of a test that was done twice the newest counts.</param>
public sealed record DiagnosisRequest(IReadOnlyList<TestSeen> Seen)
{
    /// <summary>Causes, tests and chances.</summary>
    public CauseTable Table { get; init; } = CauseTable.Standard;

    /// <summary>Closed cases that have moved the table.</summary>
    public int ClosedCasesNumber { get; init; }

    /// <summary>Why power is barred, apart from what the rail test has shown; null where nothing bars it.</summary>
    public string? NoPower { get; init; }

    /// <summary>What a further heat costs.</summary>
    public HeatPrice Heat { get; init; } = new(0);

    /// <summary>Heats that the chip and the board may have by the guideline; null where unknown.</summary>
    public double? HeatGuidelineNumber { get; init; }

    /// <summary>Chance from which a cause is named.</summary>
    public double NamedFraction { get; init; } = Diagnoser.NamedFraction;
}

/// <summary>What speaks for or against a cause.</summary>
/// <param name="Test">The test.</param>
/// <param name="Outcome">What it showed.</param>
/// <param name="WeightBits">log2 of its chance under this cause over its chance under all others; above 0 speaks for it [bit].</param>
public sealed record Reason(BoardTest Test, TestOutcome Outcome, double WeightBits);

/// <summary>A cause with its chance.</summary>
/// <param name="Cause">The cause.</param>
/// <param name="Fraction">Chance after what was seen.</param>
/// <param name="For">The two strongest reasons for it, the strongest first.</param>
/// <param name="Against">The two strongest against it.</param>
public sealed record RankedCause(
    Cause Cause,
    double Fraction,
    IReadOnlyList<Reason> For,
    IReadOnlyList<Reason> Against
);

/// <summary>A test with what it is expected to tell.</summary>
/// <param name="Test">The test.</param>
/// <param name="GainBits">Expected gain [bit].</param>
/// <param name="Barred">Why it may not be done now; null where it may.</param>
/// <param name="Note">What else to know; null for nothing.</param>
public sealed record RankedTest(BoardTest Test, double GainBits, string? Barred, string? Note)
{
    /// <summary>Thousandths of a bit for each minute at the bench.</summary>
    public double MilliBitsPerMin => 1000 * GainBits / Test.TakesMin;
}

/// <summary>What stands behind a board that does not work, and what to do next.</summary>
/// <param name="Named">The cause, where its chance is high enough to be named; else null.</param>
/// <param name="Answer">The answer in one line.</param>
/// <param name="Next">What to do next.</param>
/// <param name="Causes">Causes, the likeliest first.</param>
/// <param name="Tests">Tests not done yet: those that may be done first, by what they tell per minute.</param>
/// <param name="Actions">Actions by their chance to fix per cost.</param>
/// <param name="EntropyBits">How open the question still is [bit].</param>
/// <param name="Findings">What to know about the answer, worst first.</param>
public sealed record DiagnosisAnswer(
    RankedCause? Named,
    string Answer,
    string Next,
    IReadOnlyList<RankedCause> Causes,
    IReadOnlyList<RankedTest> Tests,
    IReadOnlyList<RankedAction> Actions,
    double EntropyBits,
    IReadOnlyList<Finding> Findings
)
{
    /// <summary>The test to do next; null where a cause is named, or where none may be done or would tell anything.</summary>
    public RankedTest? Best { get; init; }

    /// <summary>Chance by where the cause lies, the likeliest first.</summary>
    public IReadOnlyList<(CausePart Part, double Fraction)> Parts =>
        [
            .. Causes
                .GroupBy(one => one.Cause.Part)
                .Select(group => (group.Key, group.Sum(one => one.Fraction)))
                .OrderByDescending(part => part.Item2),
        ];
}
