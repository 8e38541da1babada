using System.Text;
using Graftbench.Core.Jobs;
using Graftbench.Core.Search;

namespace Graftbench.Store.Tests.Support;

/// <summary>A job whose record holds its invented owner's name in many places.</summary>
internal static class PersonalSamples
{
    public const string JobId = "arcade-7";
    public const string Html = "<p>For Anna Nov&#xE1;kov&#xE1;</p>";
    public const string Photo = "\0photo of a label";
    public const string Plain = "timeS,C\n0,25\n";
    public const string Shared = "a page that two jobs have: Anna Nováková";

    public static RemovalRequest Request(params string[] files) => new(JobId, ["Anna Nováková", "binder 77"], files);

    public static string Sha(string content) => EvidenceChain.FileHash(Encoding.UTF8.GetBytes(content));

    public static Job Job(string title) =>
        Samples.Job(title: title) with
        {
            Machine = new Machine
            {
                What = "Arcade board",
                Serial = "SN-20771",
                Owner = "Anna Nováková, Brno",
                Authority = "Letter of Anna Novakova, binder 77",
            },
        };

    /// <summary>Saves, notes, files and a watched heat.</summary>
    public static void Fill(BenchStore store)
    {
        store.SaveJob(Job("Board of Anna Nováková"), 0, "Ada");
        store.SaveJob(Job("Board of an arcade"), 1, "Ben");
        store.Append(JobId, Samples.Note("ANNA NOVÁKOVÁ called, chip lifted at 231 °C"));
        store.Append(
            JobId,
            new EvidenceDraft("Ada", "note", """{ "note" : "Anna Nov\u00e1kov\u00E1", "peakC":  231.50 }""")
        );
        store.Append(
            JobId,
            new EvidenceDraft(
                "Ada",
                "readings",
                """{"readings":{"csv":"net,note\nPP1,\"from Anna   Nova\u0301kova\u0301\"\n"},"raw":"{\"by\":\"Anna Nov\\u00E1kov\\u00E1\"}"}"""
            )
        );
        store.Append(JobId, Samples.Note("nothing of anybody"));
        File(store, JobId, "label of Anna Nováková.jpg", "image/jpeg", Photo);
        File(store, JobId, "sheet.html", "text/html", Html);
        File(store, JobId, "log.csv", "text/csv", Plain);
        File(store, JobId, "shared.txt", "text/plain", Shared);
        store.SaveJob(Samples.Job("mill-3", "Mill of Anna Nováková"), 0, "Ada");
        File(store, "mill-3", "shared.txt", "text/plain", Shared);
        store.Append(BenchStore.ShopRecord, Samples.Note("Anna Nováková paid"));
        HeatRun run = store.StartRun(new HeatRunDraft(JobId, "Ada", """{"note":"Anna Nováková waits"}""", ["a"]));
        store.AppendSamples(run, [new HeatSample(0.1, [25]), new HeatSample(0.2, [26])]);
        store.AppendMark(run, new HeatMark(0.1, "note", "Anna Nováková smelled it"));
        store.AppendMark(run, new HeatMark(0.2, "cue", "lift"));
        store.EndRun(run, HeatRunState.Ended);
    }

    public static void File(BenchStore store, string id, string name, string type, string content) =>
        store.Append(
            id,
            new EvidenceDraft("Ada", "file", "{}", new StoredFile(name, type, Encoding.UTF8.GetBytes(content)))
        );

    /// <summary>The file with the log of the watched heat.</summary>
    public static string HeatLog(BenchStore store) =>
        store.Evidence(JobId, BenchStore.HeatRunKind).Single().FileSha256!;

    public static RemovalReport Remove(BenchStore store, RemovalRequest request, string why = "asked by letter") =>
        store.RemovePersonalData(request, store.LookForPersonalData(request).HeadSha256, "Olga", why);

    /// <summary>All that the record of the job says, in one text.</summary>
    public static string AllOf(BenchStore store, string id)
    {
        StringBuilder all = new();
        foreach (EvidenceLine line in store.Evidence(id))
        {
            all.AppendLine(line.PayloadJson).AppendLine(line.FileName).AppendLine(line.Who);
            if (line.FileSha256 is { } sha && store.FindFile(sha) is { } file)
            {
                all.AppendLine(Encoding.UTF8.GetString(file.Bytes));
            }
        }
        StoredJob job = store.FindJob(id)!;
        for (int revision = 1; revision <= job.Revision; revision++)
        {
            all.AppendLine(Encoding.UTF8.GetString(JobFormat.Write(store.FindJob(id, revision)!.Job)));
        }
        all.AppendLine(Encoding.UTF8.GetString(JobFormat.Write(job.Job)));
        foreach (HeatRun run in store.Runs(id))
        {
            all.AppendLine(run.SetupJson);
            all.AppendJoin('\n', store.Marks(run.Id).Select(mark => mark.Text)).AppendLine();
        }
        return all.ToString();
    }

    public static bool Holds(string text) => new UnwantedWords(["Anna Nováková", "binder 77"]).AreIn(text);
}
