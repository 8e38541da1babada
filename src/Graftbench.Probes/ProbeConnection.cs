using Graftbench.Core.Watching.Lines;
using static System.FormattableString;

namespace Graftbench.Probes;

/// <summary>Reads a source for as long as it is wanted and takes it up again by itself when it comes back.</summary>
/// <remarks>
/// Waits 0.5 s after it is gone, then twice as long each time up to 8 s. A source that is open but silent is said. Nothing is
/// filled in for the time in between: a gap stays a gap.
/// </remarks>
/// <param name="source">The source.</param>
/// <param name="time">Clock.</param>
public sealed class ProbeConnection(IProbeSource source, TimeProvider time)
{
    private const int BufferBytes = 16 * 1024;
    private static readonly TimeSpan FirstWait = TimeSpan.FromSeconds(0.5);
    private static readonly TimeSpan LongestWait = TimeSpan.FromSeconds(8);
    private static readonly TimeSpan Silence = TimeSpan.FromSeconds(5);
    private readonly long start = time.GetTimestamp();

    /// <summary>Seconds since the connection was made, by a clock that never jumps [s].</summary>
    public double NowS => time.GetElapsedTime(start).TotalSeconds;

    /// <summary>Reads until it is cancelled, or until a source that does not come back has ended.</summary>
    /// <param name="take">Called with bytes and their arrival [s], one call at a time.</param>
    /// <param name="tell">Called with what happens: <c>connected</c>, <c>gone</c>, <c>silent</c>.</param>
    /// <param name="cancel">Ends it.</param>
    public async Task RunAsync(
        Action<ReadOnlyMemory<byte>, double> take,
        Action<ProbeEvent> tell,
        CancellationToken cancel
    )
    {
        ArgumentNullException.ThrowIfNull(take);
        ArgumentNullException.ThrowIfNull(tell);
        TimeSpan wait = FirstWait;
        string? saidWhy = null;
        while (!cancel.IsCancellationRequested)
        {
            string why;
            try
            {
                Stream stream = await source.OpenAsync(cancel).ConfigureAwait(false);
                await using (stream.ConfigureAwait(false))
                {
                    tell(new ProbeEvent(NowS, "connected", $"Reading {source.Name}."));
                    saidWhy = null;
                    wait = FirstWait;
                    why = await ReadAsync(stream, take, tell, cancel).ConfigureAwait(false);
                }
            }
            catch (OperationCanceledException) when (cancel.IsCancellationRequested)
            {
                return;
            }
            catch (ProbeSourceException error)
            {
                why = error.Message;
            }
            catch (Exception error) when (IsGone(error))
            {
                why = $"{source.Name} is gone ({error.Message.TrimEnd('.')}).";
            }
            if (!source.ComesBack)
            {
                tell(new ProbeEvent(NowS, "gone", why));
                return;
            }
            if (!string.Equals(why, saidWhy, StringComparison.Ordinal))
            {
                tell(new ProbeEvent(NowS, "gone", $"{why} It is tried again until it answers."));
                saidWhy = why;
            }
            try
            {
                await Task.Delay(wait, time, cancel).ConfigureAwait(false);
            }
            catch (OperationCanceledException)
            {
                return;
            }
            wait = TimeSpan.FromTicks(Math.Min(wait.Ticks * 2, LongestWait.Ticks));
        }
    }

    private async Task<string> ReadAsync(
        Stream stream,
        Action<ReadOnlyMemory<byte>, double> take,
        Action<ProbeEvent> tell,
        CancellationToken cancel
    )
    {
        byte[] buffer = new byte[BufferBytes];
        bool silent = false;
        Task<int>? reading = null;
        while (true)
        {
            reading ??= stream.ReadAsync(buffer, cancel).AsTask();
            if (!silent)
            {
                using CancellationTokenSource waiting = CancellationTokenSource.CreateLinkedTokenSource(cancel);
                Task first = await Task.WhenAny(reading, Task.Delay(Silence, time, waiting.Token))
                    .ConfigureAwait(false);
                await waiting.CancelAsync().ConfigureAwait(false);
                cancel.ThrowIfCancellationRequested();
                if (first != reading)
                {
                    silent = true;
                    tell(
                        new ProbeEvent(
                            NowS,
                            "silent",
                            Invariant(
                                $"Nothing has come from {source.Name} for {Silence.TotalSeconds:0} s: is it switched on and logging?"
                            )
                        )
                    );
                }
            }
            int count = await reading.WaitAsync(cancel).ConfigureAwait(false);
            reading = null;
            if (count == 0)
            {
                return $"{source.Name} has ended.";
            }
            silent = false;
            take(buffer.AsMemory(0, count), NowS);
        }
    }

    // A pulled cable comes as any of these, depending on the port and the moment.
    private static bool IsGone(Exception error) =>
        error
            is IOException
                or ObjectDisposedException
                or UnauthorizedAccessException
                or InvalidOperationException
                or OperationCanceledException
                or TimeoutException;
}
