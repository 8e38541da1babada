using System.Net;
using System.Net.Http.Headers;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Jobs;

namespace Graftbench.Web.Tests;

/// <summary>The fit screen as a browser without scripts uses it, on an invented job.</summary>
public sealed class FitPageTests
{
    private const string Job = "/jobs/arcade-graphics-chip";
    private const string Screen = Job + "/fit";
    private const string Host = "ball;signal;type\nA1;VCC;power\nA2;GND;ground\nB1;D0;signal\nB2;D1;signal\n";
    private const string Mine = "ball;signal;type\nA1;VCC;power\nA2;D0;signal\nB1;GND;ground\nB2;D1X;signal\n";

    [Fact]
    public async Task Both_lists_are_kept_compared_and_a_ball_is_shown()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        Assert.Contains("Nothing is entered yet", await client.Get(Job), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await Add(client, "host", "top", Host)).Status);
        Assert.Contains("One list is here", await client.Get(Screen), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await Add(client, "chip", "bottom", Mine)).Status);

        string page = await client.Get($"{Screen}?ball=a2&view=below");
        Assert.Contains("A2: supply, ground and signal meet", page, StringComparison.Ordinal);
        Assert.Contains("seen from <strong>below</strong>", page, StringComparison.Ordinal);
        Job stored = host.Store.FindJob("arcade-graphics-chip")!.Job;
        Assert.Equal(64, stored.Host.Gives!.BallList!.Sha256!.Length);
        Assert.Equal(Core.Inspection.BallView.Bottom, stored.Chips.First(chip => chip.Id == "GFX").BallList!.View);

        using JsonDocument sheet = JsonDocument.Parse(await client.Get(Screen + "/sheet.json"));
        Assert.Equal("blocker", sheet.RootElement.GetProperty("verdict").GetString());
        // The card on the job's page says the same.
        Assert.Contains("Supply, ground and signal meet on one ball.", await client.Get(Job), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Of_several_packages_one_is_asked_for_and_can_be_said_later()
    {
        const string Two = """
            [IBIS Ver] 4.2
            [Component] small
            [Pin] signal_name model_name R_pin L_pin C_pin
            A1 VCC POWER
            A2 GND GND
            [Component] large
            [Pin] signal_name model_name R_pin L_pin C_pin
            A1 VCC POWER
            A2 GND GND
            B1 D0 io
            [End]
            """;
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        Assert.Equal(HttpStatusCode.Redirect, (await Add(client, "chip", "top", Two)).Status);
        string page = await client.Get(Screen);
        Assert.Contains("several packages", page, StringComparison.Ordinal);
        Assert.Contains("<option value=\"large\">", page, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await Add(client, "chip", "top", null, "large")).Status);
        Assert.Contains("3 balls in 2 rows", await client.Get(Screen), StringComparison.Ordinal);
    }

    /// <summary>Whose, view, content, what is said.</summary>
    public static readonly TheoryData<string, string, string?, string> Bad = new()
    {
        { "nobody", "top", Host, "Say whose list it is" },
        { "host", "", Host, "Say from where the list" },
        { "host", "sideways", null, "Choose the file first" },
        { "host", "top", "ball;signal\nA1;VCC\nA1;GND\n", "A1" },
        { "host", "top", "nothing of the kind", "Nothing was saved" },
        { "host", "top", "\0\u0001\u0002", "no text" },
    };

    [Theory, MemberData(nameof(Bad))]
    public async Task What_cannot_be_used_is_refused_and_nothing_is_stored(
        string whose,
        string view,
        string? list,
        string says
    )
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        int before = host.Store.Evidence("arcade-graphics-chip").Count;
        Answer answer = await Add(client, whose, view, list);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        Assert.Contains(says, answer.Html, StringComparison.Ordinal);
        Assert.Contains("Nothing was saved", answer.Html, StringComparison.Ordinal);
        Assert.Equal(before, host.Store.Evidence("arcade-graphics-chip").Count);
    }

    [Fact]
    public async Task What_chip_and_board_say_is_entered_in_the_form_and_decides()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        const string Edit = Job + "/edit/fit";
        HtmlForm form = await client.Form(Edit, Edit);
        int at = host.Store.FindJob("arcade-graphics-chip")!.Job.Chips.Index().First(one => one.Item.Id == "GFX").Index;
        Answer added = await client.Post(form.With("do", $"add:chips[{at}].needs.rails"));
        form = HtmlForm.Of(added.Html, Edit);
        added = await client.Post(form.With("do", "add:host.gives.rails"));
        form = HtmlForm
            .Of(added.Html, Edit)
            .With($"chips[{at}].needs.rails[0].name", "VDD")
            .With($"chips[{at}].needs.rails[0].leastV", "1,7")
            .With($"chips[{at}].needs.rails[0].mostV", "1.9")
            .With("host.gives.rails[0].name", "VDD")
            .With("host.gives.rails[0].setV", "2.5");
        Answer saved = await client.Post(form.With("do", "save"));
        Assert.True(saved.Status == HttpStatusCode.Redirect, saved.Html);
        string page = await client.Get(Screen);
        Assert.Contains("The board gives a voltage that the chip does not take.", page, StringComparison.Ordinal);
        Job stored = host.Store.FindJob("arcade-graphics-chip")!.Job;
        Assert.Equal(1.7, stored.Chips[at].Needs!.Rails[0].LeastV);
        // Codes that nobody entered are not there, and not half there.
        Assert.Null(stored.Chips[at].Needs!.CoreCodes);
        Assert.Null(stored.Host.Gives!.CoreCodes);
    }

    [Fact]
    public async Task The_signature_is_typed_once_and_the_images_of_the_job_answer_for_it()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        const string Edit = Job + "/edit/fit";
        int at = host.Store.FindJob("arcade-graphics-chip")!.Job.Chips.Index().First(one => one.Item.Id == "GFX").Index;
        HtmlForm form = await client.Form(Edit, Edit);
        Answer saved = await client.Post(
            form.With($"chips[{at}].needs.signature", FirmwareFiles.Signature).With("do", "save")
        );
        Assert.True(saved.Status == HttpStatusCode.Redirect, saved.Html);
        Assert.Contains("was not looked at", await client.Get(Screen), StringComparison.Ordinal);

        // The board's own image holds no update at all, which tells nothing: still unknown. The newer one lists the chip.
        await FirmwarePageTests.Add(client, "read", anew: true, ("own.bin", FirmwareFiles.Own()));
        await FirmwarePageTests.Add(client, "newer", anew: false, ("maker.bin", FirmwareFiles.Newer()));
        Assert.Equal("ok", await FirmwareVerdict(client, "unknown"));
    }

    // Images are read in the background: the row changes from what it was before.
    private static async Task<string?> FirmwareVerdict(BenchClient client, string before)
    {
        string? verdict = before;
        for (int i = 0; i < 100 && verdict == before; i++)
        {
            await Task.Delay(100, TestContext.Current.CancellationToken);
            using JsonDocument sheet = JsonDocument.Parse(await client.Get(Screen + "/sheet.json"));
            verdict = sheet
                .RootElement.GetProperty("rows")
                .EnumerateArray()
                .Single(row => row.GetProperty("id").GetString() == "fit.firmware")
                .GetProperty("verdict")
                .GetString();
        }
        return verdict;
    }

    [Fact]
    public async Task A_hostile_name_of_a_signal_or_a_ball_stays_text()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        const string Hostile = "ball;signal;type\nA1;<script>alert(1)</script>;signal\nA2;GND;ground\n";
        await Add(client, "host", "top", Hostile);
        await Add(client, "chip", "top", Hostile);
        foreach (string query in new[] { "?ball=A1", "?ball=%3Cscript%3E", "" })
        {
            Assert.DoesNotContain("<script>alert", await client.Get(Screen + query), StringComparison.Ordinal);
        }
    }

    private static async Task<Answer> Add(
        BenchClient client,
        string whose,
        string view,
        string? list,
        string package = ""
    )
    {
        HtmlForm form = await client.Form(Screen, Screen + "/list");
        using MultipartFormDataContent content = new()
        {
            { new StringContent(form["__RequestVerificationToken"]!), "__RequestVerificationToken" },
            { new StringContent(whose), "whose" },
            { new StringContent(view), "view" },
            { new StringContent(package), "package" },
        };
        if (list is not null)
        {
            ByteArrayContent file = new(Encoding.UTF8.GetBytes(list));
            file.Headers.ContentType = new MediaTypeHeaderValue("text/plain");
            content.Add(file, "file", "list.txt");
        }
        return await client.Post(Screen + "/list", content);
    }
}
