using Graftbench.Core.Findings;
using Graftbench.Core.Fit;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Jobs;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Updates;

namespace Graftbench.Cli;

/// <summary>Gets together what a fit sheet is computed of.</summary>
internal static class FitInput
{
    // Four bytes a character at most.
    private const long MostListBytes = 4L * BallMapReader.MostCharacters;

    /// <summary>The request of a job with the files beside it.</summary>
    /// <param name="jobPath">Path of the job document.</param>
    /// <param name="job">The job.</param>
    /// <param name="chip">The chip that goes to the host.</param>
    /// <param name="imagePath">Image of the board's flash chip; null without one.</param>
    /// <exception cref="BadInputException">A file cannot be had.</exception>
    public static FitRequest Read(string jobPath, Job job, Chip chip, string? imagePath)
    {
        List<string> wrong = [];
        FitRequest request = Read(jobPath, job, chip, imagePath, wrong);
        return wrong.Count == 0 ? request : throw new BadInputException(string.Join('\n', wrong));
    }

    /// <summary>The sheet of a job where anything of it is begun; a list that cannot be had is said in it.</summary>
    /// <param name="jobPath">Path of the job document.</param>
    /// <param name="job">The job.</param>
    /// <returns>The sheet, and the ball list of the chip, or of what the board is made for.</returns>
    public static (FitSheet? Sheet, BallMap? Map) Begun(string jobPath, Job job)
    {
        if (FitPlanner.Main(job) is not { } chip)
        {
            return (null, null);
        }
        List<string> wrong = [];
        FitRequest request = Read(jobPath, job, chip, null, wrong);
        request = request with
        {
            MapFindings =
            [
                .. request.MapFindings,
                .. wrong.Select(problem => new Finding(
                    Verdict.Unknown,
                    "fit.list",
                    "ball lists",
                    problem,
                    Source: "ball-map-rules",
                    Todo: "Put the file beside the job document."
                )),
            ],
        };
        return (FitPlanner.IsBegun(request) ? FitPlanner.Sheet(request) : null, request.ChipMap ?? request.HostMap);
    }

    private static FitRequest Read(string jobPath, Job job, Chip chip, string? imagePath, List<string> wrong)
    {
        (BallMap? host, IReadOnlyList<Finding> hostFindings) = List(
            jobPath,
            FitPlanner.HostList(job, chip),
            "host",
            wrong
        );
        (BallMap? mine, IReadOnlyList<Finding> chipFindings) = List(jobPath, chip.BallList, $"chip {chip.Id}", wrong);
        Finding? firmware = imagePath is null ? null : Firmware(imagePath, chip, wrong);
        return new FitRequest(job, chip)
        {
            HostMap = host,
            ChipMap = mine,
            MapFindings = [.. hostFindings, .. chipFindings],
            Firmware = firmware,
        };
    }

    private static (BallMap? Map, IReadOnlyList<Finding> Findings) List(
        string jobPath,
        BallListFile? list,
        string where,
        List<string> wrong
    )
    {
        if (list is null || BesideFile.Read(jobPath, list.File, list.Sha256, MostListBytes, wrong) is not { } bytes)
        {
            return (null, []);
        }
        BallListRead read = BallListFiles.Read(bytes, list, where);
        return (read.Map, read.Findings);
    }

    private static Finding? Firmware(string imagePath, Chip chip, List<string> wrong)
    {
        if (
            !ProcessorSignature.TryParse(chip.Needs?.Signature, out ProcessorSignature signature)
            || signature.Value == 0
        )
        {
            wrong.Add(
                $"--image {imagePath}: the job does not say which signature the firmware must know. Enter it under needs.signature of chip {chip.Id}."
            );
            return null;
        }
        return ChipQuestion.Ask(ImageReader.Read(ImageInput.Bytes(imagePath)), signature, chip.Needs?.Platform).Finding;
    }
}
