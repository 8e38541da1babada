namespace Graftbench.Core.Watching;

/// <summary>What can be wrong with a probe.</summary>
public enum ProbeFault
{
    /// <summary>Nothing seen.</summary>
    None,

    /// <summary>No contact: the logger says so, or sends no number.</summary>
    Open,

    /// <summary>The same number again and again while its surroundings change.</summary>
    Stuck,

    /// <summary>At or beyond an end of the logger's range.</summary>
    Saturated,

    /// <summary>Jumps, or goes where the model says it cannot go so fast.</summary>
    Loose,

    /// <summary>Two probes whose readings fit each other's place better than their own.</summary>
    Swapped,

    /// <summary>Goes away from a probe at the same place.</summary>
    Drifting,
}

/// <summary>What is known of one probe's health.</summary>
/// <param name="Channel">Channel.</param>
/// <param name="Fault">What is wrong; <see cref="ProbeFault.None"/> where nothing is.</param>
/// <param name="SinceS">Since when [s]; 0 where nothing is wrong.</param>
/// <param name="Words">For a technician: what is seen and what to do; empty where nothing is wrong.</param>
public sealed record ProbeHealth(string Channel, ProbeFault Fault, double SinceS, string Words);

/// <summary>Ends of a logger's range.</summary>
/// <param name="LowC">Lower end [°C].</param>
/// <param name="HighC">Upper end [°C].</param>
public sealed record LoggerRange(double LowC, double HighC)
{
    /// <summary>Type K as far as a bench needs it; beyond it a reading is a fault of the probe or its wiring.</summary>
    public static LoggerRange Usual { get; } = new(-50, 600);
}
