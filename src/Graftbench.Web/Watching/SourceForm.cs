using System.Globalization;
using Graftbench.Watch;
using Graftbench.Web.Network;

namespace Graftbench.Web.Watching;

/// <summary>What the form of a source holds, as it was typed.</summary>
public sealed record SourceForm
{
    /// <summary>How it is reached: <c>simulation</c>, <c>serial</c>, <c>tcp</c>, <c>file</c> or <c>replay</c>.</summary>
    public string Kind { get; init; } = "serial";

    /// <summary>Serial port.</summary>
    public string Port { get; init; } = "";

    /// <summary>Serial port's speed.</summary>
    public string Baud { get; init; } = "9600";

    /// <summary>Host and port.</summary>
    public string Host { get; init; } = "";

    /// <summary>Path of a file that grows.</summary>
    public string File { get; init; } = "";

    /// <summary>Path of a stored log.</summary>
    public string Log { get; init; } = "";

    /// <summary>Speed of a replay.</summary>
    public string LogSpeed { get; init; } = "1";

    /// <summary>Speed of a simulation.</summary>
    public string Speed { get; init; } = "1";

    /// <summary>Reads the fields.</summary>
    public static SourceForm Of(Func<string, string> field)
    {
        ArgumentNullException.ThrowIfNull(field);
        return new SourceForm
        {
            Kind = field("source"),
            Port = field("port").Trim(),
            Baud = field("baud").Trim(),
            Host = field("host").Trim(),
            File = field("file").Trim(),
            Log = field("log").Trim(),
            LogSpeed = field("log-speed").Trim(),
            Speed = field("speed").Trim(),
        };
    }

    /// <summary>The source; null where something is wrong with it.</summary>
    /// <param name="problems">All that is wrong.</param>
    public RunSource? Source(out IReadOnlyList<string> problems)
    {
        List<string> wrong = [];
        double Read(string text, string what)
        {
            if (
                double.TryParse(
                    text.Replace(',', '.'),
                    NumberStyles.Float,
                    CultureInfo.InvariantCulture,
                    out double read
                ) && double.IsFinite(read)
            )
            {
                return read;
            }
            wrong.Add($"{what}: '{text}' is no number.");
            return 1;
        }
        RunSource? source = Kind switch
        {
            "serial" => new RunSource(RunSourceKind.Serial, Port)
            {
                BaudNumber = (int)Math.Clamp(Read(Baud, "Signs a second"), 0, int.MaxValue),
            },
            "tcp" => new RunSource(RunSourceKind.Tcp, Host),
            "file" => new RunSource(RunSourceKind.File, File),
            "replay" => new RunSource(RunSourceKind.Replay, Log) { SpeedRatio = Read(LogSpeed, "Speed") },
            "simulation" => new RunSource(RunSourceKind.Simulation, "") { SpeedRatio = Read(Speed, "Speed") },
            _ => null,
        };
        if (source is null)
        {
            wrong.Add("Choose where the readings come from.");
        }
        else if (wrong.Count == 0)
        {
            wrong.AddRange(source.Problems());
        }
        problems = wrong;
        return wrong.Count == 0 ? source : null;
    }

    /// <summary>
    /// Why a source is not taken from another device; null where it is. A path or a host would have the bench's computer open
    /// whatever file or address somebody types, and show its first lines.
    /// </summary>
    /// <param name="source">The source; null where there is none.</param>
    /// <param name="visitor">Who asks.</param>
    internal static string? ProblemFromElsewhere(RunSource? source, Visitor visitor) =>
        !visitor.AtBench && source?.Kind is (RunSourceKind.File or RunSourceKind.Replay or RunSourceKind.Tcp)
            ? "Files of the bench's computer and loggers on the network are chosen at the bench only. A logger on a serial port, and the simulation, can be chosen here."
            : null;
}
