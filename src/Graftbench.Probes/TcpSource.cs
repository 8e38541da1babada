using System.Net.Sockets;

namespace Graftbench.Probes;

/// <summary>A logger that sends its lines over the network.</summary>
/// <param name="host">Name or address.</param>
/// <param name="port">Port, 1 to 65535.</param>
public sealed class TcpSource(string host, int port) : IProbeSource
{
    private static readonly TimeSpan LongestConnect = TimeSpan.FromSeconds(5);

    /// <inheritdoc />
    public string Name => FormattableString.Invariant($"{host}:{port}");

    /// <inheritdoc />
    public bool ComesBack => true;

    /// <inheritdoc />
    public async Task<Stream> OpenAsync(CancellationToken cancel)
    {
        TcpClient client = new();
        try
        {
            using CancellationTokenSource limit = CancellationTokenSource.CreateLinkedTokenSource(cancel);
            limit.CancelAfter(LongestConnect);
            await client.ConnectAsync(host, port, limit.Token).ConfigureAwait(false);
            return new OwningStream(client.GetStream(), client);
        }
        catch (Exception error) when (error is SocketException or OperationCanceledException)
        {
            client.Dispose();
            cancel.ThrowIfCancellationRequested();
            throw new ProbeSourceException(
                $"{Name} does not answer. Check its address, its port and the cable.",
                error
            );
        }
        catch
        {
            client.Dispose();
            throw;
        }
    }
}
