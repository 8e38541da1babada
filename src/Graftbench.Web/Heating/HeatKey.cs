using System.Security.Cryptography;
using System.Text;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;

namespace Graftbench.Web.Heating;

/// <summary>What a heat plan depends on, as a hash: two jobs that agree in it share a plan.</summary>
internal static class HeatKey
{
    // Left out by name; a field that is added later counts until somebody decides otherwise.
    public static string Of(Job job, HeatTask task, string chipId)
    {
        ArgumentNullException.ThrowIfNull(job);
        Job heated = job with
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
            Wishes = job.Wishes with { StartAt = null },
        };
        using IncrementalHash hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        hash.AppendData(Encoding.UTF8.GetBytes($"{task}\n{chipId}\n"));
        hash.AppendData(JobFormat.Write(heated));
        return Convert.ToHexStringLower(hash.GetHashAndReset())[..32];
    }
}
