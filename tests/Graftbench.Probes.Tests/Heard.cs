using System.Text;
using Graftbench.Core.Watching.Lines;

namespace Graftbench.Probes.Tests;

/// <summary>What a connection gave, while it runs.</summary>
internal sealed class Heard : IAsyncDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(20);
    private readonly CancellationTokenSource stop = new();
    private readonly List<ProbeEvent> events = [];
    private readonly StringBuilder text = new();
    private readonly Lock gate = new();

    public Heard(IProbeSource source)
    {
        ProbeConnection connection = new(source, TimeProvider.System);
        Running = connection.RunAsync(
            (bytes, _) =>
            {
                lock (gate)
                {
                    text.Append(Encoding.UTF8.GetString(bytes.Span));
                }
            },
            one =>
            {
                lock (gate)
                {
                    events.Add(one);
                }
            },
            stop.Token
        );
    }

    public Task Running { get; }

    public string Text
    {
        get
        {
            lock (gate)
            {
                return text.ToString();
            }
        }
    }

    public string[] Kinds
    {
        get
        {
            lock (gate)
            {
                return [.. events.Select(one => one.Kind)];
            }
        }
    }

    public string Said
    {
        get
        {
            lock (gate)
            {
                return string.Join('\n', events.Select(one => one.Text));
            }
        }
    }

    /// <summary>Waits until something is so; fails with what was heard where it never is.</summary>
    public async Task Until(Func<Heard, bool> so)
    {
        DateTime end = DateTime.UtcNow + Patience;
        while (!so(this))
        {
            Assert.True(DateTime.UtcNow < end, $"Heard only: {Text}\n{Said}");
            await Task.Delay(10, TestContext.Current.CancellationToken);
        }
    }

    public async ValueTask DisposeAsync()
    {
        await stop.CancelAsync();
        await Running.WaitAsync(Patience);
        stop.Dispose();
    }
}
