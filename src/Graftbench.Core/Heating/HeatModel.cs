using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>What a read place stands for.</summary>
public enum HeatPlaceKind
{
    /// <summary>A solder joint under the chip, at mid-height of the ball layer.</summary>
    Joint,

    /// <summary>Top centre of the chip's body, where body limits are read.</summary>
    BodyTop,

    /// <summary>Board under the chip, underside.</summary>
    Underside,

    /// <summary>Board's top face beside the chip.</summary>
    BoardTop,

    /// <summary>Top centre of a neighbour's body.</summary>
    NeighbourBody,

    /// <summary>Solder under a neighbour, read on the board's face below its hottest edge.</summary>
    NeighbourJoint,

    /// <summary>Where a thermocouple may sit.</summary>
    Probe,
}

/// <summary>A place whose temperature the plan follows.</summary>
/// <param name="Name">Unique name: <c>joint 1,1</c>, <c>body top</c>, <c>C12</c>.</param>
/// <param name="Kind">What it stands for.</param>
/// <param name="Part">Reference of the part; null where it belongs to none.</param>
/// <param name="XMm">From the left edge of the board [mm].</param>
/// <param name="YMm">From the lower edge of the board [mm].</param>
/// <param name="ZMm">Height over the board's top face [mm].</param>
public sealed record HeatPlace(string Name, HeatPlaceKind Kind, string? Part, double XMm, double YMm, double ZMm);

/// <summary>A number that the job does not say, with how far off it may be.</summary>
/// <param name="Code">Stable name: <c>film.top</c>, <c>board.copper</c>.</param>
/// <param name="What">What it is, with its value, one sentence.</param>
/// <param name="Factor">Name of the factor of <see cref="HeatFactors"/> that carries its uncertainty; null where none does.</param>
/// <param name="LogSdRatio">Standard deviation of its natural logarithm; 0 where it is not varied.</param>
/// <param name="Measured">True where the bench or the job gives it, false where it is assumed.</param>
/// <param name="Source">Source id.</param>
public sealed record HeatAssumption(
    string Code,
    string What,
    string? Factor,
    double LogSdRatio,
    bool Measured,
    string Source
);

/// <summary>Board, chip, neighbours, nozzle and heaters as boxes and films; what the job says and what was assumed.</summary>
/// <param name="Case">Boxes, films and radiation; its signals <c>gas</c>, <c>preheater</c> and <c>room</c> hold the room's temperature, its duration is 0.</param>
/// <param name="Places">Joints first, then the body top, underside, board, neighbours and probe places.</param>
/// <param name="Nozzle">Opening of the nozzle over the board.</param>
/// <param name="Chip">Outline of the chip's body on the board.</param>
/// <param name="RoomC">Temperature of the room and of everything at the start [°C].</param>
/// <param name="GasLagS">Lag of the gas behind its set point [s].</param>
/// <param name="PreheaterLagS">Lag of the bottom heater [s].</param>
/// <param name="SolidusC">First melt of the joints [°C].</param>
/// <param name="MoltenC">Temperature above which every joint is fully molten [°C].</param>
/// <param name="Assumptions">Every number that matters, assumed or measured.</param>
/// <param name="Findings">What is wrong or missing in the job for this answer.</param>
public sealed record BoardHeatModel(
    HeatCase Case,
    IReadOnlyList<HeatPlace> Places,
    RectMm Nozzle,
    RectMm Chip,
    double RoomC,
    double GasLagS,
    double PreheaterLagS,
    double SolidusC,
    double MoltenC,
    IReadOnlyList<HeatAssumption> Assumptions,
    IReadOnlyList<Finding> Findings
)
{
    /// <summary>False where the job does not say enough for a model: there are no boxes, and the findings say why.</summary>
    public bool Usable => Case.Boxes.Count > 0;

    /// <summary>What a model without boxes lacks, for the person; null where there is a model.</summary>
    public Finding? Lacks { get; init; }

    /// <summary>What is left in doubt of a calibrated bench; null where usual figures count.</summary>
    public CalibratedSpread? Calibrated { get; init; }
}

/// <summary>Set points over time, straight lines between; the devices' lags come on top.</summary>
/// <param name="Gas">Set point of the gas.</param>
/// <param name="Preheater">Set point of the bottom heater.</param>
/// <param name="DurationS">How long to follow it, cooling included [s].</param>
public sealed record HeatSchedule(
    IReadOnlyList<SignalPoint> Gas,
    IReadOnlyList<SignalPoint> Preheater,
    double DurationS
);

/// <summary>Temperatures of all places over one run, one value a step.</summary>
/// <param name="StepS">Step [s]; the first value is at time 0.</param>
/// <param name="TemperaturesC">By place, then step: <c>TemperaturesC[place][step]</c> [°C].</param>
public sealed record HeatTrace(double StepS, double[][] TemperaturesC)
{
    /// <summary>Values a place has.</summary>
    public int Count => TemperaturesC.Length == 0 ? 0 : TemperaturesC[0].Length;
}

/// <summary>Runs schedules through a model of one board and bench: the full model or the one reduced from it.</summary>
public interface IHeatRunner
{
    /// <summary>Places that a trace has, in its order.</summary>
    IReadOnlyList<HeatPlace> Places { get; }

    /// <summary>One run; safe to call from several threads at once.</summary>
    /// <param name="schedule">Set points.</param>
    /// <param name="factors">What is scaled.</param>
    HeatTrace Run(HeatSchedule schedule, HeatFactors factors);
}
