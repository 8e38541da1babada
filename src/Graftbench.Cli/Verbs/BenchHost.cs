using System.Net;
using System.Net.Sockets;
using Graftbench.Store;
using Graftbench.Web;
using Graftbench.Web.Network;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;

namespace Graftbench.Cli.Verbs;

/// <summary>Runs the web application. Kept apart so that other verbs never load it.</summary>
internal static class BenchHost
{
    /// <summary>Starts the bench screens, says where they are, and waits until they are stopped.</summary>
    /// <exception cref="BadInputException">The port is taken or the store cannot be opened.</exception>
    public static async Task<int> RunAsync(BenchOptions options, CancellationToken cancel)
    {
        int port = options.Port;
        StorePlace place = options.Store ?? StorePlace.Of(options.DataFolder);
        try
        {
            Probe(IPAddress.Loopback, port, "--port");
            if (options.Network is { } network)
            {
                Probe(network.Address ?? IPAddress.Any, network.Port, "--tls-port");
            }
            await using WebApplication app = BenchServer.Build(options);
            await app.StartAsync(cancel);
            string bench = app.Urls.First(url => url.StartsWith("http:", StringComparison.Ordinal));
            Console.Out.WriteLine($"Graftbench is at {bench}");
            TellOfNetwork(app.Services.GetRequiredService<BenchNetwork>(), bench);
            Console.Out.WriteLine($"Store: {(place.IsShared ? place : place.Folder)}. Stop with Ctrl-C.");
            Task warm = OpenOnceAsync(bench, cancel);
            using CancellationTokenRegistration stop = cancel.Register(app.Lifetime.StopApplication);
            await app.WaitForShutdownAsync(CancellationToken.None);
            await warm;
            return ExitCode.Ok;
        }
        catch (Exception error) when (IsTaken(error))
        {
            throw new BadInputException(
                "A port was taken while the bench started: stop the other program, or choose others with --port and --tls-port."
            );
        }
        catch (Exception error) when (error is StoreException or InvalidDataException)
        {
            throw new BadInputException(error.Message);
        }
        catch (Exception error) when (error is UnauthorizedAccessException or IOException)
        {
            throw new BadInputException(JobInput.Unreachable(place.Folder, error));
        }
    }

    // The first page compiles and plans: better now than when somebody waits for it. That it fails is told when it is asked for.
    private static async Task OpenOnceAsync(string bench, CancellationToken cancel)
    {
        using HttpClient http = new() { BaseAddress = new Uri(bench), Timeout = TimeSpan.FromSeconds(30) };
        try
        {
            using HttpResponseMessage page = await http.GetAsync(new Uri("/", UriKind.Relative), cancel);
        }
        catch (Exception error) when (error is HttpRequestException or OperationCanceledException) { }
    }

    private static void TellOfNetwork(BenchNetwork network, string bench)
    {
        if (network.Certificates is not { } certificates)
        {
            return;
        }
        foreach (string url in network.Urls)
        {
            Console.Out.WriteLine($"Other devices: {url}");
        }
        Console.Out.WriteLine($"Pair them, and see how they trust this bench, at {bench}/devices");
        Console.Out.WriteLine($"SHA-256 of the certificate: {certificates.LeafFingerprint}");
        Console.Out.WriteLine($"SHA-256 of its authority:   {certificates.AuthorityFingerprint}");
    }

    // The ports are tried before the store is opened and the demo loaded, and before the server logs its own failure.
    private static void Probe(IPAddress address, int port, string option)
    {
        try
        {
            using TcpListener probe = new(address, port);
            probe.Start();
        }
        catch (SocketException error) when (IsTaken(error))
        {
            throw new BadInputException(
                $"Port {port} on {address} is taken: stop the other program, or choose another with {option}; {option} 0 takes a free one."
            );
        }
        catch (SocketException error) when (error.SocketErrorCode == SocketError.AccessDenied)
        {
            throw new BadInputException($"Port {port}: no right to use it. Choose one above 1023 with {option}.");
        }
        catch (SocketException error) when (error.SocketErrorCode == SocketError.AddressNotAvailable)
        {
            throw new BadInputException($"--address {address}: this machine has no such address now.");
        }
    }

    private static bool IsTaken(Exception? error) =>
        error switch
        {
            null => false,
            SocketException { SocketErrorCode: SocketError.AddressAlreadyInUse } => true,
            Microsoft.AspNetCore.Connections.AddressInUseException => true,
            _ => IsTaken(error.InnerException),
        };
}
