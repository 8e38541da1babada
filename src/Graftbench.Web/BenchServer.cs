using Microsoft.AspNetCore.Builder;

namespace Graftbench.Web;

/// <summary>How the bench server is started.</summary>
public sealed record BenchOptions
{
    /// <summary>Folder that holds the store.</summary>
    public required string DataFolder { get; init; }

    /// <summary>Port on 127.0.0.1; 0 lets the system choose.</summary>
    public int Port { get; init; }

    /// <summary>Whether the invented demo shop is loaded, once, into an empty store.</summary>
    public bool LoadDemo { get; init; } = true;

    /// <summary>The clock.</summary>
    public TimeProvider Time { get; init; } = TimeProvider.System;
}

/// <summary>Builds the web application; the command line and the browser tests start it.</summary>
public static class BenchServer
{
    /// <summary>Builds the application without starting it. It listens on 127.0.0.1 only.</summary>
    public static WebApplication Build(BenchOptions options) => throw new NotSupportedException();
}
