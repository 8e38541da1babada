using System.Globalization;
using Graftbench.Core.Drying;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;

namespace Graftbench.Sheets;

/// <summary>The trade's words for the values of the job document and the answers.</summary>
public static class TradeWords
{
    /// <summary>A verdict: <c>Blocker</c>, <c>Fix first</c>, <c>Warning</c>, <c>Unknown</c>, <c>Ok</c>.</summary>
    public static string Of(Verdict verdict) =>
        verdict switch
        {
            Verdict.Blocker => "Blocker",
            Verdict.FixFirst => "Fix first",
            Verdict.Warning => "Warning",
            Verdict.Ok => "Ok",
            _ => "Unknown",
        };

    /// <summary>What a verdict means for the work.</summary>
    public static string Meaning(Verdict verdict) =>
        verdict switch
        {
            Verdict.Blocker => "The work must not go on.",
            Verdict.FixFirst => "Put right what is listed before the next step.",
            Verdict.Warning => "The work may go on; read what is listed.",
            Verdict.Ok => "Checked against its limits and inside them.",
            _ => "Something could not be checked. Unknown is not ok.",
        };

    /// <summary>What keeps heat from a part.</summary>
    public static string Of(HeatShield shield) =>
        shield switch
        {
            HeatShield.Tape => "polyimide tape",
            HeatShield.Foil => "metal foil",
            HeatShield.Cover => "a metal cover",
            _ => "no shield",
        };

    /// <summary>A kind of part.</summary>
    public static string Of(PartKind kind) =>
        kind switch
        {
            PartKind.BallGridPackage => "ball-grid package",
            PartKind.MouldedPackage => "moulded package",
            PartKind.HermeticPackage => "hermetic package",
            PartKind.CeramicCapacitor => "ceramic capacitor",
            PartKind.AluminiumElectrolytic => "aluminium electrolytic",
            PartKind.PolymerCapacitor => "polymer capacitor",
            PartKind.FilmCapacitorPolypropylene => "film capacitor, polypropylene",
            PartKind.FilmCapacitorPolyester => "film capacitor, polyester",
            PartKind.Supercapacitor => "supercapacitor",
            PartKind.CoinCell => "coin cell",
            PartKind.LithiumPack => "lithium pack",
            PartKind.Crystal => "crystal",
            PartKind.LcFilter => "LC filter",
            PartKind.RadioModule => "radio module",
            PartKind.ConnectorHeatProof => "connector, heat-proof",
            PartKind.ConnectorOther => "connector",
            PartKind.PlasticPart => "plastic part",
            PartKind.LabelOrTape => "label or tape",
            _ => "other part",
        };

    /// <summary>A moisture level: <c>3</c>, <c>5a</c>, <c>not known</c>.</summary>
    public static string Of(MoistureLevel level) =>
        level switch
        {
            MoistureLevel.L1 => "1",
            MoistureLevel.L2 => "2",
            MoistureLevel.L2A => "2a",
            MoistureLevel.L3 => "3",
            MoistureLevel.L4 => "4",
            MoistureLevel.L5 => "5",
            MoistureLevel.L5A => "5a",
            MoistureLevel.L6 => "6",
            _ => QuantityText.NotKnown,
        };

    /// <summary>Where a drying stands.</summary>
    public static string Of(DryingState state) =>
        state switch
        {
            DryingState.NoBakeNeeded => "no bake needed",
            DryingState.ToDry => "to dry",
            DryingState.InDryer => "in the dryer",
            DryingState.Dried => "dried",
            DryingState.NoHeatLeft => "no heat left",
            _ => "no answer",
        };

    /// <summary>Where a floor-life clock stands.</summary>
    public static string Of(FloorLifeState state) =>
        state switch
        {
            FloorLifeState.Unlimited => "no limit",
            FloorLifeState.Within => "within floor life",
            FloorLifeState.Over => "over floor life by 72 h at most",
            FloorLifeState.LongOver => "over floor life by more than 72 h",
            _ => "unknown history, counts as saturated",
        };

    /// <summary>What a heat was for.</summary>
    public static string Of(HeatKind kind) =>
        kind switch
        {
            HeatKind.Build => "build",
            HeatKind.Lift => "lift",
            HeatKind.Clean => "clean",
            HeatKind.BallAttach => "ball attach",
            HeatKind.Place => "place",
            HeatKind.Again => "heat again",
            _ => "neighbour's heat",
        };

    /// <summary>What became of a joint: the worst of it first.</summary>
    public static string Of(JointClass kind)
    {
        (JointClass Flag, string Words)[] all =
        [
            (JointClass.Missing, "no ball"),
            (JointClass.Open, "open"),
            (JointClass.Parted, "formed and pulled apart again"),
            (JointClass.Spill, "spills over its land"),
            (JointClass.BridgeRisk, "close to a neighbour"),
            (JointClass.Stretched, "formed, pulled long"),
            (JointClass.Joined, "formed"),
        ];
        string[] words = [.. all.Where(one => kind.HasFlag(one.Flag)).Select(one => one.Words)];
        // "Formed, pulled long" says formed already.
        return words.Length == 0 ? "not known"
            : kind.HasFlag(JointClass.Stretched)
                ? string.Join(", ", words.SkipLast(kind.HasFlag(JointClass.Joined) ? 1 : 0))
            : string.Join(", ", words);
    }

    /// <summary>What a heat is for.</summary>
    public static string Of(HeatTask task) =>
        task switch
        {
            HeatTask.Place => "Solder the chip on",
            HeatTask.Lift => "Lift the chip",
            _ => "Attach balls",
        };

    /// <summary>Where a plane of a temperature picture lies.</summary>
    /// <param name="name">Name of the plane.</param>
    public static string HeatPlane(string name) =>
        name switch
        {
            "top" => "Board and parts from the top",
            "joints" => "Joint plane",
            "bottom" => "Underside, as seen through from the top",
            _ => name,
        };

    /// <summary>How far a model is to be trusted, in one sentence.</summary>
    public static string Of(HeatModelTrust trust)
    {
        ArgumentNullException.ThrowIfNull(trust);
        string reduced = trust.ReducedErrorDeltaK is double error
            ? $", reduced model within {QuantityText.Digits(error, 1)} K of the full one at joints and body"
            : "";
        return $"{(trust.Model == "reduced" ? "Reduced" : "Full")} model of {trust.Nodes.ToString("N0", CultureInfo.InvariantCulture)} nodes:"
            + $" mesh error about {QuantityText.Digits(trust.MeshErrorDeltaK, 1)} K, time step {QuantityText.Digits(trust.StepErrorDeltaK, 1)} K{reduced},"
            + $" {QuantityText.FractionAsPercent(Math.Abs(trust.EnergyImbalanceFraction))} of the heat not accounted for,"
            + (trust.Converged ? " every solve converged." : " NOT every solve converged.");
    }

    /// <summary>A limit in words: <c>at most 225 °C</c>.</summary>
    public static string Of(HeatLimit limit)
    {
        ArgumentNullException.ThrowIfNull(limit);
        return $"{(limit.AtLeast ? "at least" : "at most")} {QuantityText.Figure(limit.Value, limit.Unit)}{(limit.Hard ? "" : " (wished for)")}";
    }

    /// <summary>Where the job stands at the bench.</summary>
    public static string Of(JobStage stage) =>
        stage switch
        {
            JobStage.Intake => "intake",
            JobStage.Fit => "fit check",
            JobStage.Baseline => "baseline",
            JobStage.Drying => "drying",
            JobStage.Lifting => "lifting",
            JobStage.Preparing => "preparing chip and lands",
            JobStage.Placing => "placing",
            JobStage.Inspecting => "inspecting",
            JobStage.Proving => "proof before power",
            JobStage.FirstPower => "first power",
            JobStage.Soak => "soak",
            JobStage.HandedOver => "handed over",
            _ => "returned",
        };

    /// <summary>Where a chip sits or goes.</summary>
    public static string Of(ChipPlace place) =>
        place switch
        {
            ChipPlace.Host => "host board",
            ChipPlace.Donor => "donor board",
            ChipPlace.Shelf => "shelf",
            _ => "scrap",
        };

    /// <summary>How far a fact can be trusted.</summary>
    public static string Of(Confidence confidence) =>
        confidence switch
        {
            Confidence.Seen => "seen on a public page or in an abstract",
            Confidence.FromMemory => "from memory, unconfirmed",
            Confidence.Computed => "computed here from stated inputs",
            Confidence.CommonPractice => "common practice, no source",
            _ => "our own estimate",
        };

    /// <summary>How far a fact can be trusted, in a word or two for a narrow column.</summary>
    public static string InBrief(Confidence confidence) =>
        confidence switch
        {
            Confidence.Seen => "seen",
            Confidence.FromMemory => "from memory",
            Confidence.Computed => "computed here",
            Confidence.CommonPractice => "common practice",
            _ => "our estimate",
        };

    /// <summary>A confidence mark in a word or two; a mark that is not known is given back as it is.</summary>
    public static string ConfidenceShort(string? mark) =>
        Parsed(mark) is Confidence confidence ? InBrief(confidence) : Unparsed(mark);

    /// <summary>A confidence mark in words; a mark that is not known is given back as it is.</summary>
    public static string ConfidenceMark(string? mark) =>
        Parsed(mark) is Confidence confidence ? Of(confidence) : Unparsed(mark);

    private static string Unparsed(string? mark) => string.IsNullOrEmpty(mark) ? "confidence not stated" : mark;

    private static Confidence? Parsed(string? mark) =>
        mark switch
        {
            "C" => Confidence.Seen,
            "M" => Confidence.FromMemory,
            "X" => Confidence.Computed,
            "P" => Confidence.CommonPractice,
            "E" => Confidence.Estimate,
            _ => Enum.TryParse(mark, ignoreCase: true, out Confidence named) && Enum.IsDefined(named) ? named : null,
        };
}
