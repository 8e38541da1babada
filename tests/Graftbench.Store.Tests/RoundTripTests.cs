using CsCheck;
using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

public abstract class RoundTripTests(StoreKind kind)
{
    private static readonly Gen<string> Who = Gen.OneOf(
        Gen.String[Gen.Char["abcdefXYZ üß漢"], 1, 80].Where(text => !string.IsNullOrWhiteSpace(text)),
        Gen.OneOf("Ada", "Zoë", "李", "O'Brien", "\"; DROP TABLE evidence; --", "🙂", "a\u200fb")
    );

    private static readonly Gen<string> Kind = Gen.OneOf("note", "weighing", "waiver", "log", "picture-2");

    private static readonly Gen<string> Payload = Gen.OneOf(
        Gen.String.Where(IsUnicode).Select(text => System.Text.Json.JsonSerializer.Serialize(new { note = text })),
        Gen.OneOf("{}", "[]", "null", "0", " \r\n{ \"a\" : 1.50 }\t", "{\"a\":1,\"A\":2}", "\"\\u0000\\ud83d\\ude42\"")
    );

    private static readonly Gen<StoredFile?> File = Gen.OneOf(
        Gen.Const((StoredFile?)null),
        Gen.Select(
                Gen.OneOf("a.jpg", "b.csv", "dump é.bin", "same"),
                Gen.OneOf("image/jpeg", "text/csv; charset=utf-8", "application/octet-stream"),
                Gen.Byte.Array[0, 300]
            )
            .Select((name, type, bytes) => (StoredFile?)new StoredFile(name, type, bytes))
    );

    [Fact]
    public void Whatever_is_stored_comes_back_verifies_and_travels() =>
        Gen.Select(Who, Kind, Payload, File)
            .Select((who, kind, payload, file) => new EvidenceDraft(who, kind, payload, file))
            .Array[1, 12]
            .Sample(
                drafts =>
                {
                    using TestFolder folder = new(kind);
                    using TestFolder otherFolder = new(kind);
                    using BenchStore store = folder.Open();
                    using BenchStore other = otherFolder.Open();
                    store.SaveJob(Samples.Job(), 0, "Ada");
                    List<EvidenceLine> acknowledged = [.. drafts.Select(draft => store.Append("arcade-7", draft))];
                    Assert.Equal(acknowledged, store.Evidence("arcade-7").Skip(1));
                    foreach ((EvidenceDraft draft, EvidenceLine line) in drafts.Zip(acknowledged))
                    {
                        Assert.Equal(
                            (draft.Who, draft.Kind, draft.PayloadJson),
                            (line.Who, line.Kind, line.PayloadJson)
                        );
                        Assert.Equal((draft.File?.Name, draft.File?.MediaType), (line.FileName, line.FileMediaType));
                        Assert.Equal(
                            draft.File?.Bytes,
                            line.FileSha256 is null ? null : store.FindFile(line.FileSha256)!.Bytes
                        );
                    }
                    Assert.True(store.Check().IsWhole);
                    byte[] zip = store.Zip();
                    Assert.True(other.Take(zip).IsDone);
                    Assert.Equal(store.Evidence("arcade-7"), other.Evidence("arcade-7"));
                    Assert.Equal(zip, other.Zip());
                },
                // A database of its own for each round takes longer than a file.
                iter: kind == StoreKind.Sqlite ? 25 : 10
            );

    private static bool IsUnicode(string text)
    {
        try
        {
            return EvidenceChain.Utf8.GetByteCount(text) >= 0;
        }
        catch (System.Text.EncoderFallbackException)
        {
            return false;
        }
    }
}
