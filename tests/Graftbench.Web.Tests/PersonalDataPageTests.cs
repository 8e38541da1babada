using System.Net;
using System.Text;
using Graftbench.Core.Jobs;
using Graftbench.Core.Search;
using Graftbench.Store;

namespace Graftbench.Web.Tests;

/// <summary>Personal data goes by a page: a look first, then for good.</summary>
public sealed class PersonalDataPageTests : IAsyncLifetime
{
    private const string Id = "machine-tool-bridge-chip";
    private const string Job = "/jobs/" + Id;
    private const string Page = Job + "/personal-data";
    private const string Look = Page + "/look";
    private const string Name = "Zuzana Quxyková";
    private const string Letter = "For Zuzana Quxyková, who signed.";
    private BenchHost host = null!;
    private BenchClient client = null!;

    public async ValueTask InitializeAsync()
    {
        host = await BenchHost.Start(demo: true);
        client = host.Client();
        StoredJob stored = host.Store.FindJob(Id)!;
        Job job = stored.Job with { Machine = stored.Job.Machine with { Owner = Name, Wish = $"Call {Name}" } };
        host.Store.SaveJob(job, stored.Revision, "Ada");
        host.Store.Append(Id, new EvidenceDraft("Ada", "note", $$"""{"note":"{{Name}} called"}"""));
        Attach("letter.txt", "text/plain", Letter);
        Attach("signature.png", "image/png", "\0png");
    }

    [Fact]
    public async Task A_look_a_confirmation_and_no_page_knows_the_name_any_more()
    {
        Assert.Contains(Page, await client.Get(Job), StringComparison.Ordinal);
        HtmlForm first = await client.Form(Page, Look);
        Assert.Contains(Name, first["words"], StringComparison.Ordinal);
        Answer looked = await client.Post(first.With("words", Name));
        Assert.Equal(HttpStatusCode.OK, looked.Status);
        foreach (
            string says in (string[])
                ["machine.owner", "machine.wish", "Call [removed]", "not legal advice", "Backups of before"]
        )
        {
            Assert.Contains(says, looked.Html, StringComparison.Ordinal);
        }
        HtmlForm form = HtmlForm.Of(looked.Html, Page);
        // The letter is offered chosen, the picture is for a person to choose.
        Assert.Equal([Sha(Letter)], form.Fields.Where(field => field.Key == "file").Select(field => field.Value));
        Assert.Contains(
            "signature.png (4 bytes), not searched: look and choose",
            looked.Html,
            StringComparison.Ordinal
        );
        long lines = host.Store.Lines(Id);
        Answer done = await client.Post(form.With("sure", "yes").With("why", "the owner's letter of 3 May"));
        Assert.Equal(HttpStatusCode.OK, done.Status);
        Assert.Contains("Taken out of", done.Html, StringComparison.Ordinal);
        Assert.Equal(lines + 2, host.Store.Lines(Id));
        foreach (
            string page in (string[])
                [
                    Job,
                    Job + "/record",
                    Job + "/sheet",
                    Job + "/handover",
                    Job + "/handover/sheet",
                    Job + "/edit/machine",
                    "/jobs",
                    Page,
                    Job + "/pictures",
                ]
        )
        {
            Assert.False(new UnwantedWords([Name]).AreIn(WebUtility.HtmlDecode(await client.Get(page))), page);
        }
        foreach (string file in (string[])[Job + "/job.json", Job + "/record.zip", Job + "/sheet.pdf"])
        {
            byte[] bytes = await client.Http.GetByteArrayAsync(
                new Uri(file, UriKind.Relative),
                TestContext.Current.CancellationToken
            );
            Assert.False(bytes.AsSpan().IndexOf("Quxykov"u8) >= 0, file);
        }
        string found = await client.Get("/jobs?q=Quxykova");
        Assert.DoesNotContain(Job + "\"", found, StringComparison.Ordinal);
        Assert.Contains("(content removed on request)", await client.Get(Job + "/record"), StringComparison.Ordinal);
        using HttpResponseMessage file410 = await client.Http.GetAsync(
            new Uri("/files/" + Sha(Letter), UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        Assert.Equal(HttpStatusCode.Gone, file410.StatusCode);
        Assert.True(host.Store.Verify(Id, stop: TestContext.Current.CancellationToken).IsWhole);
    }

    [Fact]
    public async Task Without_a_look_a_reason_or_the_same_words_nothing_is_done()
    {
        Answer looked = await client.Post((await client.Form(Page, Look)).With("words", Name));
        HtmlForm form = HtmlForm.Of(looked.Html, Page);
        long lines = host.Store.Lines(Id);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await client.Post(form.With("why", "asked"))).Status);
        Answer changed = await client.Post(form.With("sure", "yes").With("words", "Quxyk"));
        Assert.Equal(HttpStatusCode.Conflict, changed.Status);
        Assert.Contains("not those that were looked for", changed.Html, StringComparison.Ordinal);
        Answer named = await client.Post(form.With("words", Name).With("why", $"asked by {Name}"));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, named.Status);
        Assert.Contains("holds one of the words", named.Html, StringComparison.Ordinal);
        Assert.Equal(lines, host.Store.Lines(Id));
        // Somebody adds a line in between.
        host.Store.Append(Id, new EvidenceDraft("Ada", "note", "{}"));
        Answer moved = await client.Post(form.With("why", "asked"));
        Assert.Equal(HttpStatusCode.Conflict, moved.Status);
        Assert.Contains("a line was added to the record", moved.Html, StringComparison.Ordinal);
        Assert.Equal(lines + 1, host.Store.Lines(Id));
        Assert.Contains(
            "This cannot be done yet",
            (await client.Post(form.With("words", "ab").With("seen-words", "ab"))).Html,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task Removed_pictures_and_images_take_no_page_along()
    {
        await using BenchHost other = await BenchHost.Start();
        using BenchClient browser = other.Client();
        await PicturePageTests.Import(browser);
        const string job = $"/jobs/{PictureFiles.Job}";
        await PicturePageTests.Add(browser, "balls", "upper-right", ("under side.jpg", PictureFiles.Balls));
        byte[] image = FirmwareFiles.Own();
        other.Store.Append(
            PictureFiles.Job,
            new EvidenceDraft(
                "Ada",
                "dump",
                $$$"""{"note":"read","file":"own.bin","firmware":{"role":"read","bytes":{{{image.Length}}}}}""",
                new StoredFile("own.bin", "application/octet-stream", image)
            )
        );
        string before = await browser.Get(job + "/pictures");
        Assert.Contains("under side.jpg", before, StringComparison.Ordinal);
        Assert.Contains("own.bin", await browser.Get(job + "/firmware"), StringComparison.Ordinal);
        PersonalDataLook all = other.Store.LookForPersonalData(new RemovalRequest(PictureFiles.Job, [], []));
        string[] files = [.. all.Files.Where(file => file.CanGo).Select(file => file.Sha256)];
        Assert.Equal(2, files.Length);
        other.Store.RemovePersonalData(
            new RemovalRequest(PictureFiles.Job, [], files),
            all.HeadSha256,
            "Olga",
            "asked"
        );
        foreach (
            string page in (string[])
                [job, job + "/record", job + "/pictures", job + "/firmware", job + "/readings", job + "/handover", "/"]
        )
        {
            await browser.Get(page);
        }
        Assert.DoesNotContain("shown.jpg", await browser.Get(job + "/pictures"), StringComparison.Ordinal);
        Assert.Equal(2, (await browser.Get(job + "/record")).Split("(content removed on request)").Length - 1);
    }

    public async ValueTask DisposeAsync()
    {
        client.Dispose();
        await host.DisposeAsync();
    }

    private void Attach(string name, string type, string text) =>
        host.Store.Append(
            Id,
            new EvidenceDraft("Ada", "file", "{}", new StoredFile(name, type, Encoding.UTF8.GetBytes(text)))
        );

    private static string Sha(string text) => EvidenceChain.FileHash(Encoding.UTF8.GetBytes(text));
}
