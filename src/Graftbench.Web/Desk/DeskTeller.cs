using Graftbench.Core;

namespace Graftbench.Web.Desk;

/// <summary>Tells a desk how far a planner of the core is.</summary>
/// <param name="desk">The desk.</param>
internal sealed class DeskTeller(IProgress<DeskProgress> desk) : IProgress<PlanProgress>
{
    /// <inheritdoc/>
    public void Report(PlanProgress value) => desk.Report(new DeskProgress(value.DoneFraction, value.Step));
}
