using System.Net;
using System.Runtime.CompilerServices;
using System.Text;
using System.Text.Json;
using Graftbench.Store;

namespace Graftbench.Web.Tests;

/// <summary>The screen of the pictures as a browser without scripts uses it, on rendered pictures.</summary>
public sealed class PicturePageTests
{
    private const string Job = $"/jobs/{PictureFiles.Job}";
    private const string Screen = Job + "/pictures";

    [Fact]
    public async Task A_picture_is_kept_looked_at_and_a_persons_word_stands_beside_it()
    {
        await using BenchHost host = await BenchHost.Start();
        using BenchClient client = host.Client();
        await Import(client);
        Assert.Contains("No picture yet", await client.Get(Job), StringComparison.Ordinal);
        Answer added = await Add(client, "balls", "upper-right", ("under side.jpg", PictureFiles.Balls));
        Assert.Equal(HttpStatusCode.Redirect, added.Status);
        string address = added.Location!.Split('?')[0];
        string page = await client.Get(address);
        Assert.Contains("141 of 144 balls as they should be: 3 missing.", page, StringComparison.Ordinal);

        HtmlForm said = HtmlForm.Of(await client.Get($"{address}?site=A2"), address + "/said");
        Assert.Equal("A2", said["site"]);
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(said.With("says", "present"))).Status);
        page = await client.Get(address);
        Assert.Contains("142 of 144", page, StringComparison.Ordinal);
        Assert.Contains("a person&#x27;s word; found was: missing", page, StringComparison.Ordinal);

        using JsonDocument data = JsonDocument.Parse(await client.Get(address + "/sites.json"));
        JsonElement site = data
            .RootElement.GetProperty("sites")
            .EnumerateArray()
            .Single(one => one.GetProperty("name").GetString() == "A2");
        Assert.Equal(
            ("missing", "present"),
            (
                site.GetProperty("found").GetProperty("id").GetString(),
                site.GetProperty("said").GetProperty("id").GetString()
            )
        );

        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(said.With("says", ""))).Status);
        Assert.Contains("141 of 144", await client.Get(address), StringComparison.Ordinal);
        // Nothing was taken out of the record on the way.
        Assert.Equal(
            3,
            host.Store.Evidence(PictureFiles.Job)
                .Count(line => line.PayloadJson.Contains("\"inspection\"", StringComparison.Ordinal))
        );

        byte[] marked = await client.Http.GetByteArrayAsync(
            address + "/marked.png",
            TestContext.Current.CancellationToken
        );
        Assert.Equal([0x89, (byte)'P', (byte)'N', (byte)'G'], marked[..4]);
        HtmlForm aside = HtmlForm.Of(await client.Get(address), address + "/changed");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(aside.With("aside", "yes"))).Status);
        Assert.Contains("kept in the record and not used", await client.Get(address), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Without_a_corner_a_field_that_looks_the_same_turned_is_not_judged()
    {
        await using BenchHost host = await BenchHost.Start();
        using BenchClient client = host.Client();
        await Import(client);
        Answer added = await Add(client, "balls", "", ("underside.jpg", PictureFiles.Balls));
        string page = await client.Get(added.Location!);
        Assert.Contains("This picture cannot be judged", page, StringComparison.Ordinal);
        Assert.DoesNotContain("as they should be:", page, StringComparison.Ordinal);
        Assert.Contains("Unknown", page, StringComparison.OrdinalIgnoreCase);
    }

    public static readonly TheoryData<string, byte[], string> Bad = new()
    {
        { "notes.jpg", Encoding.UTF8.GetBytes("these are notes, no picture"), "no picture" },
        { "empty.png", [], "empty" },
        { "phone.heic", [0, 0, 0, 24, .. "ftypheic"u8, 0, 0, 0, 0, .. "mif1heic"u8, 0, 0, 0, 0], "HEIC" },
        { "cut.png", PictureFiles.XrayPng[..200], "cut.png" },
    };

    [Theory, MemberData(nameof(Bad))]
    public async Task What_is_no_picture_is_refused_with_what_to_do_and_nothing_is_stored(
        string name,
        byte[] bytes,
        string says
    )
    {
        await using BenchHost host = await BenchHost.Start();
        using BenchClient client = host.Client();
        await Import(client);
        int before = host.Store.Evidence(PictureFiles.Job).Count;
        Answer answer = await Add(client, "balls", "upper-right", (name, bytes), ("good.jpg", PictureFiles.Balls));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        Assert.Contains(says, answer.Html, StringComparison.OrdinalIgnoreCase);
        Assert.Contains("Nothing was saved", answer.Html, StringComparison.Ordinal);
        Assert.Equal(before, host.Store.Evidence(PictureFiles.Job).Count);
    }

    [Fact]
    public async Task All_that_is_wrong_with_a_form_is_said_at_once()
    {
        await using BenchHost host = await BenchHost.Start();
        using BenchClient client = host.Client();
        await Import(client);
        Answer answer = await Add(client, "moon", "", "XYZ", []);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        foreach (string problem in new[] { "Say what the picture shows", "Say which chip", "Choose a picture first" })
        {
            Assert.Contains(problem, answer.Html, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task Places_that_are_none_are_refused_and_what_is_right_is_measured()
    {
        await using BenchHost host = await BenchHost.Start();
        using BenchClient client = host.Client();
        await Import(client);
        Answer added = await Add(client, "side", "", ("front.png", PictureFiles.Side.Png));
        string address = added.Location!.Split('?')[0];
        Assert.Contains("Mark the places first", await client.Get(address), StringComparison.Ordinal);
        HtmlForm form = HtmlForm.Of(await client.Get(address), address + "/marked");
        Answer wrong = await client.Post(form.With("package-left", "here").With("known", "-3"));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, wrong.Status);
        Assert.Contains("&#x27;here&#x27; is no place", wrong.Html, StringComparison.Ordinal);
        Assert.Contains("&#x27;-3&#x27; is no length", wrong.Html, StringComparison.Ordinal);
        string[] ids = ["package-left", "package-right", "board-left", "board-right", "known-from", "known-to"];
        foreach ((string id, (double x, double y)) in ids.Zip(PictureFiles.Side.Places))
        {
            form = form.With(id, FormattableString.Invariant($"{x:0.0} {y:0.0}"));
        }
        Answer outside = await client.Post(form.With("known", PictureFiles.Side.KnownMm).With("known-to", "99999 5"));
        Assert.Contains("outside of the picture", await client.Get(outside.Location!), StringComparison.Ordinal);
        (double endX, double endY) = PictureFiles.Side.Places[^1];
        Answer right = await client.Post(
            form.With("known", PictureFiles.Side.KnownMm)
                .With("known-to", FormattableString.Invariant($"{endX:0.0};{endY:0.0}"))
        );
        Assert.Contains("Mean gap 0.400 mm", await client.Get(right.Location!), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_board_after_the_heat_needs_one_from_before()
    {
        await using BenchHost host = await BenchHost.Start();
        using BenchClient client = host.Client();
        await Import(client);
        Answer after = await Add(client, "after", "", ("after.jpg", PictureFiles.Balls));
        Assert.Contains("no picture of the board before", await client.Get(after.Location!), StringComparison.Ordinal);
        await Add(client, "before", "", ("before.jpg", PictureFiles.Balls));
        Assert.DoesNotContain(
            "no picture of the board before",
            await client.Get(after.Location!),
            StringComparison.Ordinal
        );
    }

    [Theory]
    [InlineData("/jobs/nowhere/pictures")]
    [InlineData(Screen + "/999")]
    [InlineData(Screen + "/999/shown.jpg")]
    [InlineData(Screen + "/999/sites.json")]
    public async Task What_is_not_there_is_said(string path)
    {
        await using BenchHost host = await BenchHost.Start();
        using BenchClient client = host.Client();
        await Import(client);
        using HttpResponseMessage answer = await client.Http.GetAsync(path, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
    }

    internal static async Task<Answer> Add(
        BenchClient client,
        string kind,
        string corner,
        params (string Name, byte[] Bytes)[] files
    ) => await Add(client, kind, corner, "GFX", files);

    private static async Task<Answer> Add(
        BenchClient client,
        string kind,
        string corner,
        string chip,
        params (string Name, byte[] Bytes)[] files
    )
    {
        HtmlForm form = await client.Form(Screen, Screen);
        using MultipartFormDataContent content = [];
        foreach ((string name, string value) in form.Fields.Where(field => field.Key is not ("kind" or "a1" or "chip")))
        {
            content.Add(new StringContent(value), name);
        }
        content.Add(new StringContent(kind), "kind");
        content.Add(new StringContent(corner), "a1");
        content.Add(new StringContent(chip), "chip");
        foreach ((string name, byte[] bytes) in files)
        {
            content.Add(new ByteArrayContent(bytes), "file", name);
        }
        return await client.Post(Screen, content);
    }

    /// <summary>Adds a side view and marks its places; the address of its page.</summary>
    internal static async Task<string> Marked(BenchClient client, SideFile side)
    {
        Answer added = await Add(client, "side", "", ("front.png", side.Png));
        string address = added.Location!.Split('?')[0];
        HtmlForm form = HtmlForm.Of(await client.Get(address), address + "/marked");
        string[] ids = ["package-left", "package-right", "board-left", "board-right", "known-from", "known-to"];
        foreach ((string id, (double x, double y)) in ids.Zip(side.Places))
        {
            form = form.With(id, FormattableString.Invariant($"{x:0.0} {y:0.0}"));
        }
        Answer marked = await client.Post(form.With("known", side.KnownMm));
        Assert.Equal(HttpStatusCode.Redirect, marked.Status);
        return address;
    }

    internal static async Task Import(BenchClient client)
    {
        HtmlForm form = await client.Form("/import", "/import");
        using MultipartFormDataContent content = [];
        foreach ((string name, string value) in form.Fields)
        {
            content.Add(new StringContent(value), name);
        }
        content.Add(
            new ByteArrayContent(PictureFiles.JobFile(Path.Combine(Folder(), "../../demo/arcade-graphics-chip.json"))),
            "file",
            "job.json"
        );
        Answer answer = await client.Post("/import", content);
        Assert.Equal(HttpStatusCode.Redirect, answer.Status);
    }

    private static string Folder([CallerFilePath] string here = "") => Path.GetDirectoryName(here)!;
}
