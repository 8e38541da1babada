using System.IO.Ports;
using System.Security.Cryptography;
using System.Text;

namespace Graftbench.Probes;

/// <summary>How a serial port is set.</summary>
/// <param name="BaudNumber">Signs a second.</param>
/// <param name="DataBits">5 to 8.</param>
/// <param name="Parity">Parity.</param>
/// <param name="StopBits">Stop bits.</param>
public sealed record SerialSetting(
    int BaudNumber = 9600,
    int DataBits = 8,
    Parity Parity = Parity.None,
    StopBits StopBits = StopBits.One
);

/// <summary>A logger on a serial port, USB included.</summary>
/// <param name="port">Name or path of the port.</param>
/// <param name="setting">How it is set.</param>
public sealed class SerialSource(string port, SerialSetting setting) : IProbeSource
{
    /// <inheritdoc />
    public string Name => port;

    /// <inheritdoc />
    public bool ComesBack => true;

    /// <summary>Ports that the machine lists; one that is missing may still be typed by its path.</summary>
    public static IReadOnlyList<string> Listed() => [.. SerialPort.GetPortNames().Order(StringComparer.Ordinal)];

    /// <inheritdoc />
    public Task<Stream> OpenAsync(CancellationToken cancel)
    {
        cancel.ThrowIfCancellationRequested();
        // Two programs on one port would each get half of the lines, and the system does not refuse it everywhere.
        FileStream held = Lock();
        SerialPort? opened = null;
        try
        {
            opened = new SerialPort(port, setting.BaudNumber, setting.Parity, setting.DataBits, setting.StopBits)
            {
                ReadBufferSize = 64 * 1024,
            };
            opened.Open();
            RaiseLines(opened);
            return Task.FromResult<Stream>(new OwningStream(opened.BaseStream, opened, held));
        }
        catch (Exception error)
            when (error is IOException or UnauthorizedAccessException or ArgumentException or InvalidOperationException)
        {
            opened?.Dispose();
            held.Dispose();
            throw new ProbeSourceException(Why(error), error);
        }
    }

    private string Why(Exception error) =>
        error switch
        {
            FileNotFoundException => $"There is no port {port}. Plug the logger in, or choose another port.",
            UnauthorizedAccessException =>
                $"The port {port} may not be used. Close other programs that use it; on Linux the user belongs into the group dialout.",
            _ => $"The port {port} cannot be opened: {error.Message.TrimEnd('.')}.",
        };

    private FileStream Lock()
    {
        string name = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(port)))[..16];
        string path = Path.Combine(Path.GetTempPath(), $"graftbench-port-{name}.lock");
        try
        {
            return new FileStream(
                path,
                FileMode.OpenOrCreate,
                FileAccess.ReadWrite,
                FileShare.None,
                1,
                FileOptions.DeleteOnClose
            );
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new ProbeSourceException(
                $"The port {port} is read by another Graftbench already. Close that one.",
                error
            );
        }
    }

    // Many loggers take their current from these lines; some ports have none.
    private static void RaiseLines(SerialPort opened)
    {
        try
        {
            opened.DtrEnable = true;
            opened.RtsEnable = true;
        }
        catch (Exception error) when (error is IOException or InvalidOperationException) { }
    }
}
