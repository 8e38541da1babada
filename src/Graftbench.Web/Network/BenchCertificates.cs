using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text;

namespace Graftbench.Web.Network;

/// <summary>
/// The bench's own small authority and the certificate that it gives the bench. Devices trust the authority once; the
/// bench's certificate is renewed before it ends, and whenever the machine's addresses or name change.
/// </summary>
public sealed class BenchCertificates : IDisposable
{
    /// <summary>How long the authority lasts [days].</summary>
    public const int AuthorityDays = 3650;

    /// <summary>How long the bench's certificate lasts [days]; phones refuse more than 825.</summary>
    public const int LeafDays = 397;

    /// <summary>A certificate with fewer days left is renewed [days].</summary>
    public const int RenewDays = 30;

    private const string ServerAuthentication = "1.3.6.1.5.5.7.3.1";
    private static readonly TimeSpan LookAgain = TimeSpan.FromSeconds(20);
    private readonly string folder;
    private readonly TimeProvider time;
    private readonly Func<BenchAddresses> now;
    private readonly Lock gate = new();
    private X509Certificate2 authority = null!;
    private X509Certificate2 leaf = null!;
    private BenchAddresses addresses = null!;
    private DateTimeOffset lookedAt = DateTimeOffset.MinValue;

    /// <summary>Reads the certificates of a folder, or makes them.</summary>
    /// <param name="folder">Folder for keys.</param>
    /// <param name="time">The clock.</param>
    /// <param name="now">Gives the addresses in use.</param>
    /// <exception cref="InvalidDataException">The authority's files are there and cannot be read.</exception>
    public BenchCertificates(string folder, TimeProvider time, Func<BenchAddresses> now)
    {
        this.folder = folder;
        this.time = time;
        this.now = now;
        KeyFile.Folder(folder);
        Look();
    }

    /// <summary>Addresses and names that the certificate is made for.</summary>
    public BenchAddresses Addresses
    {
        get
        {
            lock (gate)
            {
                Look();
                return addresses;
            }
        }
    }

    /// <summary>The certificate that the bench shows, with its key.</summary>
    public X509Certificate2 Leaf
    {
        get
        {
            lock (gate)
            {
                Look();
                return leaf;
            }
        }
    }

    /// <summary>The authority's certificate as a device takes it; its key never leaves the folder.</summary>
    public byte[] AuthorityFile
    {
        get
        {
            lock (gate)
            {
                return authority.RawData;
            }
        }
    }

    /// <summary>SHA-256 of the authority's certificate, in pairs as browsers show it.</summary>
    public string AuthorityFingerprint => Fingerprint(AuthorityFile);

    /// <summary>SHA-256 of the bench's certificate, in pairs as browsers show it.</summary>
    public string LeafFingerprint => Fingerprint(Leaf.RawData);

    /// <inheritdoc />
    public void Dispose()
    {
        authority.Dispose();
        leaf.Dispose();
    }

    private static string Fingerprint(byte[] certificate) =>
        string.Join(':', SHA256.HashData(certificate).Select(part => part.ToString("X2", null)));

    private void Look()
    {
        DateTimeOffset moment = time.GetUtcNow();
        if (moment - lookedAt < LookAgain)
        {
            return;
        }
        lookedAt = moment;
        BenchAddresses wanted = now();
        authority ??= ReadAuthority() ?? MakeAuthority(wanted);
        if (moment.AddDays(RenewDays) > new DateTimeOffset(authority.NotAfter))
        {
            authority = MakeAuthority(wanted);
        }
        leaf ??= Read("bench")!;
        if (leaf is null || !Suits(leaf, wanted))
        {
            leaf = MakeLeaf(wanted);
            if (!IsVouchedFor(leaf))
            {
                // The machine has a name or a public address now that the authority may not speak for.
                authority = MakeAuthority(wanted);
                leaf = MakeLeaf(wanted);
            }
            Keep("bench", leaf);
        }
        addresses = wanted;
    }

    private bool Suits(X509Certificate2 certificate, BenchAddresses wanted)
    {
        X509SubjectAlternativeNameExtension? names = certificate
            .Extensions.OfType<X509SubjectAlternativeNameExtension>()
            .FirstOrDefault();
        return names is not null
            && wanted.Equals(new BenchAddresses([.. names.EnumerateIPAddresses()], [.. names.EnumerateDnsNames()]))
            && time.GetUtcNow().AddDays(RenewDays) < new DateTimeOffset(certificate.NotAfter)
            && IsVouchedFor(certificate);
    }

    private bool IsVouchedFor(X509Certificate2 certificate)
    {
        using X509Chain chain = new();
        chain.ChainPolicy.TrustMode = X509ChainTrustMode.CustomRootTrust;
        chain.ChainPolicy.CustomTrustStore.Add(authority);
        chain.ChainPolicy.RevocationMode = X509RevocationMode.NoCheck;
        chain.ChainPolicy.DisableCertificateDownloads = true;
        chain.ChainPolicy.VerificationTime = time.GetUtcNow().LocalDateTime;
        return chain.Build(certificate);
    }

    private X509Certificate2 MakeAuthority(BenchAddresses wanted)
    {
        using ECDsa key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        string mark = Convert.ToHexString(RandomNumberGenerator.GetBytes(4));
        CertificateRequest request = new(
            $"CN=Graftbench authority {mark}, O=Graftbench",
            key,
            HashAlgorithmName.SHA256
        );
        request.CertificateExtensions.Add(new X509BasicConstraintsExtension(true, true, 0, critical: true));
        request.CertificateExtensions.Add(
            new X509KeyUsageExtension(X509KeyUsageFlags.KeyCertSign | X509KeyUsageFlags.CrlSign, critical: true)
        );
        request.CertificateExtensions.Add(new X509SubjectKeyIdentifierExtension(request.PublicKey, critical: false));
        request.CertificateExtensions.Add(NameConstraints.Permit([.. wanted.Names, "localhost"], wanted.Addresses));
        DateTimeOffset moment = time.GetUtcNow();
        using X509Certificate2 made = request.CreateSelfSigned(moment.AddDays(-1), moment.AddDays(AuthorityDays));
        X509Certificate2 kept = WithKept(made);
        Keep("authority", kept);
        return kept;
    }

    private X509Certificate2 MakeLeaf(BenchAddresses wanted)
    {
        using ECDsa key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        CertificateRequest request = new("CN=Graftbench bench, O=Graftbench", key, HashAlgorithmName.SHA256);
        request.CertificateExtensions.Add(new X509BasicConstraintsExtension(false, false, 0, critical: true));
        request.CertificateExtensions.Add(
            new X509KeyUsageExtension(X509KeyUsageFlags.DigitalSignature, critical: true)
        );
        request.CertificateExtensions.Add(
            new X509EnhancedKeyUsageExtension([new Oid(ServerAuthentication)], critical: false)
        );
        request.CertificateExtensions.Add(new X509SubjectKeyIdentifierExtension(request.PublicKey, critical: false));
        request.CertificateExtensions.Add(
            X509AuthorityKeyIdentifierExtension.CreateFromCertificate(authority, true, false)
        );
        SubjectAlternativeNameBuilder names = new();
        foreach (System.Net.IPAddress address in wanted.Addresses)
        {
            names.AddIpAddress(address);
        }
        foreach (string name in wanted.Names)
        {
            names.AddDnsName(name);
        }
        request.CertificateExtensions.Add(names.Build(critical: false));
        DateTimeOffset moment = time.GetUtcNow();
        DateTimeOffset end = new(authority.NotAfter);
        byte[] serial = RandomNumberGenerator.GetBytes(16);
        serial[0] &= 0x7F;
        using X509Certificate2 signed = request.Create(
            authority,
            moment.AddDays(-1),
            moment.AddDays(LeafDays) < end ? moment.AddDays(LeafDays) : end,
            serial
        );
        using X509Certificate2 made = signed.CopyWithPrivateKey(key);
        return WithKept(made);
    }

    private string PathOf(string name, string kind) => Path.Combine(folder, $"network-{name}.{kind}.pem");

    private void Keep(string name, X509Certificate2 certificate)
    {
        using ECDsa key = certificate.GetECDsaPrivateKey()!;
        KeyFile.Write(PathOf(name, "key"), Encoding.ASCII.GetBytes(key.ExportPkcs8PrivateKeyPem()));
        KeyFile.Write(PathOf(name, "certificate"), Encoding.ASCII.GetBytes(certificate.ExportCertificatePem()));
    }

    private X509Certificate2? ReadAuthority()
    {
        if (!File.Exists(PathOf("authority", "certificate")))
        {
            return null;
        }
        return Read("authority")
            ?? throw new InvalidDataException(
                $"The bench's authority in {folder} cannot be read: its certificate and key do not belong together or are "
                    + "damaged. Put both network-authority files back from a copy, or take both away: the bench then makes a "
                    + "new authority, and every device has to trust it anew."
            );
    }

    private X509Certificate2? Read(string name)
    {
        try
        {
            using X509Certificate2 read = X509Certificate2.CreateFromPem(
                File.ReadAllText(PathOf(name, "certificate")),
                File.ReadAllText(PathOf(name, "key"))
            );
            return WithKept(read);
        }
        catch (Exception failure) when (failure is CryptographicException or ArgumentException or FileNotFoundException)
        {
            return null;
        }
    }

    // Some systems shake hands only with a key that came with its certificate in one file.
    private static X509Certificate2 WithKept(X509Certificate2 made) =>
        X509CertificateLoader.LoadPkcs12(
            made.Export(X509ContentType.Pkcs12),
            null,
            X509KeyStorageFlags.Exportable,
            Pkcs12LoaderLimits.Defaults
        );
}
