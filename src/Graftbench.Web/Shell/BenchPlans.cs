using System.Collections.Concurrent;
using Graftbench.Core.Fit;
using Graftbench.Core.Handover;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;
using Graftbench.Core.Planning;
using Graftbench.Store;
using Graftbench.Web.Desk;
using Graftbench.Web.Diagnosing;
using Graftbench.Web.Fitting;
using Graftbench.Web.HandingOver;
using Graftbench.Web.Heating;
using Graftbench.Web.Imaging;
using Graftbench.Web.Inspecting;
using Graftbench.Web.Proving;
using Graftbench.Web.Seating;

namespace Graftbench.Web.Shell;

/// <summary>
/// Plans of stored jobs for the present moment, kept for half a minute so that a page of many jobs opens at once. A heat
/// plan, a joint seat and the answer about the firmware are taken in when their desks have one; none is waited for.
/// </summary>
public sealed class BenchPlans(
    TimeProvider time,
    HeatDesk desk,
    JointDesk jointDesk,
    JointShelf shelf,
    FirmwareDesk firmware,
    InspectionDesk inspection,
    FitDesk fit,
    ReadingDesk readings,
    DiagnosisDesk diagnosis,
    HandoverDesk handover,
    RecordBook book
)
{
    private static readonly TimeSpan KeptFor = TimeSpan.FromSeconds(30);
    private readonly ConcurrentDictionary<string, (int Revision, int Desk, long Lines, JobPlan Plan)> kept = new(
        StringComparer.Ordinal
    );

    /// <summary>The plan of a job as of now.</summary>
    public JobPlan For(StoredJob stored)
    {
        DateTimeOffset now = time.GetLocalNow();
        int version = desk.Version + jointDesk.Version + firmware.Version + inspection.Version;
        long lines = book.Count(stored.Job.Id);
        if (
            kept.TryGetValue(stored.Job.Id, out (int Revision, int Desk, long Lines, JobPlan Plan) known)
            && known.Revision == stored.Revision
            && known.Desk == version
            && known.Lines == lines
            && (now - known.Plan.ComputedAt).Duration() < KeptFor
        )
        {
            return known.Plan;
        }
        JobPlan plan = Planner.Plan(stored.Job, now, Apart(stored));
        kept[stored.Job.Id] = (stored.Revision, version, lines, plan);
        return plan;
    }

    /// <summary>The plan as of now that a job would have if it were changed.</summary>
    /// <param name="stored">The job as stored.</param>
    /// <param name="changed">The job as it would be.</param>
    public JobPlan For(StoredJob stored, Job changed)
    {
        ArgumentNullException.ThrowIfNull(stored);
        return Planner.Plan(changed, time.GetLocalNow(), Apart(stored with { Job = changed }));
    }

    /// <summary>Whether pictures or images of a job are still being looked at: until then they count as not tested.</summary>
    public bool IsLooking(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        return (inspection.Pictures(job.Id).Any(picture => !picture.SetAside) && inspection.Summary(job) is null)
            || (
                firmware.Record(job.Id).Images.Any(image => image.Role != ImageRole.SetAside)
                && firmware.Glance(job.Id) is null
            );
    }

    /// <summary>The answer to question 10, also where the job page does not ask it yet.</summary>
    public HandoverAnswer Handover(StoredJob stored)
    {
        JobPlan plan = For(stored);
        return plan.Apart?.HandedOver
            ?? HandoverPlanner.Answer(new HandoverRequest(plan, handover.Facts(stored.Job, plan.Apart)));
    }

    /// <summary>The plan of a job as of now with the plan of one of its heats in the place of question 3.</summary>
    public JobPlan For(StoredJob stored, HeatPlan heat) =>
        Planner.Plan(stored.Job, time.GetLocalNow(), Apart(stored) with { Heat = heat });

    /// <summary>The plan of a job as of now with the seat of one of its chips in the place of question 5.</summary>
    public JobPlan For(StoredJob stored, JointPlan joints) =>
        Planner.Plan(stored.Job, time.GetLocalNow(), Apart(stored) with { Joints = joints });

    /// <summary>The plan of a job as of now without an answer to question 3.</summary>
    public JobPlan WithoutHeat(StoredJob stored) =>
        Planner.Plan(stored.Job, time.GetLocalNow(), Apart(stored) with { Heat = null });

    private ApartAnswers Apart(StoredJob stored)
    {
        FitSheet? sheet = fit.Sheet(stored.Job);
        QuestionSummary? images = firmware.Summary(stored.Job.Id);
        ApartAnswers nine = readings.With(
            stored.Job,
            new ApartAnswers
            {
                Fit = sheet is null ? null : FitPlanner.Summary(sheet),
                FitSheet = sheet,
                Heat = Heat(stored),
                Joints = Joints(stored),
                Inspection = inspection.Summary(stored.Job),
                Firmware = images,
                NextTest = diagnosis.Summary(stored.Job, images),
            }
        );
        return HandoverPlanner.IsBegun(stored.Job)
            ? nine with
            {
                HandoverFacts = handover.Facts(stored.Job, nine),
            }
            : nine;
    }

    private JointPlan? Joints(StoredJob stored) =>
        JointSubject.Main(stored.Job) is { } subject && jointDesk.Status(stored.Job, subject.Chip.Id).Plan is { } joints
            ? shelf.Mark(stored.Job, subject.Chip, joints)
            : null;

    private HeatPlan? Heat(StoredJob stored) =>
        HeatSubject.Main(stored.Job) is { } subject
            ? desk.Status(stored.Job, subject.Task, subject.Chip.Id).Plan
            : null;
}
