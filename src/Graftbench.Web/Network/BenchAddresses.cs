using System.Net;
using System.Net.NetworkInformation;
using System.Net.Sockets;

namespace Graftbench.Web.Network;

/// <summary>Addresses and names under which other devices reach this bench: nothing else is answered.</summary>
/// <param name="Addresses">Addresses, those of the older kind first.</param>
/// <param name="Names">Host names, small letters.</param>
public sealed record BenchAddresses(IReadOnlyList<IPAddress> Addresses, IReadOnlyList<string> Names)
{
    /// <summary>What this machine has now.</summary>
    /// <param name="only">The one address to listen on; null for all.</param>
    public static BenchAddresses Now(IPAddress? only)
    {
        List<IPAddress> addresses = only is null ? [.. OfThisMachine()] : [only];
        List<string> names = [];
        string name = Dns.GetHostName().ToLowerInvariant();
        if (name != "localhost" && !name.StartsWith("localhost.", StringComparison.Ordinal) && IsHostName(name))
        {
            names.Add(name);
            if (!name.Contains('.'))
            {
                // The name by which a machine without a name server is found on its own network (RFC 6762).
                names.Add(name + ".local");
            }
        }
        if (only is not null && IPAddress.IsLoopback(only))
        {
            names.Add("localhost");
        }
        return new BenchAddresses(addresses, names);
    }

    /// <summary>Whether a request for this host is meant for this bench.</summary>
    /// <param name="host">Host of the request without its port.</param>
    public bool Serves(string host)
    {
        ArgumentNullException.ThrowIfNull(host);
        return Names.Contains(host.ToLowerInvariant(), StringComparer.Ordinal)
            || (
                IPAddress.TryParse(host.Trim('[', ']'), out IPAddress? address)
                // "10.1" and "0xA.1" parse too; only the usual spelling is a host that a browser sends.
                && string.Equals(Spelled(address), host, StringComparison.OrdinalIgnoreCase)
                && Addresses.Contains(address)
            );
    }

    /// <summary>The addresses as a browser takes them.</summary>
    /// <param name="port">Port for other devices.</param>
    public IReadOnlyList<string> Urls(int port) =>
        [
            .. Addresses
                .Select(Spelled)
                .Concat(Names)
                .Select(host => FormattableString.Invariant($"https://{host}:{port}")),
        ];

    /// <summary>Whether both are the same, whatever the order.</summary>
    public bool Equals(BenchAddresses? other) =>
        other is not null
        && Addresses.ToHashSet().SetEquals(other.Addresses)
        && Names.ToHashSet(StringComparer.Ordinal).SetEquals(other.Names);

    /// <inheritdoc />
    public override int GetHashCode() => HashCode.Combine(Addresses.Count, Names.Count);

    private static string Spelled(IPAddress address) =>
        address.AddressFamily == AddressFamily.InterNetworkV6 ? $"[{address}]" : address.ToString();

    private static bool IsHostName(string name) =>
        name.Length <= 253 && Uri.CheckHostName(name) == UriHostNameType.Dns && name.All(char.IsAscii);

    private static IEnumerable<IPAddress> OfThisMachine() =>
        NetworkInterface
            .GetAllNetworkInterfaces()
            .Where(one => one.OperationalStatus == OperationalStatus.Up)
            .SelectMany(one => one.GetIPProperties().UnicastAddresses)
            .Select(one => one.Address)
            .Where(address => !IPAddress.IsLoopback(address) && !address.IsIPv6LinkLocal && !address.IsIPv6Multicast)
            .Distinct()
            .OrderBy(address => address.AddressFamily == AddressFamily.InterNetwork ? 0 : 1)
            .ThenBy(address => address.ToString(), StringComparer.Ordinal);
}
