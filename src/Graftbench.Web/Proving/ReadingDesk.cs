using System.Text;
using System.Text.Json;
using Graftbench.Core.Fit;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Core.Proof;
using Graftbench.Core.Returns;
using Graftbench.Store;
using Graftbench.Vision.Answering;
using Graftbench.Web.Desk;
using Graftbench.Web.Fitting;
using Graftbench.Web.Hosting;
using Graftbench.Web.Imaging;
using Graftbench.Web.Inspecting;

namespace Graftbench.Web.Proving;

/// <summary>Readings of stored jobs and what follows from them: proof, coverage, first power, returns.</summary>
/// <param name="store">Where they lie.</param>
/// <param name="fit">Ball lists.</param>
/// <param name="pictures">What pictures say of joints.</param>
/// <param name="book">Lines of records.</param>
public sealed class ReadingDesk(BenchStore store, FitDesk fit, InspectionDesk pictures, RecordBook book)
{
    private readonly AnswerMemo<TraceReading> traces = new(12);

    /// <summary>Adds a line to the record of a job.</summary>
    /// <param name="job">The job.</param>
    /// <param name="kind">Kind of the line.</param>
    /// <param name="words">The line in words.</param>
    /// <param name="note">What it says.</param>
    /// <param name="file">Its file; null without one.</param>
    public void Append(Job job, string kind, string words, ReadingNote note, StoredFile? file = null) =>
        AppendTo(store, job, kind, words, note, file);

    /// <summary>Adds a line about readings to the record of a job in a store.</summary>
    public static void AppendTo(
        BenchStore store,
        Job job,
        string kind,
        string words,
        ReadingNote note,
        StoredFile? file = null
    )
    {
        ArgumentNullException.ThrowIfNull(store);
        ArgumentNullException.ThrowIfNull(job);
        store.Append(
            job.Id,
            new EvidenceDraft(
                Saving.Who(job),
                kind,
                JsonSerializer.Serialize(new ReadingPayload(words, file?.Name, note), ReadingNote.Json),
                file
            )
        );
    }

    /// <summary>What the record of a job says.</summary>
    public JobReadings Record(string jobId) => book.Of(jobId, JobReadings.Of);

    /// <summary>The ball list of the chip; what the board is made for where there is none.</summary>
    public BallMap? Map(Job job) => fit.Request(job) is { } request ? request.ChipMap ?? request.HostMap : null;

    /// <summary>The proof before power.</summary>
    /// <param name="job">The job.</param>
    /// <param name="record">Its readings.</param>
    public ProofAnswer Proof(Job job, JobReadings record)
    {
        ArgumentNullException.ThrowIfNull(job);
        ArgumentNullException.ThrowIfNull(record);
        return Prover.Answer(
            new ProofRequest(record.All)
            {
                Rails = record.Rails,
                Map = Map(job),
                Thresholds = record.Limits,
                HostRevision = record.Power.Revision,
                FromDonor = job.Donor is not null,
                Waivers = ProofWaiver.Of(job),
            }
        );
    }

    /// <summary>Answers with what is known of a job's readings laid in; the same where nothing was read.</summary>
    /// <param name="job">The job.</param>
    /// <param name="apart">The other answers.</param>
    public ApartAnswers With(Job job, ApartAnswers apart)
    {
        ArgumentNullException.ThrowIfNull(job);
        ArgumentNullException.ThrowIfNull(apart);
        JobReadings record = Record(job.Id);
        if (record.Readings.Count == 0)
        {
            return apart;
        }
        ProofAnswer proof = Proof(job, record);
        return apart with { Proof = ProofQuestion.Answer(proof), Proven = proof, FirstPower = Plan(proof, record) };
    }

    /// <summary>What is proven of each ball; null without a ball list.</summary>
    public ProofCoverage? Coverage(Job job, ProofAnswer proof)
    {
        ArgumentNullException.ThrowIfNull(proof);
        return proof.Request.Map is null ? null : ProofCoverage.Of(proof, SeenGood(job));
    }

    /// <summary>The plan of the first power.</summary>
    public static FirstPowerPlan Plan(ProofAnswer proof, JobReadings record)
    {
        ArgumentNullException.ThrowIfNull(record);
        return FirstPowerPlanner.Plan(
            new FirstPowerRequest(proof, record.Power.SupplyV, record.Power.StandbyCurrentA)
            {
                RunCurrentA = record.Power.RunCurrentA,
                CoolerOn = record.Power.CoolerOn,
                CurrentFrom = record.Power.From ?? "typed",
                Measured =
                [
                    .. record.All.Where(one => one is { Kind: ReadingKind.Voltage, State: ReadingState.AfterPlacing }),
                ],
            }
        );
    }

    /// <summary>A trace of a job.</summary>
    public TraceReading Trace(JobTrace trace)
    {
        ArgumentNullException.ThrowIfNull(trace);
        return traces.Get(
            trace.Sha256,
            () => CurrentTrace.Read(store.FindFile(trace.Sha256) is { } file ? Encoding.UTF8.GetString(file.Bytes) : "")
        );
    }

    /// <summary>What the newest trace of this board's first power says; null without one that can be read.</summary>
    /// <param name="record">What the job has.</param>
    /// <param name="limitCurrentA">Limit of the supply; null where it is not known [A].</param>
    public TraceAnswer? FirstPower(JobReadings record, double? limitCurrentA)
    {
        ArgumentNullException.ThrowIfNull(record);
        CurrentTrace[] own = [.. Read(record, TraceRole.FirstPower)];
        return own.Length == 0
            ? null
            : TraceJudge.Answer(
                new TraceRequest(own[^1])
                {
                    LimitCurrentA = limitCurrentA,
                    StandbyCurrentA = record.Power.StandbyCurrentA,
                    Healthy = [.. Read(record, TraceRole.OwnHealthy), .. Read(record, TraceRole.ShopHealthy)],
                    Thresholds = record.Limits,
                }
            );
    }

    /// <summary>Hand-over against return; null where either was not read.</summary>
    public ReturnAnswer? Returned(Job job, JobReadings record)
    {
        ArgumentNullException.ThrowIfNull(record);
        return ReturnComparer.CompareIfRead(
            new ReturnRequest(record.All) { Map = Map(job), Thresholds = record.Limits }
        );
    }

    private IEnumerable<CurrentTrace> Read(JobReadings record, TraceRole role) =>
        record.Traces.Where(one => one.Role == role).Select(one => Trace(one).Trace).OfType<CurrentTrace>();

    // Joints that a picture judged as good; a picture that cannot be read says nothing.
    private HashSet<string> SeenGood(Job job) =>
        [
            .. pictures
                .Pictures(job.Id)
                .Where(picture => !picture.SetAside && picture.Kind == PictureKind.Xray)
                .Select(picture => pictures.Seen(job, picture))
                .Where(seen => seen.Judged)
                .SelectMany(seen => seen.Sites)
                .Where(site => site.Counts.Verdict == Core.Findings.Verdict.Ok)
                .Select(site => site.Name),
        ];
}
