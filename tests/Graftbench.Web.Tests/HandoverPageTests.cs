using System.Net;
using System.Text;
using Graftbench.Core.Diagnosis;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Diagnosing;

namespace Graftbench.Web.Tests;

/// <summary>The hand-over screen as a browser without scripts uses it, on an invented job.</summary>
public sealed class HandoverPageTests
{
    private const string Id = "machine-tool-bridge-chip";
    private const string Job = $"/jobs/{Id}";
    private const string Screen = Job + "/handover";

    private static async Task Enter(BenchClient client, string? without = null)
    {
        HtmlForm form = await client.Form(Job + "/edit/handover", Job + "/edit/handover");
        Dictionary<string, string> fields = new(StringComparer.Ordinal)
        {
            ["whatWasDone"] = "The bridge chip was replaced.\r\nIt had cracked joints.",
            ["whatWorks"] = "All axes move.",
            ["limits"] = "Keep the fan running.",
            ["toldOwner"] = "On the telephone: not all of it could be tested.",
            ["warrantyDays"] = "60",
            ["exclusions"] = "Drops, liquid, opened by others.",
            ["dataState"] = "Untouched.",
            ["wasteTaken"] = "Old chip kept for disposal.",
            ["reportTo"] = "Mill Lane 3",
            ["soakHours"] = "4,5",
        };
        foreach ((string name, string value) in fields.Where(field => field.Key != without))
        {
            Assert.Equal("", form["handover." + name]);
            form = form.With("handover." + name, value);
        }
        Answer saved = await client.Post(form.With("do", "save"));
        Assert.True(saved.Status == HttpStatusCode.Redirect, saved.Html);
    }

    // Sets aside what stands against it, one after the other as it comes up.
    private static async Task SetAside(BenchClient client)
    {
        for (int i = 0; i < 40; i++)
        {
            string page = await client.Get(Screen);
            if (!page.Contains("Put right first", StringComparison.Ordinal))
            {
                return;
            }
            HtmlForm waiver = HtmlForm.Of(page, Job + "/waive").With("note", "told to the owner, he wants it so");
            Assert.Equal(HttpStatusCode.Redirect, (await client.Post(waiver)).Status);
        }
        Assert.Fail("Something cannot be set aside.");
    }

    [Fact]
    public async Task Before_it_is_in_sight_the_card_only_leads_there_and_the_sheet_is_a_draft()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        string job = await client.Get(Job);
        Assert.Contains("Nothing is entered for it yet", job, StringComparison.Ordinal);
        Assert.Contains($"href=\"{Screen}\"", job, StringComparison.Ordinal);
        string page = await client.Get(Screen);
        Assert.Contains("to put right first.", page, StringComparison.Ordinal);
        Assert.Contains($"{Job}/edit/handover", page, StringComparison.Ordinal);
        Assert.Contains($"{Job}#question-7", page, StringComparison.Ordinal);
        Assert.Contains($"{Job}/readings?state=handover", page, StringComparison.Ordinal);
        using HttpResponseMessage sheet = await client.Http.GetAsync(
            new Uri(Screen + "/sheet", UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        Assert.StartsWith(
            "default-src 'none'; style-src 'sha256-",
            sheet.Headers.GetValues("Content-Security-Policy").Single(),
            StringComparison.Ordinal
        );
        Assert.Contains(
            "DRAFT: this work is not ready",
            await sheet.Content.ReadAsStringAsync(TestContext.Current.CancellationToken),
            StringComparison.Ordinal
        );
        byte[] pdf = await client.Http.GetByteArrayAsync(
            new Uri(Screen + "/sheet.pdf", UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        Assert.StartsWith("%PDF", Encoding.Latin1.GetString(pdf), StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_stands_against_it_is_named_and_nothing_is_handed_over()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        await Enter(client, without: "dataState");
        StoredJob before = host.Store.FindJob(Id)!;
        Assert.Equal("The bridge chip was replaced.\nIt had cracked joints.", before.Job.Handover!.WhatWasDone);
        Assert.Equal(4.5, before.Job.Handover.SoakHours);
        Answer refused = await client.Post(await client.Form(Screen, Screen));
        Assert.Equal(HttpStatusCode.Conflict, refused.Status);
        string text = WebUtility.HtmlDecode(refused.Html);
        Assert.Contains(
            "hand-over, state of the data: Not entered: the sheet needs it.",
            text,
            StringComparison.Ordinal
        );
        Assert.Contains("Nothing was handed over.", text, StringComparison.Ordinal);
        Assert.Equal(before.Revision, host.Store.FindJob(Id)!.Revision);
        // Question 10 is asked on the job page now.
        Assert.Contains("to put right first.", await client.Get(Job), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_machine_that_comes_back_begins_a_new_fault_beside_the_old_one()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        Assert.DoesNotContain("/came-back", await client.Get(Screen), StringComparison.Ordinal);
        StoredJob stored = host.Store.FindJob(Id)!;
        BoardTest test = CauseTable.Standard.Tests[0];
        string cause = CauseTable.Standard.Causes[0].Id;
        Say(host, new DiagnosisNote { Test = test.Id, Outcome = test.Outcomes[0].Id });
        Say(host, new DiagnosisNote { Cause = cause, Proof = CaseProof.OneAction });
        host.Store.SaveJob(stored.Job with { Stage = JobStage.HandedOver }, stored.Revision, "Ada");
        string action = Job + "/came-back";
        Answer empty = await client.Post((await client.Form(Screen, action)).With("complaint", " "));
        Assert.Equal(HttpStatusCode.Conflict, empty.Status);
        Assert.Contains("Nothing was opened.", empty.Html, StringComparison.Ordinal);

        HtmlForm form = (await client.Form(Screen, action)).With("complaint", "It flickers when warm.");
        Answer opened = await client.Post(form);
        Assert.Equal(Job + "/returns", opened.Location);
        Assert.Equal(JobStage.Returned, host.Store.FindJob(Id)!.Job.Stage);
        DiagnosisRecord record = DiagnosisRecord.Of(host.Store.Evidence(Id));
        Assert.Empty(record.Seen);
        Assert.Null(record.Closed);
        Assert.Equal("It flickers when warm.", record.CameBack!.Words);
        EarlierFault earlier = Assert.Single(record.Earlier);
        Assert.Equal(cause, earlier.Closed!.Closing.CauseId);
        Assert.Equal(cause, Assert.Single(record.Cases).CauseId);
        Assert.Contains("It flickers when warm.", await client.Get(Job + "/returns"), StringComparison.Ordinal);

        // The new fault teaches beside the old one.
        string other = CauseTable.Standard.Causes[1].Id;
        Say(host, new DiagnosisNote { Cause = other, Proof = CaseProof.Dye });
        Assert.Equal([cause, other], DiagnosisRecord.Of(host.Store.Evidence(Id)).Cases.Select(one => one.CauseId));
        Assert.Equal(HttpStatusCode.Conflict, (await client.Post(form)).Status);
    }

    private static void Say(BenchHost host, DiagnosisNote note) =>
        host.Store.Append(Id, new EvidenceDraft("Ada", DiagnosisNote.Kind, note.Payload("said")));

    [Fact]
    public async Task Set_aside_and_told_it_is_handed_over_kept_with_its_hash_and_can_be_undone()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        await Enter(client);
        await SetAside(client);
        string ready = await client.Get(Screen);
        Assert.Contains("It may be handed over", ready, StringComparison.Ordinal);
        StoredJob before = host.Store.FindJob(Id)!;
        HtmlForm stale = HtmlForm.Of(ready, Screen).With("revision", "1");
        Answer refused = await client.Post(stale);
        Assert.Equal(HttpStatusCode.Conflict, refused.Status);
        Assert.Contains("Somebody changed the job", refused.Html, StringComparison.Ordinal);

        Answer over = await client.Post(HtmlForm.Of(await client.Get(Screen), Screen));
        Assert.True(over.Status == HttpStatusCode.Redirect, over.Html);
        StoredJob after = host.Store.FindJob(Id)!;
        Assert.Equal(before.Revision + 1, after.Revision);
        Assert.Equal(JobStage.HandedOver, after.Job.Stage);
        Assert.NotNull(after.Job.Handover!.HandedOverAt);
        Assert.Equal(after.Job.Handover.HandedOverAt, after.Job.Handover.WarrantyFrom);
        EvidenceEntry kept = after.Job.Evidence[^1];
        Assert.Equal((EvidenceKind.Decision, $"{Id}-handover-1.pdf"), (kept.Kind, kept.File));
        EvidenceLine line = host.Store.Evidence(Id).Single(each => each.FileName == kept.File);
        Assert.Equal(kept.Sha256, line.FileSha256);
        byte[] pdf = host.Store.FindFile(kept.Sha256!)!.Bytes;
        Assert.Equal(kept.Sha256, EvidenceChain.FileHash(pdf));
        Assert.StartsWith("%PDF", Encoding.Latin1.GetString(pdf), StringComparison.Ordinal);

        string page = await client.Get(over.Location!);
        Assert.Contains("Handed over ", page, StringComparison.Ordinal);
        Assert.Contains("warranty until", page, StringComparison.Ordinal);
        Assert.Contains($"/files/{kept.Sha256}", page, StringComparison.Ordinal);
        Assert.DoesNotContain(">Hand it over<", page, StringComparison.Ordinal);
        Assert.DoesNotContain("DRAFT", await client.Get(Screen + "/sheet"), StringComparison.Ordinal);
        // Twice is once.
        Answer twice = await client.Post(HtmlForm.Of(ready, Screen));
        Assert.Equal(HttpStatusCode.Conflict, twice.Status);
        Assert.Contains("handed over already", twice.Html, StringComparison.Ordinal);

        Answer undone = await client.Post(await client.Form(Job + "/undo", Job + "/undo"));
        Assert.Equal(HttpStatusCode.Redirect, undone.Status);
        Job back = host.Store.FindJob(Id)!.Job;
        Assert.Equal((before.Job.Stage, (DateTimeOffset?)null), (back.Stage, back.Handover!.HandedOverAt));
        // The record forgets nothing.
        Assert.NotNull(host.Store.FindFile(kept.Sha256!));
        Assert.Contains(">Hand it over<", await client.Get(Screen), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("/jobs/none/handover")]
    [InlineData("/jobs/none/handover/sheet")]
    [InlineData("/jobs/none/handover/sheet.pdf")]
    public async Task A_job_that_is_not_there_is_said(string path)
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        using HttpResponseMessage answer = await client.Http.GetAsync(
            new Uri(path, UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
    }
}
