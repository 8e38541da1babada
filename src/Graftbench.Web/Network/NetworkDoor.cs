using System.Collections.Concurrent;
using System.Net;
using System.Net.Sockets;
using System.Security.Authentication;
using Microsoft.AspNetCore.Connections;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.AspNetCore.Server.Kestrel.Https;
using Microsoft.Extensions.DependencyInjection;

namespace Graftbench.Web.Network;

/// <summary>Mark on every connection that came to the bench's own machine. What does not carry it came from elsewhere.</summary>
internal sealed class BenchDoor
{
    public static readonly BenchDoor Mark = new();
}

/// <summary>Where the server listens: at the bench in plain, for other devices with a certificate and few at a time.</summary>
internal static class NetworkDoor
{
    /// <summary>Most connections of other devices at once.</summary>
    public const int MostConnections = 400;

    private static readonly TimeSpan HeaderPatience = TimeSpan.FromSeconds(15);
    private static readonly TimeSpan HandshakePatience = TimeSpan.FromSeconds(8);

    /// <summary>Slowest body that is waited for [bytes a second], after a grace of ten seconds.</summary>
    private const double LeastBytesPerS = 500;

    public static void Listen(IWebHostBuilder host, BenchOptions options)
    {
        if (options.Network is not null)
        {
            host.UseKestrelHttpsConfiguration();
        }
        host.ConfigureKestrel(kestrel =>
        {
            kestrel.Limits.RequestHeadersTimeout = HeaderPatience;
            kestrel.Limits.MinRequestBodyDataRate = new MinDataRate(LeastBytesPerS, TimeSpan.FromSeconds(10));
            kestrel.Listen(
                IPAddress.Loopback,
                options.Port,
                listen =>
                    listen.Use(next =>
                        connection =>
                        {
                            connection.Features.Set(BenchDoor.Mark);
                            return next(connection);
                        }
                    )
            );
            if (options.Network is not { } network)
            {
                return;
            }
            if (network.Address is { } address)
            {
                kestrel.Listen(address, network.Port, ListenForOthers);
            }
            else
            {
                kestrel.ListenAnyIP(network.Port, ListenForOthers);
            }
        });
    }

    private static void ListenForOthers(ListenOptions listen)
    {
        // Live feeds are opened the old way; the guard knows no other.
        listen.Protocols = HttpProtocols.Http1;
        listen.Use(Few());
        IServiceProvider services = listen.ApplicationServices;
        listen.UseHttps(
            new HttpsConnectionAdapterOptions
            {
                SslProtocols = SslProtocols.Tls12 | SslProtocols.Tls13,
                HandshakeTimeout = HandshakePatience,
                ServerCertificateSelector = (_, _) => services.GetRequiredService<BenchNetwork>().Certificates?.Leaf,
            }
        );
    }

    /// <summary>Turns away what is too much before it costs a handshake, so that the bench itself always gets through.</summary>
    private static Func<ConnectionDelegate, ConnectionDelegate> Few()
    {
        ConcurrentDictionary<string, int> byAddress = new(StringComparer.Ordinal);
        int all = 0;
        return next =>
            async connection =>
            {
                string from = Source(connection.RemoteEndPoint is IPEndPoint point ? point.Address : null);
                int here = byAddress.AddOrUpdate(from, 1, (_, number) => number + 1);
                try
                {
                    if (Interlocked.Increment(ref all) > MostConnections || here > NetworkOptions.MostFromOne)
                    {
                        connection.Abort();
                        return;
                    }
                    await next(connection);
                }
                finally
                {
                    Interlocked.Decrement(ref all);
                    if (byAddress.AddOrUpdate(from, 0, (_, number) => number - 1) == 0)
                    {
                        byAddress.TryRemove(KeyValuePair.Create(from, 0));
                    }
                }
            };
    }

    /// <summary>What an address counts as: one of the newer kind stands for its whole network, which one device owns.</summary>
    public static string Source(IPAddress? address)
    {
        if (address is null)
        {
            return "?";
        }
        if (address.IsIPv4MappedToIPv6)
        {
            return address.MapToIPv4().ToString();
        }
        return address.AddressFamily == AddressFamily.InterNetworkV6
            ? Convert.ToHexString(address.GetAddressBytes().AsSpan(0, 8))
            : address.ToString();
    }
}
