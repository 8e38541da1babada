using System.Diagnostics;
using System.Net;
using Graftbench.Store;
using Graftbench.Web.Network;

namespace Graftbench.Web.Tests.Network;

/// <summary>Attacks on signing in, and who is at the bench.</summary>
public class SignInTests
{
    private const string Job = "/jobs/arcade-graphics-chip";

    [Fact]
    public async Task A_wrong_name_and_a_wrong_passphrase_get_the_same_answer_after_the_same_time()
    {
        await using NetworkBench bench = await NetworkBench.Start(demo: false);
        List<(string Html, double Ms)> known = [];
        List<(string Html, double Ms)> unknown = [];
        for (int i = 0; i < 3; i++)
        {
            // A device each, so that no wait begins.
            using DeviceClient device = await bench.Paired("Device " + i);
            known.Add(await Try(device, NetworkBench.Owner));
            unknown.Add(await Try(device, "Mina Nobody" + i));
        }
        // Without the hashing an answer comes a hundred times as fast; what else the machine does matters less than four times.
        Assert.InRange(known.Min(one => one.Ms) / unknown.Min(one => one.Ms), 0.25, 4);
        Assert.Equal(Plain(known[0].Html, NetworkBench.Owner), Plain(unknown[0].Html, "Mina Nobody0"));

        static string Plain(string html, string name)
        {
            string without = html.Replace(name, "NAME", StringComparison.Ordinal);
            int token = without.IndexOf("RequestVerificationToken\" value=\"", StringComparison.Ordinal);
            int end = without.IndexOf("\" />", token, StringComparison.Ordinal);
            return without[..token] + without[end..];
        }
    }

    private static async Task<(string Html, double Ms)> Try(DeviceClient device, string person)
    {
        HtmlForm form = (await device.Form("/sign-in", "/sign-in"))
            .With("person", person)
            .With("passphrase", "not the right words");
        Stopwatch watch = Stopwatch.StartNew();
        Answer answer = await device.Post(form);
        Assert.Equal(HttpStatusCode.Unauthorized, answer.Status);
        return (answer.Html, watch.Elapsed.TotalMilliseconds);
    }

    [Fact]
    public async Task Guessing_passphrases_is_locked_and_the_right_one_waits_too()
    {
        await using NetworkBench bench = await NetworkBench.Start(demo: false);
        using DeviceClient device = await bench.Paired();
        for (int i = 0; i <= Attempts.Free; i++)
        {
            Assert.Equal(
                HttpStatusCode.Unauthorized,
                (await device.SignIn(NetworkBench.Owner, "wrong words " + i)).Status
            );
        }
        Assert.Equal(
            HttpStatusCode.TooManyRequests,
            (await device.SignIn(NetworkBench.Owner, NetworkBench.Words)).Status
        );
        // Another device does not get around the wait for the name, another name not around the wait for the device.
        using DeviceClient other = await bench.Paired("Other");
        Assert.Equal(HttpStatusCode.TooManyRequests, (await other.SignIn("mina vale", NetworkBench.Words)).Status);
        Assert.Equal(
            HttpStatusCode.TooManyRequests,
            (await device.SignIn(NetworkBench.Viewer, NetworkBench.Words)).Status
        );
        EvidenceLine line = bench.Store.Evidence(BenchStore.ShopRecord).Last(one => one.Kind == "sign-in-locked");
        Assert.DoesNotContain("wrong words", line.PayloadJson, StringComparison.Ordinal);

        bench.Time.Advance(Attempts.FirstWait + TimeSpan.FromSeconds(1));
        Assert.Equal(HttpStatusCode.Redirect, (await device.SignIn(NetworkBench.Owner, NetworkBench.Words)).Status);
    }

    [Fact]
    public void Waits_grow_to_their_longest_and_tries_at_once_count_each()
    {
        Microsoft.Extensions.Time.Testing.FakeTimeProvider time = new(DateTimeOffset.UtcNow);
        Attempts attempts = new(time);
        TimeSpan last = TimeSpan.Zero;
        for (int i = 0; i < 20; i++)
        {
            Assert.Null(attempts.Begin("key"));
            TimeSpan wait = attempts.Wait("key") ?? TimeSpan.Zero;
            Assert.True(wait >= last && wait <= Attempts.LongestWait);
            last = wait;
            time.Advance(wait);
        }
        Assert.Equal(Attempts.LongestWait, last);
        int begun = Enumerable.Range(0, 100).AsParallel().Count(_ => attempts.Begin("other") is null);
        Assert.Equal(Attempts.Free + 1, begun);
    }

    [Theory]
    [InlineData("https://elsewhere.example/")]
    [InlineData("//elsewhere.example/")]
    [InlineData("/\\elsewhere.example")]
    [InlineData("/ok\r\nSet-Cookie: a=b")]
    [InlineData("javascript:alert(1)")]
    [InlineData("\\\\elsewhere")]
    public async Task Signing_in_leads_nowhere_else(string back)
    {
        await using NetworkBench bench = await NetworkBench.Start(demo: false);
        using DeviceClient device = await bench.Paired();
        Answer answer = await device.SignIn(NetworkBench.Viewer, NetworkBench.Words, back);
        Assert.Equal("/", answer.Location);
    }

    [Fact]
    public async Task The_own_passphrase_is_changed_with_the_old_one_and_ends_other_sessions()
    {
        await using NetworkBench bench = await NetworkBench.Start(demo: false);
        using DeviceClient here = await bench.SignedIn(NetworkBench.Technician);
        using DeviceClient there = await bench.SignedIn(NetworkBench.Technician);
        HtmlForm form = await here.Form("/me", "/me/passphrase");
        Assert.Equal(
            HttpStatusCode.UnprocessableEntity,
            (await here.Post(form.With("old", NetworkBench.Words).With("new", "short"))).Status
        );
        Assert.Equal(
            HttpStatusCode.Unauthorized,
            (await here.Post(form.With("old", "not this one at all").With("new", "twelve signs and more"))).Status
        );
        Assert.Equal(
            HttpStatusCode.OK,
            (await here.Post(form.With("old", NetworkBench.Words).With("new", "twelve signs and more"))).Status
        );
        Assert.Equal(HttpStatusCode.OK, (await here.Get("/")).Status);
        Assert.Equal(HttpStatusCode.Unauthorized, (await there.Get("/")).Status);
        Assert.Equal(
            HttpStatusCode.Unauthorized,
            (await there.SignIn(NetworkBench.Technician, NetworkBench.Words)).Status
        );
    }

    [Fact]
    public async Task A_role_that_is_taken_away_and_a_person_who_is_taken_off_are_out_at_once()
    {
        await using NetworkBench bench = await NetworkBench.Start();
        using DeviceClient device = await bench.SignedIn(NetworkBench.Technician);
        string id = bench.Book.FindByName(NetworkBench.Technician)!.Id;
        HtmlForm note = (await device.Form(Job, Job + "/evidence/note")).With("note", "too late");
        using BenchClient owner = bench.AtBench();
        await owner.Post((await owner.Form("/devices", $"/people/{id}/role")).With("role", "viewer"));
        long before = bench.Store.Evidence("arcade-graphics-chip").Count;
        Assert.Equal(HttpStatusCode.Forbidden, (await device.Post(note)).Status);
        await owner.Post(await owner.Form("/devices", $"/people/{id}/remove"));
        Assert.Equal(HttpStatusCode.Unauthorized, (await device.Get("/")).Status);
        Assert.Equal(before, bench.Store.Evidence("arcade-graphics-chip").Count);
        Assert.Equal(
            ["role-changed", "person-removed"],
            bench.Store.Evidence(BenchStore.ShopRecord).TakeLast(2).Select(line => line.Kind)
        );
    }

    [Fact]
    public async Task At_the_bench_somebody_is_asked_once_who_they_are_and_only_where_people_are_listed()
    {
        await using NetworkBench bench = await NetworkBench.Start(people: false);
        using BenchClient client = bench.AtBench();
        Assert.DoesNotContain("Who is at the bench?", await client.Get("/"), StringComparison.Ordinal);
        bench.Book.Add(
            "Ada Nox",
            Role.Viewer,
            bench.Book.People.Count > 0 ? bench.Book.People[0].Passphrase : Passphrase.Of(NetworkBench.Words)
        );
        HtmlForm who = await client.Form("/", "/who");
        Answer said = await client.Post(who.With("back", "//elsewhere.example"));
        Assert.Equal("/", said.Location);
        string page = await client.Get("/");
        Assert.DoesNotContain("Who is at the bench?", page, StringComparison.Ordinal);
        Assert.Contains("Ada Nox at the bench", page, StringComparison.Ordinal);
        // At the bench even a viewer may do everything: whoever sits there could anyway.
        await client.Post((await client.Form(Job, Job + "/evidence/note")).With("note", "At the bench."));
        Assert.Equal("Ada Nox", bench.Store.Evidence("arcade-graphics-chip")[^1].Who);
        await client.Post((await client.Form("/devices", "/who")).With("who", "none"));
        await client.Post((await client.Form(Job, Job + "/evidence/note")).With("note", "Nobody of these."));
        Assert.NotEqual("Ada Nox", bench.Store.Evidence("arcade-graphics-chip")[^1].Who);
    }
}
