namespace Graftbench.Store.Tests.Support;

/// <summary>A folder that lives as long as a test.</summary>
internal sealed class TestFolder : IDisposable
{
    public TestFolder()
    {
        Path = Directory.CreateTempSubdirectory("graftbench-store-").FullName;
    }

    public string Path { get; }

    public string StoreFile => System.IO.Path.Combine(Path, BenchStore.FileName);

    public string File(string name) => System.IO.Path.Combine(Path, name);

    public BenchStore Open(TimeProvider? time = null) => BenchStore.Open(Path, time ?? new StepTime());

    /// <summary>All bytes of all files, for showing that nothing was written.</summary>
    public IReadOnlyDictionary<string, string> Bytes() =>
        Directory
            .EnumerateFiles(Path, "*", SearchOption.AllDirectories)
            // Readers note themselves in the shared-memory index; that is no data.
            .Where(file => !file.EndsWith("-shm", StringComparison.Ordinal))
            .ToDictionary(
                file => System.IO.Path.GetRelativePath(Path, file),
                file => EvidenceChain.FileHash(System.IO.File.ReadAllBytes(file)),
                StringComparer.Ordinal
            );

    public void Dispose() => Directory.Delete(Path, recursive: true);
}

/// <summary>A clock that moves on by 1.2345678 s with each look.</summary>
internal sealed class StepTime(DateTimeOffset? start = null) : TimeProvider
{
    public static readonly DateTimeOffset Start = new(2026, 1, 31, 9, 5, 0, TimeSpan.Zero);
    private long _ticks = (start ?? Start).UtcTicks;

    public override DateTimeOffset GetUtcNow() => new(Interlocked.Add(ref _ticks, 12_345_678), TimeSpan.Zero);

    public void SetBack(TimeSpan by) => Interlocked.Add(ref _ticks, -by.Ticks);
}
