using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

/// <summary>Stores with something of everything in them, on either database, closed and removed at the end.</summary>
public abstract class CopyBench : IDisposable
{
    private readonly List<IDisposable> _open = [];

    public static TheoryData<StoreKind, StoreKind> Ways =>
        new()
        {
            { StoreKind.Sqlite, StoreKind.Postgres },
            { StoreKind.Postgres, StoreKind.Sqlite },
            { StoreKind.Sqlite, StoreKind.Sqlite },
            { StoreKind.Postgres, StoreKind.Postgres },
        };

    public static TheoryData<StoreKind> Kinds => [StoreKind.Sqlite, StoreKind.Postgres];

    protected static CancellationToken Stop => TestContext.Current.CancellationToken;

    public void Dispose()
    {
        _open.Reverse();
        _open.ForEach(one => one.Dispose());
    }

    internal TestFolder Folder(StoreKind kind)
    {
        TestFolder folder = new(kind);
        _open.Add(folder);
        return folder;
    }

    internal BenchStore Open(TestFolder folder)
    {
        BenchStore store = folder.Open();
        _open.Add(store);
        return store;
    }

    internal (TestFolder, BenchStore) Filled(StoreKind kind)
    {
        TestFolder folder = Folder(kind);
        BenchStore store = Open(folder);
        Samples.Fill(store);
        store.Append("arcade-7", new EvidenceDraft("Zoë 李", "note", "{\"a\":\"\\u0000 °\"}"));
        store.Append(
            "mill-3",
            new EvidenceDraft(
                "Ada",
                "dump",
                "{}",
                new StoredFile("long.bin", "application/octet-stream", Bytes(5_000_000))
            )
        );
        store.Append("mill-3", Samples.Picture("empty.jpg", ""));
        store.AddBenchFact("Left", BenchFactRules.Heaters, "{}", "Ada");
        HeatRun over = store.StartRun(new HeatRunDraft("arcade-7", "Ada", "{}", ["a", "b"]));
        store.AppendSamples(over, [.. Enumerable.Range(0, 300).Select(i => new HeatSample(i / 10.0, [i, double.NaN]))]);
        store.AppendMark(over, new HeatMark(1, "moved", "nozzle"));
        store.EndRun(over, HeatRunState.Ended);
        HeatRun going = store.StartRun(new HeatRunDraft("arcade-7", "Ada", "{}", ["a", "b"]));
        store.AppendSamples(going, [.. Enumerable.Range(0, 3).Select(i => new HeatSample(i / 10.0, [i, -i]))]);
        return (folder, store);
    }

    private static byte[] Bytes(int length)
    {
        byte[] bytes = new byte[length];
        new Random(5).NextBytes(bytes);
        return bytes;
    }
}
