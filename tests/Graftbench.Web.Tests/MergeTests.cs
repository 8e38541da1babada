using System.Net;
using Graftbench.Core.Jobs;
using Graftbench.Store;

namespace Graftbench.Web.Tests;

/// <summary>Two people save the same job.</summary>
public sealed class MergeTests : IAsyncLifetime
{
    private const string Job = "/jobs/machine-tool-bridge-chip";
    private const string Edit = Job + "/edit/machine";
    private const string Merge = Job + "/merge";
    private BenchHost host = null!;
    private BenchClient client = null!;

    public async ValueTask InitializeAsync()
    {
        host = await BenchHost.Start(demo: true);
        client = host.Client();
    }

    [Fact]
    public async Task What_only_one_of_them_changed_is_kept_from_both()
    {
        HtmlForm mine = await client.Form(Edit, Edit);
        await Theirs("machine.owner", "Their owner");
        Answer stale = await client.Post(mine.With("machine.wish", "My wish").With("do", "save"));
        Assert.Equal(HttpStatusCode.Conflict, stale.Status);
        Assert.Contains("Nothing is lost", stale.Html, StringComparison.Ordinal);
        Assert.DoesNotContain("type=\"radio\"", stale.Html, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(HtmlForm.Of(stale.Html, Merge))).Status);
        Assert.Equal(("Their owner", "My wish"), (Now.Machine.Owner, Now.Machine.Wish));
    }

    [Theory, InlineData("mine", "My owner"), InlineData("theirs", "Their owner")]
    public async Task What_both_changed_a_person_decides(string take, string owner)
    {
        HtmlForm mine = await client.Form(Edit, Edit);
        await Theirs("machine.owner", "Their owner");
        Answer stale = await client.Post(
            mine.With("machine.owner", "My owner").With("machine.wish", "My wish").With("do", "save")
        );
        HtmlForm form = HtmlForm.Of(stale.Html, Merge);
        Answer undecided = await client.Post(form);
        Assert.Equal(HttpStatusCode.Conflict, undecided.Status);
        Assert.Contains("One place is not decided yet.", undecided.Html, StringComparison.Ordinal);
        Assert.Equal("Their owner", Now.Machine.Owner);
        Answer saved = await client.Post(HtmlForm.Of(undecided.Html, Merge).With("take.machine.owner", take));
        Assert.Equal(Job + "?done=merged", saved.Location);
        Assert.Equal((owner, "My wish"), (Now.Machine.Owner, Now.Machine.Wish));
    }

    [Fact]
    public async Task A_third_save_in_between_is_looked_at_again()
    {
        HtmlForm mine = await client.Form(Edit, Edit);
        await Theirs("machine.owner", "Their owner");
        Answer stale = await client.Post(mine.With("machine.wish", "My wish").With("do", "save"));
        await Theirs("machine.symptom", "Their symptom");
        Answer again = await client.Post(HtmlForm.Of(stale.Html, Merge));
        Assert.Contains("saved once more in between", again.Html, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(HtmlForm.Of(again.Html, Merge))).Status);
        Assert.Equal(
            ("Their owner", "My wish", "Their symptom"),
            (Now.Machine.Owner, Now.Machine.Wish, Now.Machine.Symptom)
        );
    }

    [Fact]
    public async Task Versions_that_do_not_fit_together_are_put_right_first()
    {
        HtmlForm mine = await client.Form(Edit, Edit);
        await Theirs("machine.owner", "Their owner");
        Answer stale = await client.Post(mine.With("machine.wish", "My wish").With("do", "save"));
        HtmlForm form = HtmlForm.Of(stale.Html, Merge);
        string bad = form["mine"]!.Replace("\"My wish\"", "7.5", StringComparison.Ordinal);
        Answer refused = await client.Post(form.With("mine", bad));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.Status);
        Assert.Contains("put right what is marked", refused.Html, StringComparison.Ordinal);
        foreach (string none in (string[])["", "[]", "{", new string('[', 5000)])
        {
            Assert.Equal(HttpStatusCode.BadRequest, (await client.Post(form.With("mine", none))).Status);
        }
        Assert.Equal(2, host.Store.FindJob("machine-tool-bridge-chip")!.Revision);
    }

    public async ValueTask DisposeAsync()
    {
        client.Dispose();
        await host.DisposeAsync();
    }

    private Job Now => host.Store.FindJob("machine-tool-bridge-chip")!.Job;

    private async Task Theirs(string field, string text)
    {
        Answer saved = await client.Post((await client.Form(Edit, Edit)).With(field, text).With("do", "save"));
        Assert.Equal(HttpStatusCode.Redirect, saved.Status);
    }
}
