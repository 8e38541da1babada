using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

/// <summary>Zips that must not get in: only findings come out, and the store stays as it was to the byte.</summary>
public abstract class BadImportTests : IDisposable
{
    private readonly TestFolder _folder;
    private readonly BenchStore _store;
    private readonly byte[] _zip;
    private readonly IReadOnlyDictionary<string, string> _before;

    protected BadImportTests(StoreKind kind)
    {
        _folder = new(kind);
        using (TestFolder source = new())
        {
            using BenchStore store = source.Open();
            Samples.Fill(store);
            _zip = store.Zip("arcade-7");
        }
        _store = _folder.Open();
        _store.SaveJob(Samples.Job("resident"), 0, "Ada");
        _before = _folder.Bytes();
    }

    [Fact]
    public void Cut_at_every_byte()
    {
        for (int length = 0; length < _zip.Length; length++)
        {
            Refuse(_zip[..length], $"cut at {length}");
        }
        Assert.Equal(_before, _folder.Bytes());
    }

    [Fact]
    public void One_bit_flipped_in_every_byte()
    {
        Random random = new(20260131);
        for (int place = 0; place < _zip.Length; place++)
        {
            byte[] flipped = [.. _zip];
            flipped[place] ^= (byte)(1 << random.Next(8));
            Refuse(flipped, $"bit flipped at {place}");
        }
        Assert.Equal(_before, _folder.Bytes());
    }

    [Fact]
    public void Random_damage_of_many_kinds()
    {
        Random random = new(20260201);
        for (int round = 0; round < 2000; round++)
        {
            List<byte> bytes = [.. _zip];
            for (int change = random.Next(1, 6); change > 0; change--)
            {
                int place = random.Next(bytes.Count);
                int length = Math.Min(random.Next(1, 200), bytes.Count - place);
                switch (random.Next(4))
                {
                    case 0:
                        bytes.RemoveRange(place, length);
                        break;
                    case 1:
                        bytes.InsertRange(place, bytes.GetRange(random.Next(bytes.Count - length + 1), length));
                        break;
                    case 2:
                        bytes.InsertRange(place, Enumerable.Range(0, length).Select(_ => (byte)random.Next(256)));
                        break;
                    default:
                        bytes[place] = (byte)random.Next(256);
                        break;
                }
                if (bytes.Count == 0)
                {
                    break;
                }
            }
            if (!bytes.SequenceEqual(_zip))
            {
                Refuse([.. bytes], $"round {round}");
            }
        }
        Assert.Equal(_before, _folder.Bytes());
    }

    public static readonly TheoryData<string, string> Forgeries = new()
    {
        // What is done to a sound export, with all checksums right; the finding that must be among those that come out.
        { "no manifest", "import.no-manifest" },
        { "other version", "import.wrong-version" },
        { "manifest reformatted", "import.manifest" },
        { "manifest with another count", "import.record-count" },
        { "manifest with another head", "import.head-differs" },
        { "manifest with another file count", "import.file-count" },
        { "note altered", "import.line-altered" },
        { "line left out", "import.chain-broken" },
        { "lines exchanged", "import.chain-broken" },
        { "line is no JSON", "import.line-unreadable" },
        { "line reformatted", "import.line-unreadable" },
        { "last line end left out", "import.line-unreadable" },
        { "other record", "import.other-record" },
        { "job altered", "import.job-differs" },
        { "job is no job", "import.job-document" },
        { "job missing", "import.job-missing" },
        { "evidence missing", "import.entry-missing" },
        { "file altered", "import.file-altered" },
        { "file missing", "import.entry-missing" },
        { "file nobody refers to", "import.file-without-evidence" },
        { "further entry", "import.entry-unexpected" },
        { "entry twice", "import.entry-twice" },
        { "path that climbs out", "import.entry-name" },
        { "absolute path", "import.entry-name" },
        { "drive path", "import.entry-name" },
        { "other order", "import.entry-order" },
        { "packed by another program", "import.zip-directory" },
        { "bytes in front", "import.zip-directory" },
        { "bytes behind", "import.cut-off" },
    };

    [Theory, MemberData(nameof(Forgeries))]
    public void Forged_with_sound_checksums(string how, string code)
    {
        IReadOnlyList<Finding> findings = Refuse(Forge(how), how);
        Assert.Contains(findings, finding => finding.Code == code);
        Assert.Equal(_before, _folder.Bytes());
    }

    [Fact]
    public void Everything_that_is_wrong_is_listed_at_once()
    {
        ZipForge forge = new(_zip);
        forge.Replace("evidence.jsonl", "card 10 %", "card 60 %");
        forge.Entries[^1] = (forge.Entries[^1].Name, "not the picture"u8.ToArray());
        forge.Replace("job.json", "\"thicknessMm\": 1.6", "\"thicknessMm\": -1.6");
        forge.Entries.Add(("readme.txt", []));
        string[] codes = [.. Refuse(forge.Zip(), "many").Select(finding => finding.Code)];
        Assert.Superset(
            new HashSet<string>([
                "import.line-altered",
                "import.file-altered",
                "import.job-differs",
                "import.job-document",
                "import.entry-unexpected",
            ]),
            new HashSet<string>(codes)
        );
    }

    [Fact]
    public void A_cut_zip_says_how_much_of_it_is_whole()
    {
        Finding finding = Assert.Single(Refuse(_zip[..^400], "cut"));
        Assert.Equal("import.cut-off", finding.Code);
        Assert.Contains("files are complete", finding.What, StringComparison.Ordinal);
    }

    [Fact]
    public void A_zip_that_claims_more_than_it_holds_allocates_nothing_of_it()
    {
        // The length in the directory and in the local header of manifest.json is set to nearly 4 GiB.
        byte[] bomb = [.. _zip];
        int directory = bomb.AsSpan().LastIndexOf("PK\u0001\u0002\u0014\0"u8);
        foreach (int at in new[] { 18, 22, directory + 20, directory + 24 })
        {
            BitConverter.TryWriteBytes(bomb.AsSpan(at), 0xFFFF_FFF0u);
        }
        long before = GC.GetAllocatedBytesForCurrentThread();
        Refuse(bomb, "bomb");
        Assert.InRange(GC.GetAllocatedBytesForCurrentThread() - before, 0, 50_000_000);
    }

    [Fact]
    public void The_list_of_findings_has_an_end()
    {
        ZipForge forge = new(_zip);
        forge["evidence.jsonl"] = Encoding.UTF8.GetBytes(string.Concat(Enumerable.Repeat("x\n", 50_000)));
        IReadOnlyList<Finding> findings = Refuse(forge.Zip(), "many lines");
        Assert.InRange(findings.Count, 200, 202);
        Assert.Equal("import.more", findings[^1].Code);
    }

    public void Dispose()
    {
        _store.Dispose();
        _folder.Dispose();
    }

    private IReadOnlyList<Finding> Refuse(byte[] zip, string what)
    {
        ImportReport report = _store.Take(zip);
        Assert.False(report.IsDone, what);
        Assert.Empty(report.Records);
        Assert.All(report.Findings, finding => Assert.Equal(Verdict.Blocker, finding.Verdict));
        return report.Findings;
    }

    private byte[] Forge(string how)
    {
        ZipForge forge = new(_zip);
        List<string> lines =
        [
            .. Encoding.UTF8.GetString(forge["evidence.jsonl"]).Split('\n', StringSplitOptions.RemoveEmptyEntries),
        ];
        void Write() =>
            forge["evidence.jsonl"] = Encoding.UTF8.GetBytes(string.Concat(lines.Select(line => line + "\n")));
        void Without(string name) => forge.Entries.RemoveAll(entry => entry.Name == name);
        switch (how)
        {
            case "no manifest":
                Without("manifest.json");
                break;
            case "other version":
                forge.Replace("manifest.json", "graftbench-record-1", "graftbench-record-9");
                break;
            case "manifest reformatted":
                forge.Replace("manifest.json", "  ", " ");
                break;
            case "manifest with another count":
                forge.Replace("manifest.json", "\"lines\": 5", "\"lines\": 6");
                break;
            case "manifest with another head":
                forge.Replace("manifest.json", "\"headSha256\": \"", "\"headSha256\": \"0");
                break;
            case "manifest with another file count":
                forge.Replace("manifest.json", "],\n  \"files\": 2", "],\n  \"files\": 3");
                break;
            case "note altered":
                forge.Replace("evidence.jsonl", "card 10 %", "card 60 %");
                break;
            case "line left out":
                lines.RemoveAt(1);
                Write();
                break;
            case "lines exchanged":
                (lines[1], lines[2]) = (lines[2], lines[1]);
                Write();
                break;
            case "line is no JSON":
                lines[1] = "hello";
                Write();
                break;
            case "line reformatted":
                lines[1] = lines[1].Replace(",\"", ", \"", StringComparison.Ordinal);
                Write();
                break;
            case "last line end left out":
                forge["evidence.jsonl"] = forge["evidence.jsonl"][..^1];
                break;
            case "other record":
                forge.Replace("manifest.json", "arcade-7", "arcade-8");
                break;
            case "job altered":
                forge.Replace("job.json", "210", "200");
                break;
            case "job is no job":
                forge.Replace("job.json", "thicknessMm", "thicknessMM");
                break;
            case "job missing":
                Without("job.json");
                break;
            case "evidence missing":
                Without("evidence.jsonl");
                break;
            case "file altered":
                forge.Entries[^1] = (forge.Entries[^1].Name, [1, 2, 3]);
                break;
            case "file missing":
                forge.Entries.RemoveAt(forge.Entries.Count - 1);
                break;
            case "file nobody refers to":
                forge.Entries.Add(("files/" + EvidenceChain.FileHash("x"u8), "x"u8.ToArray()));
                break;
            case "further entry":
                forge.Entries.Add(("readme.txt", []));
                break;
            case "entry twice":
                forge.Entries.Add(forge.Entries[1]);
                break;
            case "path that climbs out":
                forge.Entries.Add(("../outside", []));
                break;
            case "absolute path":
                forge.Entries.Add(("/outside", []));
                break;
            case "drive path":
                forge.Entries.Add(("c:\\outside", []));
                break;
            case "other order":
                forge.Entries.Reverse();
                break;
            case "packed by another program":
                return forge.Packed();
            case "bytes in front":
                return [.. "MZ"u8, .. forge.Zip()];
            case "bytes behind":
                return [.. forge.Zip(), 0];
            default:
                Assert.Fail(how);
                break;
        }
        return forge.Zip();
    }
}
