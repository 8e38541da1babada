namespace Graftbench.Web.Network;

/// <summary>Somebody who is signed in on a device.</summary>
/// <param name="Id">Public id of the session; form tokens are bound to it.</param>
/// <param name="DeviceId">The device.</param>
/// <param name="PersonId">The person.</param>
/// <param name="Began">When it began.</param>
/// <param name="LastUsed">When it was last used.</param>
public sealed record Session(
    string Id,
    string DeviceId,
    string PersonId,
    DateTimeOffset Began,
    DateTimeOffset LastUsed
);

/// <summary>Who is signed in. Kept in memory only: a bench that was started again asks everybody anew.</summary>
public sealed class Sessions(TimeProvider time)
{
    /// <summary>A session that is not used for so long ends: a long working day.</summary>
    public static readonly TimeSpan Idle = TimeSpan.FromHours(12);

    /// <summary>A session ends after so long however much it is used.</summary>
    public static readonly TimeSpan Longest = TimeSpan.FromHours(24);

    private readonly Lock gate = new();
    private readonly Dictionary<string, Session> byHash = new(StringComparer.Ordinal);

    /// <summary>Begins a session, in place of an earlier one on the device, and gives its secret.</summary>
    public string Begin(string deviceId, string personId)
    {
        string secret = Token.New();
        DateTimeOffset moment = time.GetUtcNow();
        lock (gate)
        {
            Drop(session => session.DeviceId == deviceId || IsOver(session, moment));
            byHash[Token.HashOf(secret)!] = new Session(
                Guid.NewGuid().ToString("N"),
                deviceId,
                personId,
                moment,
                moment
            );
        }
        return secret;
    }

    /// <summary>The session of a secret on a device; null where there is none or it is over. Asking uses it.</summary>
    public Session? Use(string? secret, string deviceId)
    {
        if (Token.HashOf(secret) is not { } hash)
        {
            return null;
        }
        DateTimeOffset moment = time.GetUtcNow();
        lock (gate)
        {
            // A secret counts on its own device only.
            if (!byHash.TryGetValue(hash, out Session? session) || session.DeviceId != deviceId)
            {
                return null;
            }
            if (IsOver(session, moment))
            {
                byHash.Remove(hash);
                return null;
            }
            return byHash[hash] = session with { LastUsed = moment };
        }
    }

    /// <summary>Whether a session goes on, without using it.</summary>
    public bool GoesOn(string sessionId)
    {
        DateTimeOffset moment = time.GetUtcNow();
        lock (gate)
        {
            return byHash.Values.Any(session => session.Id == sessionId && !IsOver(session, moment));
        }
    }

    /// <summary>Ends what is going on on a device.</summary>
    public void EndOn(string deviceId)
    {
        lock (gate)
        {
            Drop(session => session.DeviceId == deviceId);
        }
    }

    /// <summary>Ends every session of a person.</summary>
    /// <param name="personId">The person.</param>
    /// <param name="except">Session that stays; null for none.</param>
    public void EndOf(string personId, string? except = null)
    {
        lock (gate)
        {
            Drop(session => session.PersonId == personId && session.Id != except);
        }
    }

    private void Drop(Func<Session, bool> which)
    {
        foreach (string hash in byHash.Where(pair => which(pair.Value)).Select(pair => pair.Key).ToList())
        {
            byHash.Remove(hash);
        }
    }

    private static bool IsOver(Session session, DateTimeOffset moment) =>
        moment - session.LastUsed >= Idle || moment - session.Began >= Longest;
}
