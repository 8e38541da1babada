using System.Net;
using System.Security.Cryptography.X509Certificates;
using Graftbench.Web.Network;
using Microsoft.Extensions.Time.Testing;

namespace Graftbench.Web.Tests.Network;

/// <summary>The bench's authority and certificate over the years and over changes of its network.</summary>
public sealed class CertificateTests : IDisposable
{
    private static readonly BenchAddresses Home = new([IPAddress.Parse("192.168.1.20")], ["bench", "bench.local"]);
    private readonly string folder = Directory.CreateTempSubdirectory("graftbench-cert-").FullName;
    private readonly FakeTimeProvider time = new(DateTimeOffset.UtcNow);

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void The_certificate_is_for_the_addresses_and_names_in_use_and_lasts_as_phones_want_it()
    {
        using BenchCertificates made = new(folder, time, () => Home);
        X509Certificate2 leaf = made.Leaf;
        Assert.True(leaf.MatchesHostname("192.168.1.20"));
        Assert.True(leaf.MatchesHostname("bench.local"));
        Assert.False(leaf.MatchesHostname("192.168.1.21"));
        Assert.True(leaf.NotAfter - leaf.NotBefore < TimeSpan.FromDays(825));
        Assert.Null(X509CertificateLoader.LoadCertificate(made.AuthorityFile).GetECDsaPrivateKey());
    }

    [Fact]
    public void It_lasts_over_a_restart_is_renewed_before_it_ends_and_when_the_address_changes()
    {
        string first;
        string authority;
        using (BenchCertificates made = new(folder, time, () => Home))
        {
            first = made.LeafFingerprint;
            authority = made.AuthorityFingerprint;
        }
        BenchAddresses now = Home;
        using BenchCertificates again = new(folder, time, () => now);
        Assert.Equal(first, again.LeafFingerprint);

        now = Home with { Addresses = [IPAddress.Parse("192.168.1.77")] };
        time.Advance(TimeSpan.FromMinutes(1));
        string moved = again.LeafFingerprint;
        Assert.NotEqual(first, moved);
        Assert.True(again.Leaf.MatchesHostname("192.168.1.77"));
        Assert.False(again.Addresses.Serves("192.168.1.20"));

        time.Advance(TimeSpan.FromDays(BenchCertificates.LeafDays - BenchCertificates.RenewDays + 1));
        Assert.NotEqual(moved, again.LeafFingerprint);
        Assert.True(again.Leaf.NotAfter > time.GetUtcNow().AddDays(300).LocalDateTime);
        Assert.Equal(authority, again.AuthorityFingerprint);
    }

    [Fact]
    public void The_authority_vouches_for_no_address_or_name_outside_the_shop()
    {
        using BenchCertificates home = new(folder, time, () => Home);
        string authority = home.AuthorityFingerprint;
        home.Dispose();
        // Only another authority can vouch for a public address: the bench makes one, and devices see a new fingerprint.
        using BenchCertificates moved = new(
            folder,
            time,
            () => Home with { Addresses = [IPAddress.Parse("198.51.100.7")] }
        );
        Assert.NotEqual(authority, moved.AuthorityFingerprint);
        using BenchCertificates named = new(folder, time, () => Home with { Names = ["bank.example"] });
        Assert.NotEqual(moved.AuthorityFingerprint, named.AuthorityFingerprint);
    }

    [Fact]
    public void A_damaged_certificate_is_made_anew_a_damaged_authority_stops_the_start()
    {
        new BenchCertificates(folder, time, () => Home).Dispose();
        File.WriteAllText(Path.Combine(folder, "network-bench.certificate.pem"), "gone");
        new BenchCertificates(folder, time, () => Home).Dispose();
        File.WriteAllText(Path.Combine(folder, "network-authority.key.pem"), "gone");
        InvalidDataException refused = Assert.Throws<InvalidDataException>(() =>
            new BenchCertificates(folder, time, () => Home)
        );
        Assert.Contains("network-authority", refused.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("192.168.1.20", true)]
    [InlineData("BENCH.local", true)]
    [InlineData("bench", true)]
    [InlineData("192.168.1.21", false)]
    [InlineData("192.168.276", false)]
    [InlineData("0xC0.0xA8.1.20", false)]
    [InlineData("bench.local.elsewhere.example", false)]
    [InlineData("", false)]
    public void Only_hosts_in_use_are_served(string host, bool served) => Assert.Equal(served, Home.Serves(host));
}
