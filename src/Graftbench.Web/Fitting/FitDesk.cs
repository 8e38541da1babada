using Graftbench.Core.Findings;
using Graftbench.Core.Fit;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Store;
using Graftbench.Web.Desk;
using Graftbench.Web.Imaging;

namespace Graftbench.Web.Fitting;

/// <summary>Fit sheets of stored jobs: ball lists from the store, what the firmware says from its desk.</summary>
/// <param name="store">Where the lists lie.</param>
/// <param name="firmware">What images say.</param>
public sealed class FitDesk(BenchStore store, FirmwareDesk firmware)
{
    private readonly AnswerMemo<BallListRead> lists = new(24);

    /// <summary>What question 1 is computed of; null where no chip goes to the host.</summary>
    /// <param name="job">The job.</param>
    public FitRequest? Request(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        if (FitPlanner.Main(job) is not { } chip)
        {
            return null;
        }
        BallListRead? host = List(FitPlanner.HostList(job, chip), "host");
        BallListRead? mine = List(chip.BallList, $"chip {chip.Id}");
        return new FitRequest(job, chip)
        {
            HostMap = host?.Map,
            ChipMap = mine?.Map,
            MapFindings = [.. host?.Findings ?? [], .. mine?.Findings ?? []],
            Firmware = firmware.Glance(job.Id)?.Knows,
        };
    }

    /// <summary>The fit sheet; null where no chip goes to the host, or nothing that decides it was entered.</summary>
    /// <param name="job">The job.</param>
    public FitSheet? Sheet(Job job) =>
        Request(job) is { } request && FitPlanner.IsBegun(request) ? FitPlanner.Sheet(request) : null;

    /// <summary>A list that a job names; null where it names none.</summary>
    /// <param name="list">What the job says.</param>
    /// <param name="where">Whose list it is.</param>
    public BallListRead? List(BallListFile? list, string where) =>
        list is null
            ? null
            : lists.Get(
                $"{list.Sha256}|{list.View}|{list.Package}|{list.File}|{where}",
                () =>
                    list.Sha256 is { } sha && store.FindFile(sha) is { } file
                        ? BallListFiles.Read(file.Bytes, list, where)
                        : Missing(list, where)
            );

    private static BallListRead Missing(BallListFile list, string where) =>
        new(
            null,
            [],
            [
                new Finding(
                    Verdict.FixFirst,
                    "fit.list",
                    $"ball list of {where}",
                    "The job names a list that is not in the store.",
                    list.File,
                    Source: "ball-map-rules",
                    Todo: "Give the file again on the fit screen."
                ),
            ]
        );
}
