namespace Graftbench.Probes;

/// <summary>A stream for reading that closes what it came from.</summary>
/// <param name="inner">The stream.</param>
/// <param name="owned">Closed after it, in order.</param>
internal sealed class OwningStream(Stream inner, params IDisposable[] owned) : ReadingStream
{
    public override int Read(byte[] buffer, int offset, int count) => inner.Read(buffer, offset, count);

    public override ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default) =>
        inner.ReadAsync(buffer, cancellationToken);

    protected override void Dispose(bool disposing)
    {
        if (disposing)
        {
            Close(inner);
            foreach (IDisposable one in owned)
            {
                Close(one);
            }
        }
        base.Dispose(disposing);
    }

    // Closing what is gone already may throw; there is nothing to do about it.
    private static void Close(IDisposable one)
    {
        try
        {
            one.Dispose();
        }
        catch (Exception error) when (error is IOException or ObjectDisposedException or InvalidOperationException) { }
    }
}
