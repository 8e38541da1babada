namespace Graftbench.Probes;

/// <summary>A file of lines: one that another program goes on writing, or a stored log.</summary>
/// <param name="path">The file.</param>
/// <param name="grows">Whether to wait for more at its end; a stored log ends there.</param>
/// <param name="time">Clock.</param>
/// <param name="skipsThere">Whether what is in a growing file already is left out: it is no news.</param>
public sealed class FileSource(string path, bool grows, TimeProvider time, bool skipsThere = false) : IProbeSource
{
    // Where reading goes on after the file was out of reach; what was read once is not read again as if it were new.
    private long nextByte = skipsThere ? long.MaxValue : 0;

    /// <inheritdoc />
    public string Name => path;

    /// <inheritdoc />
    public bool ComesBack => grows;

    /// <inheritdoc />
    public Task<Stream> OpenAsync(CancellationToken cancel)
    {
        cancel.ThrowIfCancellationRequested();
        try
        {
            FileStream file = new(
                path,
                FileMode.Open,
                FileAccess.Read,
                FileShare.ReadWrite | FileShare.Delete,
                16 * 1024,
                FileOptions.Asynchronous | FileOptions.SequentialScan
            );
            if (!grows)
            {
                return Task.FromResult<Stream>(file);
            }
            long length = file.Length;
            file.Position =
                nextByte == long.MaxValue ? length
                : nextByte <= length ? nextByte
                : 0;
            return Task.FromResult<Stream>(new GrowingStream(file, time, at => nextByte = at));
        }
        catch (Exception error)
            when (error is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            throw new ProbeSourceException($"The file {path} cannot be read: {error.Message.TrimEnd('.')}.", error);
        }
    }

    /// <summary>Waits at the end of a file for more; ends where the file was begun anew.</summary>
    private sealed class GrowingStream(FileStream file, TimeProvider time, Action<long> readTo) : ReadingStream
    {
        private static readonly TimeSpan Look = TimeSpan.FromMilliseconds(50);

        public override async ValueTask<int> ReadAsync(
            Memory<byte> buffer,
            CancellationToken cancellationToken = default
        )
        {
            while (true)
            {
                int count = await file.ReadAsync(buffer, cancellationToken).ConfigureAwait(false);
                if (count > 0)
                {
                    readTo(file.Position);
                    return count;
                }
                if (file.Length < file.Position)
                {
                    readTo(0);
                    return 0;
                }
                await Task.Delay(Look, time, cancellationToken).ConfigureAwait(false);
            }
        }

        protected override void Dispose(bool disposing)
        {
            if (disposing)
            {
                file.Dispose();
            }
            base.Dispose(disposing);
        }
    }
}
