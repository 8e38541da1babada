using System.Net;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;

namespace Graftbench.Web.Network;

/// <summary>Whether and where other devices reach this bench.</summary>
public sealed class BenchNetwork : IDisposable
{
    private readonly IServer? server;

    /// <summary>A bench that answers its own machine only, or other devices as the options say.</summary>
    /// <param name="options">Null for its own machine only.</param>
    /// <param name="keys">Folder for keys.</param>
    /// <param name="time">The clock.</param>
    /// <param name="server">The server, which knows the port once it has started.</param>
    public BenchNetwork(NetworkOptions? options, string keys, TimeProvider time, IServer? server)
    {
        this.server = server;
        Only = options?.Address;
        if (options is not null)
        {
            Certificates = new BenchCertificates(keys, time, () => BenchAddresses.Now(options.Address));
        }
    }

    /// <summary>The one address that is listened on; null for all.</summary>
    public IPAddress? Only { get; }

    /// <summary>The certificates; null where other devices are not answered.</summary>
    public BenchCertificates? Certificates { get; }

    /// <summary>Whether other devices are answered.</summary>
    public bool IsOn => Certificates is not null;

    /// <summary>Port for other devices; null before the start and where there is none.</summary>
    public int? Port =>
        server
            ?.Features.Get<IServerAddressesFeature>()
            ?.Addresses.Where(address => address.StartsWith("https:", StringComparison.Ordinal))
            .Select(address => (int?)new Uri(address.Replace("//+", "//0.0.0.0", StringComparison.Ordinal)).Port)
            .FirstOrDefault();

    /// <summary>Addresses for other devices, the ones with numbers first.</summary>
    public IReadOnlyList<string> Urls =>
        Certificates is { } certificates && Port is { } port ? certificates.Addresses.Urls(port) : [];

    /// <summary>Whether a request for this host is meant for this bench.</summary>
    public bool Serves(string host) => Certificates?.Addresses.Serves(host) == true;

    /// <inheritdoc />
    public void Dispose() => Certificates?.Dispose();
}
