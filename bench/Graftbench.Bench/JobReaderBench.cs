using BenchmarkDotNet.Attributes;
using Graftbench.Core.Jobs;
using Graftbench.Tests.Shared;

namespace Graftbench.Bench;

/// <summary>The job reader on a document of 5 MB: right, wrong in every field of one kind, and not JSON at its end.</summary>
[MemoryDiagnoser]
public class JobReaderBench
{
    private byte[] right = [];
    private byte[] wrong = [];
    private byte[] cut = [];

    /// <summary>Makes the three documents.</summary>
    [GlobalSetup]
    public void Make()
    {
        right = LargeJob.Make(5_000_000);
        wrong = LargeJob.Make(5_000_000, humidityPercent: "450");
        cut = right[..^10];
    }

    /// <summary>Walked, bound and checked across its fields.</summary>
    [Benchmark(Baseline = true)]
    public JobReading Right() => JobReader.Read(right, LargeJob.Now);

    /// <summary>Thousands of values out of range.</summary>
    [Benchmark]
    public JobReading Wrong() => JobReader.Read(wrong, LargeJob.Now);

    /// <summary>Walked twice, since the end of the text is missing.</summary>
    [Benchmark]
    public JobReading Cut() => JobReader.Read(cut, LargeJob.Now);
}
