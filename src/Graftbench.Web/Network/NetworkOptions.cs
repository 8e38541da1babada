using System.Net;

namespace Graftbench.Web.Network;

/// <summary>How the bench answers other devices. Without it the bench answers its own machine only.</summary>
public sealed record NetworkOptions
{
    /// <summary>Port for other devices where nothing else is asked for.</summary>
    public const int DefaultPort = 5443;

    /// <summary>Most connections from one address at once; a browser takes six and its live feeds.</summary>
    public const int MostFromOne = 60;

    /// <summary>Address to listen on; null for every address of this machine.</summary>
    public IPAddress? Address { get; init; }

    /// <summary>Port for other devices; 0 lets the system choose.</summary>
    public int Port { get; init; } = DefaultPort;
}
