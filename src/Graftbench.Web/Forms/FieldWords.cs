using System.Reflection;
using System.Text.Json;
using System.Text.Json.Serialization;
using Graftbench.Core.Jobs;
using Graftbench.Sheets;

namespace Graftbench.Web.Forms;

/// <summary>The words of a choice in a form, for the names of the job document.</summary>
public static class FieldWords
{
    private static readonly Dictionary<(Type, string), string> Special = new()
    {
        [(typeof(MoistureLevel), "unknown")] = "not known (worst case)",
        [(typeof(LaminateKind), "unknown")] = "not known",
        [(typeof(LaminateKind), "epoxy-older")] = "epoxy glass, older than lead-free (Tg 130-140 °C)",
        [(typeof(LaminateKind), "epoxy-tg110")] = "epoxy glass, Tg 110 °C or more",
        [(typeof(LaminateKind), "epoxy-tg150")] = "epoxy glass, Tg 150 °C or more",
        [(typeof(LaminateKind), "epoxy-tg170")] = "epoxy glass, Tg 170 °C or more",
        [(typeof(FinishKind), "unknown")] = "not known",
        [(typeof(FinishKind), "organic")] = "organic preservative",
        [(typeof(FinishKind), "nickel-gold")] = "nickel and gold",
        [(typeof(FinishKind), "tin")] = "immersion tin",
        [(typeof(FinishKind), "silver")] = "immersion silver",
        [(typeof(FinishKind), "solder-levelled")] = "solder, levelled",
        [(typeof(YesNo), "unknown")] = "not known",
        [(typeof(WorkResult), "unknown")] = "not said",
        [(typeof(HeatControl), "ramps")] = "ramps: straight lines between set points",
        [(typeof(HeatControl), "stages")] = "stages: held temperatures, a fixed number",
        [(typeof(HeatControl), "knobs")] = "knobs: turned by hand",
        [(typeof(PreheaterKind), "unknown")] = "not known",
        [(typeof(PreheaterKind), "hot-air")] = "hot air",
        [(typeof(PreheaterKind), "plate")] = "hot plate",
        [(typeof(PreheaterKind), "none")] = "nothing: there is no bottom heater",
        [(typeof(CopperAmount), "poor")] = "less than the rest",
        [(typeof(CopperAmount), "rich")] = "more than the rest",
        [(typeof(BoardSupport), "unknown")] = "not known",
        [(typeof(BoardSupport), "standoffs")] = "standoffs or pins from below",
        [(typeof(BoardSupport), "edge-clamps")] = "clamps along two edges",
        [(typeof(BoardSupport), "frame")] = "frame on all edges",
        [(typeof(HeatShield), "none")] = "nothing",
        [(typeof(HeatShield), "tape")] = "polyimide tape (keeps it in place, hardly shades)",
        [(typeof(HeatShield), "foil")] = "metal foil",
        [(typeof(HeatShield), "cover")] = "metal cover",
        [(typeof(BodyTop), "unknown")] = "not known",
        [(typeof(BodyTop), "moulded")] = "moulded plastic",
        [(typeof(BodyTop), "lid")] = "metal lid",
        [(typeof(DryerAir), "room")] = "heated room air",
        [(typeof(DryerAir), "stated")] = "dry air, humidity stated",
        [(typeof(ExposurePlace), "room")] = "open in a room or shelf",
        [(typeof(ExposurePlace), "dry-cabinet")] = "dry cabinet",
        [(typeof(ExposurePlace), "dry-bag")] = "sealed barrier bag, indicator card dry",
        [(typeof(ExposurePlace), "bag")] = "any other bag or box",
        [(typeof(ExposurePlace), "bake")] = "in the dryer",
        [(typeof(HeatKind), "build")] = "build of the board",
        [(typeof(HeatKind), "clean")] = "clean the lands",
        [(typeof(HeatKind), "ball-attach")] = "attach balls",
        [(typeof(HeatKind), "again")] = "heat again after a failed start",
        [(typeof(HeatKind), "neighbour")] = "work on a neighbour",
        [(typeof(PartKind), "ball-grid-package")] = "plastic ball-grid body",
        [(typeof(PartKind), "moulded-package")] = "moulded plastic body",
        [(typeof(PartKind), "hermetic-package")] = "ceramic or metal body (takes up no moisture)",
        [(typeof(PartKind), "film-capacitor-polypropylene")] = "film capacitor, polypropylene",
        [(typeof(PartKind), "film-capacitor-polyester")] = "film capacitor, polyester",
        [(typeof(PartKind), "connector-heat-proof")] = "connector, heat-proof plastic",
        [(typeof(PartKind), "connector-other")] = "connector, other plastic",
        [(typeof(PartKind), "lc-filter")] = "LC filter",
        [(typeof(PartKind), "aluminium-electrolytic")] = "aluminium electrolytic capacitor",
        [(typeof(ChipPlace), "host")] = "host board",
        [(typeof(ChipPlace), "donor")] = "donor board",
    };

    private static readonly Dictionary<string, JobStage> Stages = Enum.GetValues<JobStage>()
        .ToDictionary(NameOf, stage => stage, StringComparer.Ordinal);

    /// <summary>Words for a name of the document.</summary>
    public static string Of(Type type, string name) =>
        Special.TryGetValue((type, name), out string? words) ? words
        : type == typeof(JobStage) && Stages.TryGetValue(name, out JobStage stage) ? TradeWords.Of(stage)
        : name.Replace('-', ' ');

    /// <summary>Words for a value.</summary>
    public static string Of<TEnum>(TEnum value)
        where TEnum : struct, Enum => Of(typeof(TEnum), NameOf(value));

    /// <summary>The name of a value in the document.</summary>
    public static string NameOf<TEnum>(TEnum value)
        where TEnum : struct, Enum
    {
        string member = value.ToString();
        return typeof(TEnum).GetField(member)?.GetCustomAttribute<JsonStringEnumMemberNameAttribute>()?.Name
            ?? JsonNamingPolicy.KebabCaseLower.ConvertName(member);
    }
}
