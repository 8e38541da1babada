namespace Graftbench.Probes;

/// <summary>Where a logger's bytes come from.</summary>
public interface IProbeSource
{
    /// <summary>What a person recognises it by.</summary>
    string Name { get; }

    /// <summary>Whether it may come back after it has gone; a stored log may not.</summary>
    bool ComesBack { get; }

    /// <summary>Opens it.</summary>
    /// <param name="cancel">Stops waiting.</param>
    /// <returns>A stream that ends, or throws, where the source is gone.</returns>
    /// <exception cref="ProbeSourceException">It cannot be opened now, with the reason for a person.</exception>
    Task<Stream> OpenAsync(CancellationToken cancel);
}

/// <summary>A source cannot be used; the message says why and what to do.</summary>
public sealed class ProbeSourceException : Exception
{
    /// <summary>Without a reason.</summary>
    public ProbeSourceException()
        : base("The logger cannot be read.") { }

    /// <summary>With its reason.</summary>
    public ProbeSourceException(string message)
        : base(message) { }

    /// <summary>With its reason and cause.</summary>
    public ProbeSourceException(string message, Exception innerException)
        : base(message, innerException) { }
}
