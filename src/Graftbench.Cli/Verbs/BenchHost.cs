using System.Net;
using System.Net.Sockets;
using Graftbench.Store;
using Graftbench.Web;
using Graftbench.Web.Keeping;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.Hosting;

namespace Graftbench.Cli.Verbs;

/// <summary>Runs the web application. Kept apart so that other verbs never load it.</summary>
internal static class BenchHost
{
    /// <summary>Starts the bench screens, says where they are, and waits until they are stopped.</summary>
    /// <exception cref="BadInputException">The port is taken or the store cannot be opened.</exception>
    public static async Task<int> RunAsync(
        int port,
        StorePlace place,
        bool loadDemo,
        BackupPlan? backup,
        CancellationToken cancel
    )
    {
        try
        {
            Probe(port);
            await using WebApplication app = BenchServer.Build(
                new BenchOptions
                {
                    DataFolder = place.Folder,
                    Store = place,
                    Backup = backup,
                    Port = port,
                    LoadDemo = loadDemo,
                }
            );
            await app.StartAsync(cancel);
            Console.Out.WriteLine($"Graftbench is at {string.Join(" and ", app.Urls)}");
            Console.Out.WriteLine($"Store: {(place.IsShared ? place : place.Folder)}. Stop with Ctrl-C.");
            using CancellationTokenRegistration stop = cancel.Register(app.Lifetime.StopApplication);
            await app.WaitForShutdownAsync(CancellationToken.None);
            return ExitCode.Ok;
        }
        catch (Exception error) when (IsTaken(error))
        {
            throw new BadInputException(
                $"Port {port} on 127.0.0.1 is taken: stop the other program, or choose another with --port; --port 0 takes a free one."
            );
        }
        catch (SocketException error) when (error.SocketErrorCode == SocketError.AccessDenied)
        {
            throw new BadInputException($"Port {port}: no right to use it. Choose one above 1023 with --port.");
        }
        catch (StoreException error)
        {
            throw new BadInputException(error.Message);
        }
        catch (Exception error) when (error is UnauthorizedAccessException or IOException)
        {
            throw new BadInputException(JobInput.Unreachable(place.Folder, error));
        }
    }

    // The port is tried before the store is opened and the demo loaded, and before the server logs its own failure.
    private static void Probe(int port)
    {
        using TcpListener probe = new(IPAddress.Loopback, port);
        probe.Start();
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
