using System.Text.Json;
using System.Text.Json.Serialization;
using Graftbench.Core.Diagnosis;
using Graftbench.Store;

namespace Graftbench.Web.Diagnosing;

/// <summary>What a line of evidence says about a board that does not work.</summary>
public sealed record DiagnosisNote
{
    /// <summary>Kind of the lines that hold one.</summary>
    public const string Kind = "decision";

    /// <summary>The test that was done, or whose row was edited.</summary>
    public string? Test { get; init; }

    /// <summary>What it showed.</summary>
    public string? Outcome { get; init; }

    /// <summary>How often it was tried.</summary>
    public int? Trials { get; init; }

    /// <summary>Chance that a single trial shows the fault.</summary>
    public double? Chance { get; init; }

    /// <summary>Where the outcome came from, where a person only confirmed it.</summary>
    public string? From { get; init; }

    /// <summary>Line of a test that is taken back.</summary>
    public long? TakenBack { get; init; }

    /// <summary>How the case was closed.</summary>
    public CaseProof? Proof { get; init; }

    /// <summary>Its cause, or the cause whose row was edited.</summary>
    public string? Cause { get; init; }

    /// <summary>Whether the case is opened again.</summary>
    public bool? OpenedAgain { get; init; }

    /// <summary>Whether the machine came back: what was seen before belongs to the fault before.</summary>
    public bool? Returned { get; init; }

    /// <summary>What the person wrote beside it.</summary>
    public string? Words { get; init; }

    /// <summary>Chances of a row that was edited; of the shares of all causes where no cause is named.</summary>
    public IReadOnlyList<double>? Chances { get; init; }

    /// <summary>Cases that the edited row counts as.</summary>
    public double? Strength { get; init; }

    internal static JsonSerializerOptions Json { get; } =
        new(JsonSerializerDefaults.Web)
        {
            DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
            Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower, allowIntegerValues: false) },
        };

    /// <summary>The note of a line; null where it has none, or came with somebody else's record and cannot be read.</summary>
    public static DiagnosisNote? Of(EvidenceLine line)
    {
        ArgumentNullException.ThrowIfNull(line);
        if (line.Kind != Kind || !line.PayloadJson.Contains("\"diagnosis\"", StringComparison.Ordinal))
        {
            return null;
        }
        try
        {
            return JsonSerializer.Deserialize<DiagnosisPayload>(line.PayloadJson, Json)?.Diagnosis;
        }
        catch (JsonException)
        {
            return null;
        }
    }

    /// <summary>The payload of a line with this note.</summary>
    /// <param name="words">The line in words.</param>
    public string Payload(string words) => JsonSerializer.Serialize(new DiagnosisPayload(words, this), Json);
}

/// <summary>The payload of a line: words for everyone, and the note for this screen.</summary>
/// <param name="Note">The line in words.</param>
/// <param name="Diagnosis">What it says.</param>
public sealed record DiagnosisPayload(string Note, DiagnosisNote Diagnosis);

/// <summary>A test that was seen, with its line.</summary>
/// <param name="Line">Its line of evidence.</param>
/// <param name="At">When it was recorded.</param>
/// <param name="Who">Who recorded it.</param>
/// <param name="Seen">What it showed.</param>
/// <param name="From">Where the outcome came from; null where a person saw it.</param>
public sealed record SeenLine(long Line, DateTimeOffset At, string Who, TestSeen Seen, string? From);

/// <summary>A closed case, with its line.</summary>
/// <param name="Line">Its line of evidence.</param>
/// <param name="At">When it was closed.</param>
/// <param name="Who">Who closed it.</param>
/// <param name="Closing">How.</param>
public sealed record ClosedLine(long Line, DateTimeOffset At, string Who, CaseClosing Closing);

/// <summary>The fault before a machine came back.</summary>
/// <param name="Seen">Tests that counted, the oldest first.</param>
/// <param name="Closed">How the case was closed; null where it was left open.</param>
public sealed record EarlierFault(IReadOnlyList<SeenLine> Seen, ClosedLine? Closed);

/// <summary>A machine that came back, with its line.</summary>
/// <param name="Line">Its line of evidence.</param>
/// <param name="At">When it was recorded.</param>
/// <param name="Who">Who recorded it.</param>
/// <param name="Words">What the owner says.</param>
public sealed record CameBackLine(long Line, DateTimeOffset At, string Who, string Words);

/// <summary>What the record of a job says about its fault.</summary>
/// <param name="Seen">Tests that count, the oldest first.</param>
/// <param name="Closed">How the case was closed; null while it is open.</param>
/// <param name="Earlier">Faults before the machine came back, the oldest first.</param>
/// <param name="CameBack">The line that says so; null where it never did.</param>
public sealed record DiagnosisRecord(
    IReadOnlyList<SeenLine> Seen,
    ClosedLine? Closed,
    IReadOnlyList<EarlierFault> Earlier,
    CameBackLine? CameBack
)
{
    /// <summary>Most trials of a test.</summary>
    public const int MostTrials = 1000;

    /// <summary>What was seen, as the diagnosis takes it.</summary>
    public IReadOnlyList<TestSeen> Tests => [.. Seen.Select(one => one.Seen)];

    /// <summary>Cases that the shop learns from: those whose cause is proven, of this fault and of those before.</summary>
    public IReadOnlyList<ClosedCase> Cases =>
        [
            .. Earlier
                .Append(new EarlierFault(Seen, Closed))
                .Where(fault => fault.Closed is { Closing: { Teaches: true, CauseId: not null } })
                .Select(fault => new ClosedCase(
                    fault.Closed!.Closing.CauseId!,
                    [.. fault.Seen.Select(one => one.Seen)]
                )),
        ];

    /// <summary>The record that lines tell of, oldest first. Tests and outcomes that are not in the table are passed over.</summary>
    public static DiagnosisRecord Of(IEnumerable<EvidenceLine> lines)
    {
        ArgumentNullException.ThrowIfNull(lines);
        List<SeenLine> seen = [];
        ClosedLine? closed = null;
        List<EarlierFault> earlier = [];
        CameBackLine? back = null;
        foreach (EvidenceLine line in lines)
        {
            if (DiagnosisNote.Of(line) is not { } note)
            {
                continue;
            }
            if (note is { Test: { } test, Outcome: { } outcome } && Sound(note, test, outcome))
            {
                seen.Add(
                    new SeenLine(
                        line.Sequence,
                        line.At,
                        line.Who,
                        new TestSeen(test, outcome, note.Trials ?? 1, note.Chance ?? 1, note.Words),
                        note.From
                    )
                );
            }
            else if (note.TakenBack is { } taken)
            {
                seen.RemoveAll(one => one.Line == taken);
            }
            else if (note.Proof is { } proof)
            {
                closed = new ClosedLine(
                    line.Sequence,
                    line.At,
                    line.Who,
                    new CaseClosing(note.Cause, proof, note.Words)
                );
            }
            else if (note.OpenedAgain is true)
            {
                closed = null;
            }
            else if (note.Returned is true)
            {
                back = new CameBackLine(line.Sequence, line.At, line.Who, note.Words ?? "");
                if (seen.Count > 0 || closed is not null)
                {
                    earlier.Add(new EarlierFault([.. seen], closed));
                }
                seen.Clear();
                closed = null;
            }
        }
        return new DiagnosisRecord(seen, closed, earlier, back);
    }

    /// <summary>Rows of the table that the shop edited, oldest first.</summary>
    public static IReadOnlyList<(EvidenceLine Line, TableEdit Edit, string? Why)> Edits(IEnumerable<EvidenceLine> lines)
    {
        ArgumentNullException.ThrowIfNull(lines);
        return
        [
            .. lines
                .Select(line => (Line: line, Note: DiagnosisNote.Of(line)))
                .Where(one => one.Note is { Chances: not null, Strength: not null })
                .Select(one =>
                    (
                        one.Line,
                        new TableEdit(one.Note!.Cause, one.Note.Test, one.Note.Chances!, one.Note.Strength!.Value),
                        one.Note.Words
                    )
                ),
        ];
    }

    private static bool Sound(DiagnosisNote note, string test, string outcome) =>
        CauseTable.Standard.TestOf(test) is >= 0 and int t
        && CauseTable.Standard.Tests[t].Outcomes.Any(one => one.Id == outcome)
        && note.Trials is null or (>= 1 and <= MostTrials)
        && note.Chance is null or (> 0 and <= 1);
}
