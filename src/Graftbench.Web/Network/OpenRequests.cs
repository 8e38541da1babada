using Microsoft.AspNetCore.Http;

namespace Graftbench.Web.Network;

/// <summary>
/// Requests of other devices that are being answered, live feeds among them. A device that is revoked is cut off in the middle
/// of them.
/// </summary>
public sealed class OpenRequests : IDisposable
{
    /// <summary>Most live feeds of one device at once.</summary>
    public const int MostFeeds = 12;

    private static readonly TimeSpan LookAgain = TimeSpan.FromSeconds(30);
    private readonly Sessions sessions;
    private readonly Lock gate = new();
    private readonly HashSet<Open> open = [];
    private readonly ITimer timer;

    /// <summary>Begins with none.</summary>
    public OpenRequests(Sessions sessions, TimeProvider time)
    {
        ArgumentNullException.ThrowIfNull(time);
        this.sessions = sessions;
        // A feed that stays open uses nothing: it ends with its session.
        timer = time.CreateTimer(_ => CutOff(one => !this.sessions.GoesOn(one.Session.Id)), null, LookAgain, LookAgain);
    }

    /// <summary>Notes a request until the answer is disposed; null where the device has too many live feeds.</summary>
    public IDisposable? Note(HttpContext http, Session session, bool isFeed)
    {
        ArgumentNullException.ThrowIfNull(session);
        lock (gate)
        {
            if (isFeed && open.Count(one => one.IsFeed && one.Session.DeviceId == session.DeviceId) >= MostFeeds)
            {
                return null;
            }
            Open noted = new(this, http, session, isFeed);
            open.Add(noted);
            return noted;
        }
    }

    /// <summary>Cuts off a device.</summary>
    public void CutOffDevice(string deviceId) => CutOff(one => one.Session.DeviceId == deviceId);

    /// <summary>Cuts off everything whose session is over.</summary>
    public void CutOffEnded() => CutOff(one => !sessions.GoesOn(one.Session.Id));

    /// <inheritdoc />
    public void Dispose() => timer.Dispose();

    private void CutOff(Func<Open, bool> which)
    {
        lock (gate)
        {
            // Inside the lock: a request that is over may already serve somebody else.
            foreach (Open one in open.Where(which).ToList())
            {
                one.Http.Abort();
            }
        }
    }

    private sealed class Open(OpenRequests owner, HttpContext http, Session session, bool isFeed) : IDisposable
    {
        public HttpContext Http => http;

        public Session Session => session;

        public bool IsFeed => isFeed;

        public void Dispose()
        {
            lock (owner.gate)
            {
                owner.open.Remove(this);
            }
        }
    }
}
