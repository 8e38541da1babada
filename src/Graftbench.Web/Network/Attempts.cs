namespace Graftbench.Web.Network;

/// <summary>Counts what is tried: so many in a stretch of time, and longer and longer waits after what went wrong.</summary>
public sealed class Attempts(TimeProvider time)
{
    /// <summary>Wrong tries that cost no wait.</summary>
    public const int Free = 4;

    /// <summary>First wait; each further wrong try doubles it.</summary>
    public static readonly TimeSpan FirstWait = TimeSpan.FromSeconds(30);

    /// <summary>Longest wait.</summary>
    public static readonly TimeSpan LongestWait = TimeSpan.FromMinutes(30);

    private const int MostKeys = 5000;
    private static readonly TimeSpan Forgotten = TimeSpan.FromHours(12);
    private readonly Lock gate = new();
    private readonly Dictionary<string, Wrong> wrong = new(StringComparer.Ordinal);
    private readonly Dictionary<string, Stretch> stretches = new(StringComparer.Ordinal);

    /// <summary>Whether there is room for one more in a fixed stretch of time; counts it.</summary>
    /// <param name="key">What is counted.</param>
    /// <param name="most">Most in a stretch.</param>
    /// <param name="length">Length of the stretch.</param>
    public bool HasRoom(string key, int most, TimeSpan length)
    {
        DateTimeOffset moment = time.GetUtcNow();
        lock (gate)
        {
            if (!stretches.TryGetValue(key, out Stretch stretch) || moment - stretch.Began >= length)
            {
                Bound(stretches, one => moment - one.Began >= length);
                stretch = new Stretch(moment, 0);
            }
            stretches[key] = stretch with { Number = stretch.Number + 1 };
            return stretch.Number < most;
        }
    }

    /// <summary>
    /// Begins a try that can go wrong. It counts as wrong until <see cref="Right"/> is said, so that many at once are no way
    /// around the count.
    /// </summary>
    /// <param name="key">What is counted.</param>
    /// <returns>How long to wait first, with nothing counted; null where the try may go on.</returns>
    public TimeSpan? Begin(string key)
    {
        DateTimeOffset moment = time.GetUtcNow();
        lock (gate)
        {
            Wrong known = wrong.GetValueOrDefault(key);
            if (moment < known.Until)
            {
                return known.Until - moment;
            }
            if (moment - known.Last >= Forgotten)
            {
                known = default;
                Bound(wrong, one => moment - one.Last >= Forgotten);
            }
            int number = known.Number + 1;
            double doublings = Math.Min(number - Free - 1, 16);
            TimeSpan wait = number <= Free ? TimeSpan.Zero : FirstWait * Math.Pow(2, doublings);
            wrong[key] = new Wrong(number, moment, moment + (wait < LongestWait ? wait : LongestWait));
            return null;
        }
    }

    /// <summary>The wait that has begun for a key; null for none.</summary>
    public TimeSpan? Wait(string key)
    {
        DateTimeOffset moment = time.GetUtcNow();
        lock (gate)
        {
            return wrong.TryGetValue(key, out Wrong known) && moment < known.Until ? known.Until - moment : null;
        }
    }

    /// <summary>The try went right: what was wrong before is forgotten.</summary>
    public void Right(string key)
    {
        lock (gate)
        {
            wrong.Remove(key);
        }
    }

    // Somebody with many addresses must not fill the memory; what is over goes first, then what is there.
    private static void Bound<T>(Dictionary<string, T> all, Func<T, bool> isOver)
    {
        if (all.Count < MostKeys)
        {
            return;
        }
        foreach (string key in all.Where(pair => isOver(pair.Value)).Select(pair => pair.Key).ToList())
        {
            all.Remove(key);
        }
        if (all.Count >= MostKeys)
        {
            all.Clear();
        }
    }

    private readonly record struct Wrong(int Number, DateTimeOffset Last, DateTimeOffset Until);

    private readonly record struct Stretch(DateTimeOffset Began, int Number);
}
