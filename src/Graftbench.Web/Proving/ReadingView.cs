using System.Globalization;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Handover;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Core.Proof;
using Graftbench.Core.Returns;
using Graftbench.Store;
using Graftbench.Web.Diagnosing;
using Graftbench.Web.Forms;
using Graftbench.Web.HandingOver;

namespace Graftbench.Web.Proving;

/// <summary>What stays the same from one reading to the next: it is entered once.</summary>
/// <param name="State">When, or on which board.</param>
/// <param name="Kind">What is measured.</param>
/// <param name="Polarity">Which lead is on ground; null where nobody said.</param>
/// <param name="Meter">Which meter; empty where nobody said.</param>
/// <param name="Board">Temperature of the board as typed; empty where nobody measured.</param>
/// <param name="Leads">What is known of the leads.</param>
/// <param name="Revision">Revision of the board measured; empty where not told.</param>
public sealed record ReadingPlace(
    ReadingState State,
    ReadingKind Kind,
    ProbePolarity? Polarity,
    string Meter,
    string Board,
    LeadState Leads,
    string Revision
)
{
    /// <summary>Name of a board's state as a person says it.</summary>
    public static string Words(ReadingState state) =>
        state switch
        {
            ReadingState.Baseline => "Baseline",
            ReadingState.DonorBaseline => "Donor's baseline",
            ReadingState.AfterLift => "After the lift",
            ReadingState.AfterPlacing => "After placing",
            ReadingState.Healthy => "Healthy board",
            ReadingState.Handover => "Hand-over",
            _ => "Return",
        };

    /// <summary>What a state stands for.</summary>
    public static string Help(ReadingState state) =>
        state switch
        {
            ReadingState.Baseline => "The host before any work.",
            ReadingState.DonorBaseline => "The donor before its chip is lifted: rails of the chip are held against it.",
            ReadingState.AfterLift => "The host with the old chip off: what stays short is the board's.",
            ReadingState.AfterPlacing => "The host with the chip soldered, before power.",
            ReadingState.Healthy => "Another board of the same sort that works.",
            ReadingState.Handover => "The working board as it leaves: what a return is held against.",
            _ => "The board as it came back, before anything is touched.",
        };

    /// <summary>Reads it off a form or an address; what is not said is usual.</summary>
    /// <param name="text">Gets the text of a field; empty where there is none.</param>
    public static ReadingPlace Read(Func<string, string> text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return new ReadingPlace(
            Named<ReadingState>(text("state")) ?? ReadingState.Baseline,
            Named<ReadingKind>(text("kind")) ?? ReadingKind.Resistance,
            Named<ProbePolarity>(text("polarity")),
            Cut(text("meter")),
            Cut(text("board")),
            Named<LeadState>(text("leads")) ?? LeadState.NotSaid,
            Cut(text("revision"))
        );
    }

    /// <summary>The same as the query of an address.</summary>
    /// <param name="net">A net; null for none.</param>
    public string Query(string? net = null)
    {
        (string, string)[] parts =
        [
            ("state", FieldWords.NameOf(State)),
            ("kind", FieldWords.NameOf(Kind)),
            ("polarity", Polarity is { } polarity ? FieldWords.NameOf(polarity) : ""),
            ("meter", Meter),
            ("board", Board),
            ("leads", FieldWords.NameOf(Leads)),
            ("revision", Revision),
            ("net", net ?? ""),
        ];
        return "?"
            + string.Join(
                "&",
                parts
                    .Where(part => part.Item2.Length > 0)
                    .Select(part => $"{part.Item1}={Uri.EscapeDataString(part.Item2)}")
            );
    }

    internal static T? Named<T>(string text)
        where T : struct, Enum
    {
        foreach (T value in Enum.GetValues<T>())
        {
            if (FieldWords.NameOf(value) == text)
            {
                return value;
            }
        }
        return null;
    }

    internal static string Cut(string text) =>
        text.Trim() is { Length: > Reading.LongestText } longer ? longer[..Reading.LongestText] : text.Trim();
}

/// <summary>A net on the screen of readings.</summary>
/// <param name="Name">Its name.</param>
/// <param name="IsRail">Whether it is a rail.</param>
/// <param name="Here">Readings of it in the state and kind that are open, the newest sitting and all before.</param>
public sealed record ShownNet(string Name, bool IsRail, IReadOnlyList<JobReading> Here);

/// <summary>Everything that the screen of readings shows.</summary>
/// <param name="Stored">The job as stored.</param>
/// <param name="Record">Its readings.</param>
/// <param name="Place">What is being measured.</param>
/// <param name="Nets">Nets in the order in which they are measured.</param>
/// <param name="Current">The net that is next; null for none.</param>
public sealed record ReadingView(
    StoredJob Stored,
    JobReadings Record,
    ReadingPlace Place,
    IReadOnlyList<ShownNet> Nets,
    string? Current
)
{
    private const int MostSignals = 400;

    /// <summary>What was typed and could not be taken; null for nothing.</summary>
    public string? Typed { get; init; }

    /// <summary>What is wrong with what was sent.</summary>
    public IReadOnlyList<string> Problems { get; init; } = [];

    /// <summary>What was just done; null for nothing.</summary>
    public string? Done { get; init; }

    /// <summary>Address of the job page.</summary>
    public string JobAddress => $"/jobs/{Stored.Job.Id}";

    /// <summary>Address of this screen.</summary>
    public string Address => $"/jobs/{Stored.Job.Id}/readings";

    /// <summary>The net after another that has no reading here yet; the next one in the list where all have.</summary>
    public string? After(string net)
    {
        int at = Nets.Index().FirstOrDefault(one => Same(one.Item.Name, net), (-1, null!)).Index;
        return Nets.Skip(at + 1).Concat(Nets.Take(Math.Max(at, 0))).FirstOrDefault(one => one.Here.Count == 0)?.Name;
    }

    /// <summary>The screen of a job.</summary>
    public static ReadingView Of(StoredJob stored, ReadingDesk desk, ReadingPlace place, string? net)
    {
        ArgumentNullException.ThrowIfNull(stored);
        ArgumentNullException.ThrowIfNull(desk);
        JobReadings record = desk.Record(stored.Job.Id);
        BallMap? map = desk.Map(stored.Job);
        List<(string Name, bool IsRail)> names = [];
        void Add(string name, bool rail)
        {
            if (name.Length > 0 && !names.Exists(one => Same(one.Name, name)))
            {
                names.Add((name, rail));
            }
        }
        bool signals = place.Kind == ReadingKind.Diode;
        if (!signals)
        {
            foreach (ProofRail rail in record.Rails.Concat(map is null ? [] : ProofRail.Of(map)))
            {
                Add(rail.Name, true);
            }
        }
        foreach (
            JobReading one in record.Readings.Where(one => one.Reading.Kind == place.Kind && one.Reading.To is null)
        )
        {
            Add(one.Reading.Net, !signals);
        }
        if (signals)
        {
            foreach (MapBall ball in (map?.Balls ?? []).Where(ball => ball.Class == BallClass.Signal).Take(MostSignals))
            {
                Add(ball.Signal, false);
            }
        }
        if (net is { Length: > 0 })
        {
            Add(net, !signals);
        }
        List<ShownNet> shown =
        [
            .. names.Select(one => new ShownNet(
                one.Name,
                one.IsRail,
                [
                    .. record.Readings.Where(reading =>
                        reading.Reading.State == place.State
                        && reading.Reading.Kind == place.Kind
                        && reading.Reading.To is null
                        && Same(reading.Reading.Net, one.Name)
                    ),
                ]
            )),
        ];
        return new ReadingView(
            stored,
            record,
            place,
            shown,
            net is { Length: > 0 } ? net : shown.Find(one => one.Here.Count == 0)?.Name
        );
    }

    internal static bool Same(string a, string b) =>
        string.Equals(a.Trim(), b.Trim(), StringComparison.OrdinalIgnoreCase);
}

/// <summary>Everything that the screen of the proof shows.</summary>
/// <param name="Stored">The job as stored.</param>
/// <param name="Record">Its readings.</param>
/// <param name="Proof">The proof.</param>
/// <param name="Answer">The answer to question 7; null where nothing was read.</param>
/// <param name="Coverage">What is proven of each ball; null without a ball list.</param>
/// <param name="Plan">The plan of the first power.</param>
/// <param name="FirstPower">What the newest trace says; null without one.</param>
public sealed record ProofView(
    StoredJob Stored,
    JobReadings Record,
    ProofAnswer Proof,
    QuestionSummary? Answer,
    ProofCoverage? Coverage,
    FirstPowerPlan Plan,
    TraceAnswer? FirstPower
)
{
    /// <summary>Number of the question.</summary>
    public const int Question = 7;

    /// <summary>Name of a picked ball; null for none.</summary>
    public string? Ball { get; init; }

    /// <summary>What is wrong with what was sent.</summary>
    public IReadOnlyList<string> Problems { get; init; } = [];

    /// <summary>What was just done; null for nothing.</summary>
    public string? Done { get; init; }

    /// <summary>Address of the job page.</summary>
    public string JobAddress => $"/jobs/{Stored.Job.Id}";

    /// <summary>Address of this screen.</summary>
    public string Address => $"/jobs/{Stored.Job.Id}/proof";

    /// <summary>The screen of a job.</summary>
    public static ProofView Of(StoredJob stored, ReadingDesk desk)
    {
        ArgumentNullException.ThrowIfNull(stored);
        ArgumentNullException.ThrowIfNull(desk);
        JobReadings record = desk.Record(stored.Job.Id);
        ProofAnswer proof = desk.Proof(stored.Job, record);
        FirstPowerPlan plan = ReadingDesk.Plan(proof, record);
        return new ProofView(
            stored,
            record,
            proof,
            record.Readings.Count == 0 ? null : ProofQuestion.Answer(proof),
            desk.Coverage(stored.Job, proof),
            plan,
            desk.FirstPower(record, plan.LimitCurrentA)
        );
    }
}

/// <summary>Everything that the screen of a return shows.</summary>
/// <param name="Stored">The job as stored.</param>
/// <param name="Record">Its readings.</param>
/// <param name="Answer">Hand-over against return; null where either was not read.</param>
/// <param name="Map">Ball list of the chip; null without one.</param>
/// <param name="Faults">What the record says about this fault and those before.</param>
/// <param name="HandedOver">The answer to question 10 as the record says it now: warranty, and what was not tested.</param>
public sealed record ReturnView(
    StoredJob Stored,
    JobReadings Record,
    ReturnAnswer? Answer,
    BallMap? Map,
    DiagnosisRecord Faults,
    HandoverAnswer HandedOver
)
{
    /// <summary>Sheets that were kept when it was handed over, newest first.</summary>
    public IEnumerable<EvidenceEntry> Sheets => HandoverView.SheetsOf(Stored.Job);

    /// <summary>Whether it came back within its warranty; null where that is not known.</summary>
    public bool? InWarranty =>
        Faults.CameBack is { } back && HandedOver.Warranty is { Until: { } until } ? back.At <= until : null;

    /// <summary>Address of the job page.</summary>
    public string JobAddress => $"/jobs/{Stored.Job.Id}";

    /// <summary>Number of readings of a state.</summary>
    public string Count(ReadingState state) =>
        Record.All.Count(one => one.State == state).ToString(CultureInfo.InvariantCulture);
}
