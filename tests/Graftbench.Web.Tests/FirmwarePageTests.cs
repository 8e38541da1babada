using System.Globalization;
using System.Net;
using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;
using Graftbench.Store;

namespace Graftbench.Web.Tests;

/// <summary>The screen of the firmware as a browser without scripts uses it, on invented images.</summary>
public sealed partial class FirmwarePageTests
{
    private const string Job = "/jobs/arcade-graphics-chip";
    private const string Screen = Job + "/firmware";

    [Fact]
    public async Task Two_equal_reads_are_trusted_only_when_the_second_was_read_anew()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        Assert.Contains("No image of the flash chip yet", await client.Get(Job), StringComparison.Ordinal);
        byte[] own = FirmwareFiles.Own();
        await Add(client, "read", anew: false, ("first.bin", own));
        Assert.Contains("one read proves nothing", await client.Get($"{Screen}?step=trust"), StringComparison.Ordinal);

        await Add(client, "read", anew: false, ("second.bin", own));
        Assert.Contains("The same bytes as an earlier read", await client.Get(Screen), StringComparison.Ordinal);
        Assert.Contains("one read proves nothing", await client.Get($"{Screen}?step=trust"), StringComparison.Ordinal);

        HtmlForm doubt = Forms(await client.Get(Screen))
            .Single(form => form.Html.Contains("It was read anew", StringComparison.Ordinal))
            .Form;
        Answer said = await client.Post(doubt.With("anew", "yes"));
        Assert.Equal(HttpStatusCode.Redirect, said.Status);
        // Two equal reads of half a chip are equal too: without its capacity nothing is trusted.
        Assert.Contains("capacity was not given", await client.Get($"{Screen}?step=trust"), StringComparison.Ordinal);
        HtmlForm capacity = await client.Form($"{Screen}?step=trust", $"{Screen}/capacity");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(capacity.With("kib", "1024"))).Status);
        Assert.Contains(
            "Trusted: 2 reads of 1 MiB are equal",
            await client.Get($"{Screen}?step=trust"),
            StringComparison.Ordinal
        );
        Assert.Contains("2 equal reads, trusted", await client.Get(Job), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Reads_that_differ_are_not_trusted_and_shown_block_by_block()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        await Add(
            client,
            "read",
            anew: true,
            ("first.bin", FirmwareFiles.Own()),
            ("second.bin", FirmwareFiles.Noisy())
        );
        string page = await client.Get($"{Screen}?step=trust");
        Assert.Contains("Not trusted: the reads differ", page, StringComparison.Ordinal);
        Assert.Contains("lone bits differ: 3 blocks", page, StringComparison.Ordinal);
        Assert.Contains("Bits by data line", page, StringComparison.Ordinal);
        Assert.Contains("90000h", page, StringComparison.Ordinal);
        Assert.Contains("Reads not trusted", await client.Get(Job), StringComparison.Ordinal);
        string pair = await client.Get($"{Screen}?step=compare");
        Assert.Contains("3 bytes differ in 3 stretches", pair, StringComparison.Ordinal);
        Assert.Contains("0x00090123-0x00090123", pair, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Images_are_evidence_with_their_hash_and_a_wrong_role_is_corrected_by_a_line()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        byte[] newer = FirmwareFiles.Newer();
        await Add(client, "read", anew: true, ("maker.bin", newer));
        string sha = Convert.ToHexStringLower(SHA256.HashData(newer));
        EvidenceLine line = host.Store.Evidence("arcade-graphics-chip").Single(each => each.FileSha256 == sha);
        Assert.Equal(("dump", "maker.bin"), (line.Kind, line.FileName));
        string page = await client.Get(Screen);
        Assert.Contains(sha, page, StringComparison.Ordinal);
        HtmlForm form = Forms(page)
            .First(each => each.Html.Contains("Correct by a line", StringComparison.Ordinal))
            .Form;
        Answer corrected = await client.Post(form.With("role", "newer"));
        Assert.Equal(HttpStatusCode.Redirect, corrected.Status);
        Assert.Contains("<strong>newer image</strong>", await client.Get(Screen), StringComparison.Ordinal);
        IReadOnlyList<EvidenceLine> after = host.Store.Evidence("arcade-graphics-chip");
        Assert.Single(after, each => each.FileSha256 == sha);
        Assert.Contains(
            after,
            each => each.Kind == "decision" && each.PayloadJson.Contains("newer image", StringComparison.Ordinal)
        );
        Assert.Equal(newer, host.Store.FindFile(sha)!.Bytes);

        Answer forged = await client.Post(form.With("role", "combined"));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, forged.Status);
    }

    public static TheoryData<string, byte[], string> Odd =>
        new()
        {
            { "empty.bin", [], "it is empty" },
            { "dump.zip", [(byte)'P', (byte)'K', 3, 4, 0, 0, 0, 0], "it is an archive" },
            {
                "dump.hex",
                Encoding.ASCII.GetBytes(":10000000FFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFF00\r\n:00000001FF\r\n"),
                "hexadecimal text"
            },
            { "large.bin", new byte[(64 * 1024 * 1024) + 1], "at most 64 MiB an image" },
        };

    [Theory, MemberData(nameof(Odd))]
    public async Task Odd_files_are_refused_by_name_and_nothing_of_the_form_is_stored(
        string name,
        byte[] bytes,
        string why
    )
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        int before = host.Store.Evidence("arcade-graphics-chip").Count;
        Answer answer = await Add(client, "read", anew: true, ("good.bin", FirmwareFiles.Own()), (name, bytes));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        Assert.Contains($"{name}: ", answer.Html, StringComparison.Ordinal);
        Assert.Contains(why, answer.Html, StringComparison.Ordinal);
        Assert.Contains("Nothing was saved", answer.Html, StringComparison.Ordinal);
        Assert.Equal(before, host.Store.Evidence("arcade-graphics-chip").Count);
    }

    [Fact]
    public async Task One_byte_and_noise_are_stored_and_shown()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        await Add(client, "read", anew: true, ("one.bin", [0x55]));
        foreach (
            string step in (string[])
                ["images", "trust", "map", "map&at=0", "compare", "knows", "identity", "combined", "read-back"]
        )
        {
            await client.Get($"{Screen}?step={step}");
        }
        Assert.DoesNotContain("reads, trusted", await client.Get(Job), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_place_shows_its_path_its_bytes_and_its_sums_and_searches_lead_there()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        await Add(client, "read", anew: true, ("first.bin", FirmwareFiles.Own()));
        string map = await client.Get($"{Screen}?step=map&text={FirmwareFiles.Serial}");
        Match hit = Hit().Match(map);
        Assert.True(hit.Success, map);
        Assert.Contains("ASCII in", map, StringComparison.Ordinal);
        string place = await client.Get(WebUtility.HtmlDecode(hit.Groups["to"].Value).Split('#')[0]);
        Assert.Contains("256 bytes from", place, StringComparison.Ordinal);
        Assert.Contains(
            $"<mark class=\"hex-picked\">{(int)FirmwareFiles.Serial[0]:X2}</mark>",
            place,
            StringComparison.Ordinal
        );
        string code = await client.Get($"{Screen}?step=map&at={0x80000 + 0x40000 + 0x100:X}");
        Assert.Contains("checksum: <strong>", code, StringComparison.Ordinal);
        Assert.Contains(
            "Found nowhere",
            await client.Get($"{Screen}?step=map&find=00112233445566778899AABBCCDDEEFF00"),
            StringComparison.Ordinal
        );
        Assert.Contains(
            "two hexadecimal digits",
            await client.Get($"{Screen}?step=map&find=5"),
            StringComparison.Ordinal
        );
        Assert.Contains(
            "hexadecimal number below 100000h",
            await client.Get($"{Screen}?step=map&at=FFFFFFFF"),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task The_processor_is_asked_of_both_images()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        await Add(client, "read", anew: true, ("first.bin", FirmwareFiles.Own()));
        await Add(client, "newer", anew: false, ("maker.bin", FirmwareFiles.Newer()));
        Answer wrong = await Ask(client, "xyz", "");
        Assert.Equal(HttpStatusCode.UnprocessableEntity, wrong.Status);
        Assert.Contains("1 to 8 hexadecimal digits", wrong.Html, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await Ask(client, FirmwareFiles.Signature, "1")).Status);
        string page = await client.Get($"{Screen}?step=knows");
        Assert.Contains("<span>yes</span>", page, StringComparison.Ordinal);
        Assert.Contains("The newer image lists the processor", page, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await Ask(client, "00012345", "")).Status);
        Assert.DoesNotContain("<span>yes</span>", await client.Get($"{Screen}?step=knows"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Nothing_is_combined_without_authority_and_confirmation()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        await Ready(client);
        HtmlForm form = await client.Form($"{Screen}?step=identity", $"{Screen}/combine");
        int before = host.Store.Evidence("arcade-graphics-chip").Count;
        Answer without = await client.Post(
            form.With("authority", "  ").With("same", "yes").With("twice", "yes").With("locks", "yes")
        );
        Assert.Equal(HttpStatusCode.UnprocessableEntity, without.Status);
        Assert.Contains("Without it nothing is combined", without.Html, StringComparison.Ordinal);
        form = await client.Form($"{Screen}?step=identity", $"{Screen}/combine");
        Answer unconfirmed = await client.Post(form.With("authority", "owner, signed order"));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, unconfirmed.Status);
        Assert.Contains("Not confirmed", unconfirmed.Html, StringComparison.Ordinal);
        Assert.Contains("owner, signed order", unconfirmed.Html, StringComparison.Ordinal);
        Answer stale = await client.Post(Confirmed(form).With("images", "1-2"));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, stale.Status);
        Assert.Equal(before, host.Store.Evidence("arcade-graphics-chip").Count);
    }

    [Fact]
    public async Task The_combined_image_its_origins_and_its_read_back_belong_together()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        await Ready(client);
        HtmlForm form = await client.Form($"{Screen}?step=identity", $"{Screen}/combine");
        Assert.Contains(form.Fields, field => field.Key == "take");
        Answer made = await client.Post(Confirmed(form));
        Assert.True(made.Status == HttpStatusCode.Redirect, made.Html);
        string page = WebUtility.HtmlDecode(await client.Get($"{Screen}?step=combined"));
        IReadOnlyList<EvidenceLine> lines = host.Store.Evidence("arcade-graphics-chip");
        EvidenceLine authority = lines.Single(line => line.Kind == "authority");
        EvidenceLine image = lines.Single(line => line.FileName == "arcade-graphics-chip-combined-1.bin");
        EvidenceLine origin = lines.Single(line => line.FileName == "arcade-graphics-chip-combined-1-origin.csv");
        Assert.True(authority.Sequence < origin.Sequence && origin.Sequence < image.Sequence);
        Assert.Contains("holds", page, StringComparison.Ordinal);
        Assert.Contains(image.FileSha256!, page, StringComparison.Ordinal);
        byte[] bytes = await client.Http.GetByteArrayAsync(
            new Uri($"/files/{image.FileSha256}", UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        Assert.Equal(image.FileSha256, Convert.ToHexStringLower(SHA256.HashData(bytes)));
        string csv = await client.Get($"/files/{origin.FileSha256}");
        Assert.Equal(bytes, Rebuilt(csv, bytes.Length));

        await Add(client, "read-back", anew: false, ("back.bin", bytes));
        Assert.Contains(
            "Exact: the chip holds the intended image",
            await client.Get($"{Screen}?step=read-back"),
            StringComparison.Ordinal
        );
        Assert.Contains("Read-back exact", await client.Get(Screen), StringComparison.Ordinal);
        byte[] worse = [.. bytes];
        worse[0x80000] ^= 0x01;
        await Add(client, "read-back", anew: false, ("back2.bin", worse));
        Assert.Contains(
            "Not exact: 1 of 256 blocks",
            await client.Get($"{Screen}?step=read-back"),
            StringComparison.Ordinal
        );
        Assert.Contains("do not power the board", await client.Get(Job), StringComparison.Ordinal);
        Assert.All(
            host.Store.Verify("arcade-graphics-chip").Findings,
            finding => Assert.Equal(Graftbench.Core.Findings.Verdict.Ok, finding.Verdict)
        );
    }

    [Fact]
    public async Task Hostile_names_neither_break_a_page_nor_hide()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        await Add(client, "read", anew: true, ("a'><script>alert(3)<script>.bin", FirmwareFiles.Hostile()));
        await Add(client, "newer", anew: false, ("maker\u202E.bin", FirmwareFiles.Newer()));
        foreach (
            string step in (string[])
                [
                    "images",
                    "trust",
                    "map",
                    "map&text=%3Cscript%3E",
                    "map&at=80080",
                    "compare",
                    "identity&serial=%3Cb%3E",
                    "read-back",
                ]
        )
        {
            string page = await client.Get($"{Screen}?step={step}");
            Assert.DoesNotContain("<script>alert", page, StringComparison.Ordinal);
            Assert.DoesNotContain("<img src=x", page, StringComparison.Ordinal);
            Assert.DoesNotContain("\u202E", page, StringComparison.Ordinal);
            Assert.DoesNotContain("\u0007", page, StringComparison.Ordinal);
        }
    }

    private static HtmlForm Confirmed(HtmlForm form) =>
        form.With("authority", "owner, signed order of 3 March, invoice seen")
            .With("same", "yes")
            .With("twice", "yes")
            .With("locks", "yes");

    private static async Task Ready(BenchClient client)
    {
        byte[] own = FirmwareFiles.Own();
        await Add(client, "read", anew: true, ("first.bin", own), ("second.bin", own));
        await Add(client, "newer", anew: false, ("maker.bin", FirmwareFiles.Newer()));
    }

    private static async Task<Answer> Ask(BenchClient client, string signature, string platform)
    {
        HtmlForm form = await client.Form($"{Screen}?step=knows", $"{Screen}/processor");
        return await client.Post(form.With("signature", signature).With("platform", platform));
    }

    internal static async Task<Answer> Add(
        BenchClient client,
        string role,
        bool anew,
        params (string Name, byte[] Bytes)[] files
    )
    {
        HtmlForm form = await client.Form(Screen, $"{Screen}/images");
        using MultipartFormDataContent content = new();
        content.Add(new StringContent(form["__RequestVerificationToken"]!), "__RequestVerificationToken");
        content.Add(new StringContent(role), "role");
        if (anew)
        {
            content.Add(new StringContent("yes"), "anew");
        }
        foreach ((string name, byte[] bytes) in files)
        {
            content.Add(new ByteArrayContent(bytes), "file", name);
        }
        return await client.Post($"{Screen}/images", content);
    }

    // Built from the sources and the table of origins alone.
    private static byte[] Rebuilt(string csv, int size)
    {
        byte[] built = new byte[size];
        string[] lines = csv.Split('\n', StringSplitOptions.RemoveEmptyEntries);
        Assert.StartsWith("start,length,source,source_start,computed,", lines[0], StringComparison.Ordinal);
        foreach (string line in lines.Skip(1))
        {
            string[] cells = line.Split(',');
            int start = int.Parse(cells[0], CultureInfo.InvariantCulture);
            Span<byte> place = built.AsSpan(start, int.Parse(cells[1], CultureInfo.InvariantCulture));
            if (cells[2] == "computed")
            {
                byte[] computed = Convert.FromHexString(cells[4]);
                if (computed.Length == 1)
                {
                    place.Fill(computed[0]);
                }
                else
                {
                    computed.CopyTo(place);
                }
                continue;
            }
            byte[] from = cells[2] == "own" ? FirmwareFiles.Own() : FirmwareFiles.Newer();
            from.AsSpan(int.Parse(cells[3], CultureInfo.InvariantCulture), place.Length).CopyTo(place);
        }
        return built;
    }

    private static List<(string Html, HtmlForm Form)> Forms(string page) =>
        [.. RoleForms().Matches(page).Select(match => (match.Value, HtmlForm.Of(match.Value, $"{Screen}/role")))];

    [GeneratedRegex("<form[^>]*/firmware/role\"[^>]*>.*?</form>", RegexOptions.Singleline, 2000)]
    private static partial Regex RoleForms();

    [GeneratedRegex(
        "<a class=\"button\" href=\"(?<to>[^\"]*step=map[^\"]*at=[^\"]*)\"",
        RegexOptions.ExplicitCapture,
        2000
    )]
    private static partial Regex Hit();
}
