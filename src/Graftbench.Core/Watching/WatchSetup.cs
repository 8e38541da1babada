using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Watching;

/// <summary>A thermocouple and where it was put.</summary>
/// <param name="Channel">Name of its channel, unique in a watch.</param>
/// <param name="Place">Where it sits: on or in the board, the chip or a part (<see cref="ProbeChecks"/>).</param>
public sealed record WatchProbe(string Channel, HeatPlace Place)
{
    /// <summary>How far its readings may be off all along, one standard deviation [K]; class 1 type K: ±1.5 K at most (IEC 60584).</summary>
    public double BiasDeltaK { get; init; } = 0.8;

    /// <summary>How well its place is known, one standard deviation [mm].</summary>
    public double PlacedWithinMm { get; init; } = 1.5;

    /// <summary>Lag of its bead [s]; 0.3 to 2 s (common practice, no source).</summary>
    public double LagS { get; init; } = 0.5;

    /// <summary>Share of the gas in its reading; null for what its place suggests: 0.03 in the gas stream, else 0 (common practice, no source: 0.02 to 0.1).</summary>
    public double? GasShareFraction { get; init; }
}

/// <summary>One reading.</summary>
/// <param name="TimeS">Time since the start of the heat [s].</param>
/// <param name="Channel">Channel.</param>
/// <param name="TemperatureC">Temperature [°C]; null where the logger says that the probe is open.</param>
public sealed record ProbeReading(double TimeS, string Channel, double? TemperatureC);

/// <summary>What is watched: board, chip and bench as a model, probes, and what is known of the settings.</summary>
/// <param name="Model">Model of the heat.</param>
/// <param name="Probes">Probes, at least one.</param>
public sealed record WatchSetup(BoardHeatModel Model, IReadOnlyList<WatchProbe> Probes)
{
    /// <summary>Planned set points; null where the person sets the heaters as it goes.</summary>
    public HeatSchedule? Plan { get; init; }

    /// <summary>Whether the person has checked by sight that the nozzle stands centred over the chip.</summary>
    public bool AlignmentChecked { get; init; }

    /// <summary>Factors before anything is learned: those of a calibrated bench, else nominal.</summary>
    public HeatFactors Factors { get; init; } = HeatFactors.Nominal;

    /// <summary>Limits to look ahead to.</summary>
    public IReadOnlyList<HeatLimit> Limits { get; init; } = [];

    /// <summary>What the model's own structure may be off at full melt besides the filter's band: 4 K, 8 K where the alignment was not checked [K].</summary>
    /// <remarks>Figures of a trial with wrong nozzle places and substrates: such errors cost 4 to 11 K and no probe shows them.</remarks>
    public double StructureDeltaK => AlignmentChecked ? 4 : 8;
}
