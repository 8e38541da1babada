using System.Net;
using System.Net.WebSockets;
using System.Text;
using Graftbench.Store;
using Graftbench.Web.Network;

namespace Graftbench.Web.Tests.Network;

/// <summary>Attacks on pairing, on the device's secret and on the session.</summary>
public class PairingTests
{
    private const string Job = "/jobs/arcade-graphics-chip";

    [Fact]
    public async Task A_device_is_paired_signs_in_and_its_person_goes_into_the_evidence()
    {
        await using NetworkBench bench = await NetworkBench.Start();
        using DeviceClient phone = await bench.SignedIn(NetworkBench.Technician);
        Answer noted = await phone.Post(
            (await phone.Form(Job, Job + "/evidence/note")).With("note", "Seen from the phone.")
        );
        Assert.Equal(HttpStatusCode.Redirect, noted.Status);
        Assert.Equal(NetworkBench.Technician, bench.Store.Evidence("arcade-graphics-chip")[^1].Who);
        Assert.Equal(NetworkBench.Technician, bench.Store.FindJob("arcade-graphics-chip")!.Job.Evidence[^1].Who);
        Answer dryer = await phone.Post(
            (await phone.Form("/shelf/material/new", "/shelf/material/new")).With("x.title", "Paste").With("do", "save")
        );
        Assert.Equal(HttpStatusCode.Redirect, dryer.Status);
        Assert.Equal(
            NetworkBench.Technician,
            bench.Store.Evidence(BenchStore.ShopRecord).Last(line => line.Kind == EvidenceRules.ShelfSaved).Who
        );
        Answer out1 = await phone.Post(await phone.Form("/me", "/sign-out"));
        Assert.Equal("/sign-in", out1.Location);
        Assert.Equal(HttpStatusCode.Unauthorized, (await phone.Get(Job)).Status);
    }

    [Fact]
    public async Task A_pairing_code_counts_once()
    {
        await using NetworkBench bench = await NetworkBench.Start();
        string code = await bench.Code();
        using DeviceClient first = bench.Device();
        using DeviceClient second = bench.Device();
        Assert.Equal(HttpStatusCode.Redirect, (await first.Pair(code.ToLowerInvariant(), "First")).Status);
        Answer again = await second.Pair(code, "Second");
        Assert.Equal(HttpStatusCode.Unauthorized, again.Status);
        Assert.Null(second.Secret("__Host-gb-device"));
        Assert.Single(bench.Book.Devices);
    }

    [Fact]
    public async Task A_hundred_devices_with_the_same_code_at_once_are_one_device()
    {
        PairingCodes codes = new(TimeProvider.System);
        string code = codes.Make().Text;
        bool[] taken = await Task.WhenAll(Enumerable.Range(0, 100).Select(_ => Task.Run(() => codes.Take(code))));
        Assert.Single(taken, one => one);
    }

    [Fact]
    public async Task An_old_pairing_code_counts_no_more()
    {
        await using NetworkBench bench = await NetworkBench.Start();
        string code = await bench.Code();
        bench.Time.Advance(PairingCodes.Lasts + TimeSpan.FromSeconds(1));
        using DeviceClient device = bench.Device();
        Answer late = await device.Pair(code, "Late");
        Assert.Equal(HttpStatusCode.Unauthorized, late.Status);
        Assert.Empty(bench.Book.Devices);
    }

    [Fact]
    public async Task Guessing_codes_is_locked_with_longer_and_longer_waits_and_written_down()
    {
        await using NetworkBench bench = await NetworkBench.Start();
        string code = await bench.Code();
        using DeviceClient device = bench.Device();
        for (int i = 0; i <= Attempts.Free; i++)
        {
            Assert.Equal(HttpStatusCode.Unauthorized, (await device.Pair("0000-000" + i, "Guesser")).Status);
        }
        Answer right = await device.Pair(code, "Guesser");
        Assert.Equal(HttpStatusCode.TooManyRequests, right.Status);
        Assert.Empty(bench.Book.Devices);
        EvidenceLine line = bench.Store.Evidence(BenchStore.ShopRecord)[^1];
        Assert.Equal("pairing-locked", line.Kind);
        Assert.DoesNotContain("0000", line.PayloadJson, StringComparison.Ordinal);

        bench.Time.Advance(Attempts.FirstWait + TimeSpan.FromSeconds(1));
        Assert.Equal(HttpStatusCode.Unauthorized, (await device.Pair("0000-0000", "Guesser")).Status);
        bench.Time.Advance(Attempts.FirstWait + TimeSpan.FromSeconds(1));
        Assert.Equal(HttpStatusCode.TooManyRequests, (await device.Pair(code, "Guesser")).Status);
    }

    [Fact]
    public void A_code_that_was_guessed_at_ten_times_is_worth_nothing()
    {
        PairingCodes codes = new(TimeProvider.System);
        string code = codes.Make().Text;
        for (int i = 0; i < PairingCodes.MostTries; i++)
        {
            Assert.False(codes.Take("AAAA-AAAA"));
        }
        Assert.False(codes.Take(code));
    }

    [Theory]
    [InlineData("", "needs a name")]
    [InlineData("a\u202Eb", "cannot be seen")]
    [InlineData("1234567890123456789012345678901234567890123456789012345678901", "at most 60")]
    public async Task A_device_without_a_fair_name_is_not_paired_and_the_code_stays(string name, string why)
    {
        await using NetworkBench bench = await NetworkBench.Start(demo: false);
        string code = await bench.Code();
        using DeviceClient device = bench.Device();
        Answer refused = await device.Pair(code, name);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.Status);
        Assert.Contains(why, refused.Html, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await device.Pair(code, "Fair")).Status);
    }

    public static TheoryData<string> Forgeries =>
        ["", "x", new string('A', 43), new string('A', 4000), "../../keys/access.json", "' OR '1'='1", "e30.e30.e30"];

    [Theory, MemberData(nameof(Forgeries))]
    public async Task A_forged_secret_is_no_device(string secret)
    {
        await using NetworkBench bench = await NetworkBench.Start(people: false, demo: false);
        using HttpRequestMessage request = new(HttpMethod.Get, new Uri("/", UriKind.Relative));
        request.Headers.TryAddWithoutValidation(
            "Cookie",
            "__Host-gb-device=" + secret + "; __Host-gb-session=" + secret
        );
        using DeviceClient forger = bench.Device();
        using HttpResponseMessage answer = await forger.Http.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Unauthorized, answer.StatusCode);
    }

    [Fact]
    public async Task What_the_bench_keeps_is_no_secret_and_a_secret_off_by_one_sign_is_none()
    {
        await using NetworkBench bench = await NetworkBench.Start(demo: false);
        using DeviceClient phone = await bench.SignedIn(NetworkBench.Technician);
        string secret = phone.Secret("__Host-gb-device")!;
        string kept = await File.ReadAllTextAsync(
            Path.Combine(bench.Folder, "keys", "access.json"),
            TestContext.Current.CancellationToken
        );
        Assert.DoesNotContain(secret, kept, StringComparison.Ordinal);
        Assert.DoesNotContain(NetworkBench.Words, kept, StringComparison.Ordinal);
        Device device = Assert.Single(bench.Book.Devices);
        foreach (
            string wrong in (string[])
                [
                    device.TokenSha256,
                    (secret[0] == 'A' ? "B" : "A") + secret[1..],
                    secret[..^1],
                    secret + "A",
                    device.Id,
                ]
        )
        {
            using DeviceClient thief = bench.Device();
            thief.Keep("__Host-gb-device", wrong);
            thief.Keep("__Host-gb-session", phone.Secret("__Host-gb-session")!);
            Assert.Equal(HttpStatusCode.Unauthorized, (await thief.Get("/")).Status);
        }
    }

    [Fact]
    public async Task A_session_that_was_taken_from_one_device_counts_on_no_other()
    {
        await using NetworkBench bench = await NetworkBench.Start(demo: false);
        using DeviceClient phone = await bench.SignedIn(NetworkBench.Owner);
        using DeviceClient thief = await bench.Paired("Thief");
        thief.Keep("__Host-gb-session", phone.Secret("__Host-gb-session")!);
        Assert.Equal(HttpStatusCode.Unauthorized, (await thief.Get("/")).Status);
        Assert.Equal(HttpStatusCode.OK, (await phone.Get("/")).Status);
    }

    [Fact]
    public async Task Cookies_go_to_this_host_only_over_tls_only_and_not_to_scripts()
    {
        await using NetworkBench bench = await NetworkBench.Start(demo: false);
        using DeviceClient device = bench.Device();
        HtmlForm form = (await device.Form("/pair", "/pair")).With("code", await bench.Code()).With("name", "Phone");
        using FormUrlEncodedContent content = new(form.Fields);
        using HttpRequestMessage request = new(HttpMethod.Post, new Uri("/pair", UriKind.Relative))
        {
            Content = content,
        };
        request.Headers.Add("Origin", device.Origin);
        using HttpResponseMessage answer = await device.Http.SendAsync(request, TestContext.Current.CancellationToken);
        string cookie = answer
            .Headers.GetValues("Set-Cookie")
            .Single(one => one.Contains("-device=", StringComparison.Ordinal));
        Assert.StartsWith("__Host-gb-device=", cookie, StringComparison.Ordinal);
        Assert.All(
            (string[])["secure", "httponly", "samesite=strict", "path=/"],
            part => Assert.Contains(part, cookie, StringComparison.OrdinalIgnoreCase)
        );
        Assert.DoesNotContain("domain", cookie, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task A_session_ends_when_it_is_not_used_for_a_working_day_and_after_a_day_in_any_case()
    {
        await using NetworkBench bench = await NetworkBench.Start(demo: false);
        using DeviceClient phone = await bench.SignedIn(NetworkBench.Technician);
        bench.Time.Advance(Sessions.Idle - TimeSpan.FromMinutes(1));
        Assert.Equal(HttpStatusCode.OK, (await phone.Get("/")).Status);
        bench.Time.Advance(Sessions.Idle - TimeSpan.FromMinutes(1));
        Assert.Equal(HttpStatusCode.OK, (await phone.Get("/")).Status);
        bench.Time.Advance(TimeSpan.FromMinutes(3));
        Assert.Equal(HttpStatusCode.Unauthorized, (await phone.Get("/")).Status);

        Assert.Equal(HttpStatusCode.Redirect, (await phone.SignIn(NetworkBench.Technician, NetworkBench.Words)).Status);
        bench.Time.Advance(Sessions.Idle + TimeSpan.FromSeconds(1));
        Answer idle = await phone.Get("/");
        Assert.Equal(HttpStatusCode.Unauthorized, idle.Status);
        Assert.Contains("Who are you?", idle.Html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_revoked_device_is_out_with_its_next_request()
    {
        await using NetworkBench bench = await NetworkBench.Start();
        using DeviceClient phone = await bench.SignedIn(NetworkBench.Technician);
        HtmlForm note = (await phone.Form(Job, Job + "/evidence/note")).With("note", "too late");
        using BenchClient owner = bench.AtBench();
        Device device = Assert.Single(bench.Book.Devices);
        Answer revoked = await owner.Post(await owner.Form("/devices", $"/devices/{device.Id}/revoke"));
        Assert.Equal(HttpStatusCode.Redirect, revoked.Status);
        Assert.Equal("device-revoked", bench.Store.Evidence(BenchStore.ShopRecord)[^1].Kind);
        long before = bench.Lines;

        Answer page = await phone.Get(Job);
        Assert.Equal(HttpStatusCode.Unauthorized, page.Status);
        Assert.Contains("no longer paired", page.Html, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Unauthorized, (await phone.Post(note)).Status);
        using ClientWebSocket feed = await phone.Feed(Job + "/watch/x/live");
        Assert.Equal(HttpStatusCode.Unauthorized, feed.HttpStatusCode);
        Assert.Equal(before, bench.Lines);
    }

    [Fact]
    public async Task A_form_of_one_session_is_worth_nothing_in_another()
    {
        await using NetworkBench bench = await NetworkBench.Start();
        using DeviceClient owner = await bench.SignedIn(NetworkBench.Owner);
        using DeviceClient technician = await bench.SignedIn(NetworkBench.Technician);
        HtmlForm note = (await owner.Form(Job, Job + "/evidence/note")).With("note", "of another");
        long before = bench.Lines;
        Assert.Equal(HttpStatusCode.BadRequest, (await technician.Post(note)).Status);
        Assert.Equal(before, bench.Lines);
    }

    [Fact]
    public async Task The_trail_stands_in_the_record_holds_no_secret_and_verifies()
    {
        await using NetworkBench bench = await NetworkBench.Start(demo: false);
        using DeviceClient phone = await bench.SignedIn(NetworkBench.Technician);
        IReadOnlyList<EvidenceLine> lines = bench.Store.Evidence(BenchStore.ShopRecord);
        Assert.Contains(lines, line => line.Kind == "network-started");
        Assert.Contains(lines, line => line.Kind == "device-paired");
        string all = string.Concat(lines.Select(line => line.PayloadJson));
        Assert.All(
            (string[])
                [
                    phone.Secret("__Host-gb-device")!,
                    bench.Book.Devices[0].TokenSha256,
                    bench.Book.People[0].Passphrase.Hash,
                ],
            secret => Assert.DoesNotContain(secret, all, StringComparison.Ordinal)
        );
        using MemoryStream zip = new();
        bench.Store.Export(null, zip, "all.zip", TestContext.Current.CancellationToken);
        Assert.All(bench.Store.Verify().Findings, finding => Assert.Equal(Core.Findings.Verdict.Ok, finding.Verdict));
        string packed = Encoding.Latin1.GetString(zip.ToArray());
        Assert.DoesNotContain("access.json", packed, StringComparison.Ordinal);
        Assert.DoesNotContain("network-authority", packed, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("{")]
    [InlineData("""{"version":2,"people":[],"devices":[]}""")]
    [InlineData("""{"version":1,"people":null,"devices":[]}""")]
    [InlineData(
        """{"version":1,"people":[{"id":"a","name":"E","role":"bench","since":"2026-01-01T00:00:00Z","passphrase":{"salt":"","hash":"","iterations":1}}],"devices":[]}"""
    )]
    [InlineData(
        """{"version":1,"people":[{"id":"a","name":"E","role":"owner","since":"2026-01-01T00:00:00Z","passphrase":{"salt":"AAAAAAAAAAAAAAAAAAAAAA==","hash":"AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=","iterations":1}}],"devices":[]}"""
    )]
    public async Task A_damaged_list_locks_other_devices_out_and_is_never_overwritten(string damaged)
    {
        string folder = Directory.CreateTempSubdirectory("graftbench-net-").FullName;
        string path = Path.Combine(Directory.CreateDirectory(Path.Combine(folder, "keys")).FullName, "access.json");
        await File.WriteAllTextAsync(path, damaged, TestContext.Current.CancellationToken);
        await using NetworkBench bench = await NetworkBench.Start(people: false, folder: folder, demo: false);
        using DeviceClient device = bench.Device();
        Assert.Equal(HttpStatusCode.ServiceUnavailable, (await device.Get("/pair")).Status);
        using BenchClient owner = bench.AtBench();
        string html = await owner.Get("/devices");
        Assert.Contains("cannot be read", html, StringComparison.Ordinal);
        Answer code = await owner.Post(HtmlForm.Of(html, "/devices/code"));
        Assert.Equal(HttpStatusCode.ServiceUnavailable, code.Status);
        Answer added = await owner.Post(
            HtmlForm.Of(html, "/people").With("name", "Eve").With("passphrase", "long enough to count")
        );
        Assert.Equal(HttpStatusCode.ServiceUnavailable, added.Status);
        Assert.Equal(damaged, await File.ReadAllTextAsync(path, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task People_and_devices_last_over_a_restart_and_their_file_is_for_its_owner_only()
    {
        NetworkBench bench = await NetworkBench.Start(demo: false);
        using DeviceClient phone = await bench.Paired();
        string secret = phone.Secret("__Host-gb-device")!;
        string authority = bench.Network.Certificates!.AuthorityFingerprint;
        await bench.Stop();
        if (!OperatingSystem.IsWindows())
        {
            foreach (string file in Directory.GetFiles(Path.Combine(bench.Folder, "keys")))
            {
                Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite, File.GetUnixFileMode(file));
            }
        }
        await using NetworkBench again = await NetworkBench.Start(people: false, folder: bench.Folder, demo: false);
        Assert.Equal(authority, again.Network.Certificates!.AuthorityFingerprint);
        using DeviceClient same = again.Device();
        same.Keep("__Host-gb-device", secret);
        Assert.Equal(HttpStatusCode.Redirect, (await same.SignIn(NetworkBench.Viewer, NetworkBench.Words)).Status);
    }
}
