using Graftbench.Core.Findings;
using Graftbench.Core.Planning;
using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Updates;

namespace Graftbench.Firmware.Answering;

/// <summary>What is known of a job's firmware.</summary>
/// <param name="Reads">The reads of the board's chip; null without one.</param>
/// <param name="OwnKnows">Whether the board's own image knows the processor; null where nobody asked or there is no read.</param>
/// <param name="NewerKnows">Whether the newer image does; null where nobody asked or there is none.</param>
/// <param name="HasNewer">Whether there is a newer image.</param>
/// <param name="Combined">How the last combination ended; null without one.</param>
/// <param name="ReadBack">What the read-back of it says; null without one.</param>
public sealed record FirmwareFacts(
    DumpAnswer? Reads,
    ChipSupport? OwnKnows,
    ChipSupport? NewerKnows,
    bool HasNewer,
    CombineState? Combined,
    ReadBackAnswer? ReadBack
);

/// <summary>One of the four steps of question 8.</summary>
/// <param name="Name">What it asks.</param>
/// <param name="Verdict">How it stands; unknown where it was not looked at.</param>
/// <param name="Words">The same in a few words.</param>
/// <param name="Todo">What to do; null where nothing is to be done.</param>
public sealed record FirmwareStep(string Name, Verdict Verdict, string Words, string? Todo);

/// <summary>The answer to question 8.</summary>
/// <param name="Steps">Reads, processor, combination, read-back.</param>
/// <param name="Summary">The same in short.</param>
/// <param name="Knows">What the image that counts says about the processor; null where it was not asked.</param>
public sealed record FirmwareAnswer(IReadOnlyList<FirmwareStep> Steps, QuestionSummary Summary, Finding? Knows);

/// <summary>Answers question 8: will the firmware know the chip, and is it still the same machine?</summary>
public static class FirmwareQuestion
{
    /// <summary>Answers it.</summary>
    public static FirmwareAnswer Answer(FirmwareFacts facts)
    {
        ArgumentNullException.ThrowIfNull(facts);
        FirmwareStep[] steps = [Reads(facts), Processor(facts), Combined(facts), ReadBack(facts)];
        Verdict verdict = steps.Min(step => step.Verdict);
        // A board must not get power before its chip holds what was meant; else the first open step is next.
        FirmwareStep? next = steps.FirstOrDefault(step => step.Verdict == Verdict.Blocker);
        next ??= steps.FirstOrDefault(step => step.Verdict != Verdict.Ok && step.Todo is not null);
        List<Finding> findings =
        [
            .. (facts.Reads?.Findings ?? []).Where(Stops).Take(1),
            .. new[] { (facts.HasNewer ? facts.NewerKnows : facts.OwnKnows)?.Finding }.OfType<Finding>().Where(Stops),
            .. (facts.ReadBack?.Findings ?? []).Where(Stops).Take(1),
        ];
        string answer = string.Join(" ", steps.Select(step => step.Words + "."));
        return new FirmwareAnswer(
            steps,
            new QuestionSummary(verdict, answer, next?.Todo, Finding.WorstFirst(findings), Waivable: false),
            (facts.HasNewer ? facts.NewerKnows : facts.OwnKnows)?.Finding
        );
    }

    private static bool Stops(Finding finding) => finding.Verdict is Verdict.Blocker or Verdict.FixFirst;

    private static FirmwareStep Reads(FirmwareFacts facts)
    {
        const string Name = "Reads trusted?";
        return facts.Reads switch
        {
            null => new(
                Name,
                Verdict.Unknown,
                "No read of the chip",
                "Read the chip twice, with the clip seated again in between."
            ),
            { State: DumpState.Trusted } reads => new(
                Name,
                Verdict.Ok,
                $"{reads.Reads.Count} equal reads, trusted",
                null
            ),
            { State: DumpState.Unknown } reads => new(
                Name,
                Verdict.Unknown,
                reads.Reads.Count < 2 ? "One read proves nothing" : "Reads not known to be good",
                reads.Reads.Count < 2
                    ? "Read the chip again with the clip seated anew."
                    : Todo(reads.Findings) ?? "See the findings of the reads."
            ),
            { } reads => new(
                Name,
                Verdict.FixFirst,
                "Reads not trusted",
                Todo(reads.Findings) ?? "Read the chip again."
            ),
        };
    }

    private static FirmwareStep Processor(FirmwareFacts facts)
    {
        const string Name = "Processor known?";
        ChipSupport? decides = facts.HasNewer ? facts.NewerKnows : facts.OwnKnows;
        string image = facts.HasNewer ? "newer image" : "board's own image";
        return decides switch
        {
            null when facts.Reads is null && !facts.HasNewer => new(
                Name,
                Verdict.Unknown,
                "No image to ask about the processor",
                null
            ),
            null => new(Name, Verdict.Unknown, "Processor not asked for", "Enter the signature of the processor."),
            { Answer: Knows.Yes } => new(Name, Verdict.Ok, $"The {image} lists the processor", null),
            { Answer: Knows.No } no => new(
                Name,
                Verdict.FixFirst,
                $"The {image} does not list the processor",
                no.Finding.Todo
            ),
            { } open => new(
                Name,
                Verdict.Unknown,
                $"Not known whether the {image} knows the processor",
                open.Finding.Todo
            ),
        };
    }

    private static FirmwareStep Combined(FirmwareFacts facts)
    {
        const string Name = "Identity carried over?";
        return facts.Combined switch
        {
            CombineState.Made => new(Name, Verdict.Ok, "Combined", null),
            CombineState.NeedsPerson => new(
                Name,
                Verdict.FixFirst,
                "Combined, but a person must look first",
                "Look at the findings of the combined image before it is written."
            ),
            _ when NothingToWrite(facts) => new(Name, Verdict.Ok, "Nothing to carry over: the own image stays", null),
            _ when facts.HasNewer => new(
                Name,
                Verdict.Unknown,
                "Not combined",
                "Tick what belongs to this machine and combine."
            ),
            _ => new(Name, Verdict.Unknown, "Not combined", "Add the newer image, as its maker gives it."),
        };
    }

    private static FirmwareStep ReadBack(FirmwareFacts facts)
    {
        const string Name = "Read-back exact?";
        return facts.ReadBack switch
        {
            { Exact: true } => new(Name, Verdict.Ok, "Read-back exact", null),
            { } bad => new(
                Name,
                Verdict.Blocker,
                "Read-back not exact: do not power the board",
                $"Do not power the board. {Todo(bad.Findings) ?? "Write and read back again."}"
            ),
            null when NothingToWrite(facts) => new(Name, Verdict.Ok, "Nothing to write", null),
            null => new(
                Name,
                Verdict.Unknown,
                "Not read back",
                facts.Combined is null ? null : "Write the image, read the chip back before the board gets power."
            ),
        };
    }

    // The board's own image lists the processor, the reads are good, and no newer image was brought in.
    private static bool NothingToWrite(FirmwareFacts facts) =>
        facts is { HasNewer: false, OwnKnows.Answer: Knows.Yes, Reads.State: DumpState.Trusted, Combined: null };

    private static string? Todo(IReadOnlyList<Finding> findings) =>
        findings.FirstOrDefault(finding => finding.Verdict != Verdict.Ok && finding.Todo is not null)?.Todo;
}
