using System.Net;
using Graftbench.Core.Jobs;

namespace Graftbench.Web.Tests;

public class ShelfTests
{
    [Fact]
    public async Task Chip_from_the_shelf_brings_its_sizes_and_heats_into_a_new_job()
    {
        await using BenchHost host = await BenchHost.Start();
        using BenchClient client = host.Client();
        HtmlForm form = await client.Form("/shelf/chip/new", "/shelf/chip/new");
        HtmlForm more = HtmlForm.Of(
            (await client.Post(form.With("x.title", "Voice chip, loose").With("do", "add:history.heats"))).Html,
            "/shelf/chip/new"
        );
        Assert.Equal("Voice chip, loose", more["x.title"]);
        Answer saved = await client.Post(
            more.With("chips[0].bodyLengthMm", "27")
                .With("chips[0].bodyWidthMm", "27")
                .With("chips[0].bodyThicknessMm", "1,7")
                .With("history.heats[0].kind", "lift")
                .With("history.heats[0].at", "2024-05-06T10:00")
                .With("do", "save")
        );
        Assert.True(saved.Status == HttpStatusCode.Redirect, WebUtility.HtmlDecode(saved.Html));

        HtmlForm job = (await client.Form("/jobs/new?chip=chip-voice-chip-loose", "/jobs/new")).With("title", "Voice");
        Assert.Equal("27", job["chips[0].bodyLengthMm"]);
        Assert.Equal("shelf", job["x.origin"]);
        Answer made = await client.Post(job.With("host.lengthMm", "100").With("host.widthMm", "80").With("do", "save"));
        Assert.True(made.Status == HttpStatusCode.Redirect, WebUtility.HtmlDecode(made.Html));
        Heat heat = Assert.Single(host.Store.FindJob("voice")!.Job.History.Heats);
        Assert.Equal(("U1", HeatKind.Lift), (heat.Of, heat.Kind));
    }

    [Fact]
    public async Task Nameless_thing_is_not_stored_and_keeps_what_was_typed()
    {
        await using BenchHost host = await BenchHost.Start();
        using BenchClient client = host.Client();
        HtmlForm form = await client.Form("/shelf/material/new", "/shelf/material/new");
        Answer answer = await client.Post(
            form.With("x.lot", "L 42").With("materials.ballDiameterMm", "0.76 m").With("do", "save")
        );
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        HtmlForm shown = HtmlForm.Of(answer.Html, "/shelf/material/new");
        Assert.Equal(("L 42", "0.76 m"), (shown["x.lot"], shown["materials.ballDiameterMm"]));
        Assert.Empty(host.Store.Shelf("material"));

        Answer named = await client.Post(
            shown.With("x.title", "Balls 0.76").With("materials.ballDiameterMm", "0.76").With("do", "save")
        );
        Assert.True(named.Status == HttpStatusCode.Redirect, WebUtility.HtmlDecode(named.Html));
        Assert.Equal("Balls 0.76", Assert.Single(host.Store.Shelf("material")).Title);
    }
}
