using System.Security.Cryptography;
using System.Text;
using Graftbench.Core.Jobs;

namespace Graftbench.Web.Desk;

/// <summary>What a plan of the physics depends on, as a hash: two jobs that agree in it share a plan.</summary>
internal static class PlanKey
{
    // Left out by name; a field that is added later counts until somebody decides otherwise.
    /// <summary>The hash.</summary>
    /// <param name="job">The job.</param>
    /// <param name="about">What is planned, beside the job's content.</param>
    public static string Of(Job job, string about)
    {
        ArgumentNullException.ThrowIfNull(job);
        Job planned = job with
        {
            Id = "x",
            Title = "x",
            OpenedAt = null,
            Stage = JobStage.Intake,
            Shop = new Shop(),
            Machine = new Machine(),
            Dryer = new Dryer(),
            History = new History(),
            Evidence = [],
            Handover = null,
            Work = [],
            Result = WorkResult.Unknown,
            Host = job.Host with { Gives = null },
            // What the fit sheet alone asks for.
            Chips = [.. job.Chips.Select(chip => chip with { Marking = null, Needs = null, BallList = null })],
            Wishes = job.Wishes with { StartAt = null },
        };
        return Hash(planned, about);
    }

    /// <summary>The hash for the seat of a chip: neither boards nor heaters move it.</summary>
    /// <param name="job">The job.</param>
    /// <param name="chipId">The chip.</param>
    public static string OfSeat(Job job, string chipId)
    {
        ArgumentNullException.ThrowIfNull(job);
        return Of(
            job with
            {
                Host = new Board
                {
                    LengthMm = 1,
                    WidthMm = 1,
                    ThicknessMm = 1,
                },
                Donor = null,
                Bench = new Bench(),
                Chips = [.. job.Chips.Where(chip => chip.Id == chipId)],
            },
            $"joints\n{chipId}"
        );
    }

    private static string Hash(Job planned, string about)
    {
        using IncrementalHash hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        hash.AppendData(Encoding.UTF8.GetBytes($"{about}\n"));
        hash.AppendData(JobFormat.Write(planned));
        return Convert.ToHexStringLower(hash.GetHashAndReset())[..32];
    }
}
