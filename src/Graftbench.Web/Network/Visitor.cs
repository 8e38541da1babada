using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Http;

namespace Graftbench.Web.Network;

/// <summary>Who asks: the one place that says it, for every request.</summary>
/// <param name="Role">What they may do.</param>
/// <param name="Person">Who they are; null where nobody said so.</param>
/// <param name="Device">Their paired device; null at the bench.</param>
/// <param name="SessionId">Their session; null without one.</param>
public sealed record Visitor(Role Role, Person? Person = null, Device? Device = null, string? SessionId = null)
{
    private static readonly AsyncLocal<string?> Acting = new();

    /// <summary>Somebody who has shown nothing.</summary>
    public static Visitor Nobody { get; } = new(Role.Anyone);

    /// <summary>
    /// Name of the person for whom the program acts now; null where nobody is signed in or named at the bench. It goes with the
    /// request and with what the request begins, and ends with them.
    /// </summary>
    public static string? ActingName => Acting.Value;

    /// <summary>Whether they sit at the bench itself.</summary>
    public bool AtBench => Role == Role.Bench;

    /// <summary>Name for the evidence that belongs to no job.</summary>
    public string Name => Person?.Name ?? (AtBench ? "bench" : Device?.Name ?? "nobody");

    /// <summary>Whether they may do what the role may.</summary>
    public bool May(Role role) => Role >= role;

    /// <summary>Who asks with this request.</summary>
    public static Visitor Of(HttpContext http) => http?.Features.Get<Visitor>() ?? Nobody;

    internal void Enter(HttpContext http)
    {
        http.Features.Set(this);
        Acting.Value = Person?.Name;
    }
}

/// <summary>Who asks, for pages.</summary>
public sealed class VisitorAccess(IHttpContextAccessor accessor, BenchNetwork network)
{
    /// <summary>Cookie with the id of the person who is at the bench.</summary>
    internal const string AtBenchCookie = "gb-who";

    /// <summary>Value of the cookie where whoever is at the bench is not listed.</summary>
    internal const string NotListed = "none";

    /// <summary>Who asks.</summary>
    public Visitor Now => accessor.HttpContext is { } http ? Visitor.Of(http) : Visitor.Nobody;

    /// <summary>Whose clock the times are, and how far what is stored here goes.</summary>
    public string Reach =>
        !network.IsOn ? "All times are this computer's clock. Nothing leaves this computer."
        : Now.AtBench
            ? "All times are this computer's clock. What is stored stays on this computer; paired devices see it."
        : "All times are the clock of the bench's computer. What is stored stays there; paired devices see it.";

    /// <summary>Whether nobody said yet who is at the bench.</summary>
    public bool IsUnsaid => Now.AtBench && accessor.HttpContext?.Request.Cookies[AtBenchCookie] is null;
}
