namespace Graftbench.Core;

/// <summary>How far a planner is.</summary>
/// <param name="Step">What it does, for a person.</param>
/// <param name="DoneFraction">Share done, 0 to 1.</param>
public sealed record PlanProgress(string Step, double DoneFraction);
