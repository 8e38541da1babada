using System.IO.Compression;
using Graftbench.Core.Jobs;
using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

public abstract class TablesTests : IDisposable
{
    private readonly TestFolder _folder;
    private readonly BenchStore _store;

    protected TablesTests(StoreKind kind)
    {
        _folder = new(kind);
        _store = _folder.Open();
    }

    [Fact]
    public void What_has_columns_is_in_the_lists_and_words_are_defused()
    {
        Job job = Samples.Job(title: "=1+1, \"quoted\"");
        _store.SaveJob(
            job with
            {
                Machine = new Machine { Owner = "@SUM(A1)", Serial = "-7" },
                History = new History
                {
                    Heats =
                    [
                        new Heat
                        {
                            Of = "c1",
                            At = StepTime.Start,
                            Kind = HeatKind.Lift,
                            PeakC = 231.5,
                        },
                    ],
                },
            },
            0,
            "Ada"
        );
        _store.Append("arcade-7", Samples.Note("+3V3 is low\nsecond line"));
        _store.Append(
            "arcade-7",
            new EvidenceDraft(
                "Ben",
                "reading",
                """{"note":"read","readings":{"csv":"net,kind,value,unit,state\n+3V3,diode,0.431,V,baseline\nVCORE,resistance,12.5,Ohm,baseline\n"}}"""
            )
        );
        _store.SaveShelfItem("b1", "board", "Donor", "{}", 0, "Ada");
        using MemoryStream zip = new();
        TablesReport report = _store.WriteTables(zip, TestContext.Current.CancellationToken);
        Dictionary<string, string[]> tables = Read(zip);
        Assert.Equal(report.Tables.Select(table => table.Name + ".csv"), tables.Keys.Order(StringComparer.Ordinal));
        Assert.All(report.Tables, table => Assert.Equal(table.Lines, tables[table.Name + ".csv"].Length - 1));
        string jobs = tables["jobs.csv"][1];
        Assert.StartsWith("arcade-7,1,2026-01-31T", jobs, StringComparison.Ordinal);
        Assert.Contains(",\"'=1+1, \"\"quoted\"\"\",intake,", jobs, StringComparison.Ordinal);
        Assert.Contains(",'-7,'@SUM(A1),", jobs, StringComparison.Ordinal);
        Assert.Contains(",231.5,", tables["heats.csv"][1] + ",", StringComparison.Ordinal);
        Assert.StartsWith("job,", tables["heats.csv"][0], StringComparison.Ordinal);
        Assert.Contains(",'+3V3 is low second line,", tables["evidence.csv"][2], StringComparison.Ordinal);
        Assert.StartsWith("job,line,net,", tables["readings.csv"][0], StringComparison.Ordinal);
        Assert.StartsWith("arcade-7,3,'+3V3,", tables["readings.csv"][1], StringComparison.Ordinal);
        Assert.StartsWith("arcade-7,3,VCORE,", tables["readings.csv"][2], StringComparison.Ordinal);
        Assert.StartsWith("b1,board,Donor,1,", tables["shelf.csv"][1], StringComparison.Ordinal);
        Assert.StartsWith("arcade-7,c1,", tables["chips.csv"][1], StringComparison.Ordinal);
    }

    [Fact]
    public void Nothing_is_overwritten_and_nothing_half_is_left()
    {
        _store.SaveJob(Samples.Job(), 0, "Ada");
        string target = _folder.File("tables.zip");
        File.WriteAllText(target, "mine");
        Assert.Throws<StoreException>(() => _store.WriteTables(target, stop: TestContext.Current.CancellationToken));
        Assert.Equal("mine", File.ReadAllText(target));
        using CancellationTokenSource stop = new();
        stop.Cancel();
        Assert.ThrowsAny<OperationCanceledException>(() =>
            _store.WriteTables(_folder.File("other.zip"), stop: stop.Token)
        );
        Assert.Equal(["tables.zip"], Directory.GetFiles(_folder.Path, "*zip*").Select(Path.GetFileName));
        _store.WriteTables(target, overwrite: true, TestContext.Current.CancellationToken);
        Assert.Contains("jobs.csv", Read(File.OpenRead(target)).Keys);
    }

    public void Dispose()
    {
        _store.Dispose();
        _folder.Dispose();
    }

    private static Dictionary<string, string[]> Read(Stream zip)
    {
        using ZipArchive archive = new(zip);
        return archive.Entries.ToDictionary(
            entry => entry.FullName,
            entry =>
            {
                using StreamReader reader = new(entry.Open());
                return reader.ReadToEnd().Split('\n', StringSplitOptions.RemoveEmptyEntries);
            },
            StringComparer.Ordinal
        );
    }
}
