using System.Globalization;
using Graftbench.Core.Watching.Lines;
using Graftbench.Probes;
using static System.FormattableString;

namespace Graftbench.Watch;

/// <summary>How a source is reached.</summary>
public enum RunSourceKind
{
    /// <summary>A serial port, USB included.</summary>
    Serial,

    /// <summary>A network address.</summary>
    Tcp,

    /// <summary>A file that another program goes on writing.</summary>
    File,

    /// <summary>A stored log, played again.</summary>
    Replay,

    /// <summary>A simulated bench.</summary>
    Simulation,
}

/// <summary>A source as a person names it: <c>serial:/dev/ttyUSB0@9600</c>, <c>tcp:192.168.1.20:4000</c>, <c>file:log.csv</c>, <c>replay:log.csv@10</c>, <c>simulation@20</c>.</summary>
/// <param name="Kind">How it is reached.</param>
/// <param name="Address">Port, host and port, or path; empty for a simulation.</param>
public sealed record RunSource(RunSourceKind Kind, string Address)
{
    private const int MostAddress = 1024;

    /// <summary>Setting of a serial port.</summary>
    public int BaudNumber { get; init; } = 9600;

    /// <summary>Run time over the time on the wall, for a replay or a simulation.</summary>
    public double SpeedRatio { get; init; } = 1;

    /// <summary>Whether its readings are none of a heat that goes on.</summary>
    public FeedNature Nature =>
        Kind switch
        {
            RunSourceKind.Replay => FeedNature.Replay,
            RunSourceKind.Simulation => FeedNature.Simulation,
            _ => FeedNature.Live,
        };

    /// <summary>What is wrong with it, all of it; empty where it can be tried.</summary>
    public IReadOnlyList<string> Problems()
    {
        List<string> problems = [];
        if (Address.Length > MostAddress || Address.Any(char.IsControl))
        {
            problems.Add($"The address is longer than {MostAddress} signs or has control characters in it.");
        }
        if (Kind != RunSourceKind.Simulation && string.IsNullOrWhiteSpace(Address))
        {
            problems.Add(
                Kind switch
                {
                    RunSourceKind.Serial => "No serial port is given: choose one or type its path.",
                    RunSourceKind.Tcp => "No network address is given: write host:port, like 192.168.1.20:4000.",
                    _ => "No file is given: type its path.",
                }
            );
        }
        if (Kind == RunSourceKind.Tcp && !string.IsNullOrWhiteSpace(Address) && HostAndPort() is null)
        {
            problems.Add(
                $"{Address} is no network address: write host:port, like 192.168.1.20:4000; ports go to 65535."
            );
        }
        if (Kind == RunSourceKind.Serial && BaudNumber is < 50 or > 4_000_000)
        {
            problems.Add(Invariant($"{BaudNumber} signs a second: a serial port takes 50 to 4000000."));
        }
        if (
            Kind is RunSourceKind.Replay or RunSourceKind.Simulation
            && !(SpeedRatio is >= PacedFeed.SlowestRatio and <= PacedFeed.FastestRatio)
        )
        {
            problems.Add(
                Invariant(
                    $"Speed {SpeedRatio}: must lie between {PacedFeed.SlowestRatio} and {PacedFeed.FastestRatio}."
                )
            );
        }
        return problems;
    }

    /// <summary>Reads a source as a person writes it.</summary>
    /// <param name="text">The text.</param>
    /// <param name="problem">What is wrong with it; null where it was read.</param>
    /// <returns>The source; null where it was not read.</returns>
    public static RunSource? Parse(string text, out string? problem)
    {
        ArgumentNullException.ThrowIfNull(text);
        problem = null;
        int colon = text.IndexOf(':', StringComparison.Ordinal);
        string word = (colon < 0 ? text : text[..colon]).Split('@')[0].Trim().ToUpperInvariant();
        string rest = colon < 0 ? "" : text[(colon + 1)..];
        RunSourceKind? kind = word switch
        {
            "SERIAL" => RunSourceKind.Serial,
            "TCP" => RunSourceKind.Tcp,
            "FILE" => RunSourceKind.File,
            "REPLAY" => RunSourceKind.Replay,
            "SIMULATION" => RunSourceKind.Simulation,
            _ => null,
        };
        if (kind is null)
        {
            problem =
                $"{text}: a source is serial:PORT@BAUD, tcp:HOST:PORT, file:PATH, replay:PATH@SPEED or simulation@SPEED.";
            return null;
        }
        string numbered = kind == RunSourceKind.Simulation ? text : rest;
        bool counts = kind is RunSourceKind.Serial or RunSourceKind.Replay or RunSourceKind.Simulation;
        int at = counts ? numbered.LastIndexOf('@') : -1;
        double? number = null;
        if (at >= 0)
        {
            string given = numbered[(at + 1)..];
            if (
                !double.TryParse(given, NumberStyles.Float, CultureInfo.InvariantCulture, out double read)
                || !double.IsFinite(read)
            )
            {
                problem = $"{text}: {given} behind the @ is no number.";
                return null;
            }
            number = read;
        }
        string address =
            kind == RunSourceKind.Simulation ? ""
            : at >= 0 ? numbered[..at]
            : rest;
        RunSource source = new(kind.Value, address.Trim());
        source = kind switch
        {
            RunSourceKind.Serial when number is double baud => source with
            {
                BaudNumber = (int)Math.Clamp(baud, 0, int.MaxValue),
            },
            RunSourceKind.Replay or RunSourceKind.Simulation when number is double speed => source with
            {
                SpeedRatio = speed,
            },
            _ => source,
        };
        IReadOnlyList<string> problems = source.Problems();
        problem = problems.Count > 0 ? $"{text}: {string.Join(" ", problems)}" : null;
        return problem is null ? source : null;
    }

    /// <summary>The source of bytes, to listen to before a run; null for a simulation.</summary>
    /// <param name="time">Clock.</param>
    public IProbeSource? Listening(TimeProvider time) => Bytes(time, skipsThere: false);

    /// <summary>The feed of a run, by a confirmed format; a simulation has one of its own.</summary>
    /// <param name="format">The confirmed format.</param>
    /// <param name="time">Clock.</param>
    /// <exception cref="ProbeSourceException">A stored log cannot be read.</exception>
    public IRunFeed Feed(ProbeFormat format, TimeProvider time)
    {
        ArgumentNullException.ThrowIfNull(format);
        if (Kind == RunSourceKind.Replay)
        {
            return new ReplayFeed(Address, OpenLog(), format, SpeedRatio, time);
        }
        IProbeSource source =
            Bytes(time, skipsThere: true) ?? throw new InvalidOperationException("A simulation has a feed of its own.");
        return new LiveFeed(source, format, time);
    }

    private IProbeSource? Bytes(TimeProvider time, bool skipsThere)
    {
        (string Host, int Port)? host = HostAndPort();
        return Kind switch
        {
            RunSourceKind.Serial => new SerialSource(Address, new SerialSetting(BaudNumber)),
            RunSourceKind.Tcp when host is { } there => new TcpSource(there.Host, there.Port),
            RunSourceKind.File => new FileSource(Address, grows: true, time, skipsThere),
            RunSourceKind.Replay => new FileSource(Address, grows: false, time),
            _ => null,
        };
    }

    private FileStream OpenLog()
    {
        try
        {
            return new FileStream(Address, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        }
        catch (Exception error)
            when (error is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            throw new ProbeSourceException($"The file {Address} cannot be read: {error.Message.TrimEnd('.')}.", error);
        }
    }

    private (string Host, int Port)? HostAndPort()
    {
        int colon = Address.LastIndexOf(':');
        return
            colon > 0
            && int.TryParse(Address[(colon + 1)..], NumberStyles.None, CultureInfo.InvariantCulture, out int port)
            && port is > 0 and <= 65535
            ? (Address[..colon].Trim('[', ']', ' '), port)
            : null;
    }
}
