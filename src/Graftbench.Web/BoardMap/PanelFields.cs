using System.Text.Json;
using System.Text.Json.Serialization;
using Graftbench.Core.Jobs;
using Graftbench.Web.Forms;

namespace Graftbench.Web.BoardMap;

/// <summary>What the picture's side panel asks for, with the ranges and choices of the job document's own types.</summary>
internal static class PanelFields
{
    private sealed record Field(
        string Name,
        string Label,
        string Help,
        string Type,
        bool Required,
        bool? Whole,
        string? Unit,
        double? Min,
        double? Max,
        IReadOnlyList<string[]>? Choices
    );

    private static readonly (string Name, string Label)[] Board =
    [
        ("lengthMm", "Length"),
        ("widthMm", "Width"),
        ("thicknessMm", "Thickness"),
        ("copperThicknessMm", "Copper thickness"),
        ("support", "Held by"),
    ];

    private static readonly (string Name, string Label)[] Part =
    [
        ("ref", "Reference"),
        ("kind", "Kind"),
        ("xMm", "X"),
        ("yMm", "Y"),
        ("lengthMm", "Length"),
        ("widthMm", "Width"),
        ("rotationDeg", "Turn"),
        ("side", "Side"),
        ("takenOff", "Taken off"),
        ("moistureLevel", "Moisture level"),
        ("bodyThicknessMm", "Body thickness"),
        ("heightMm", "Height"),
        ("bakeLimitC", "Bake limit"),
        ("peakLimitC", "Peak limit"),
        ("internalPlanes", "Solid planes"),
        ("stackedDie", "Stacked dies"),
        ("staySolid", "Stays solid"),
        ("shield", "Shield"),
    ];

    private static readonly (string Name, string Label)[] Region =
    [
        ("amount", "Copper"),
        ("xMm", "Left edge"),
        ("yMm", "Lower edge"),
        ("lengthMm", "Length"),
        ("widthMm", "Width"),
        ("copperThicknessMm", "Copper thickness"),
    ];

    private static readonly (string Name, string Label)[] Chip =
    [
        ("xMm", "X"),
        ("yMm", "Y"),
        ("bodyLengthMm", "Body length"),
        ("bodyWidthMm", "Body width"),
        ("rotationDeg", "Turn"),
        ("pitchMm", "Pitch"),
        ("rows", "Rows"),
        ("columns", "Columns"),
    ];

    private static readonly JsonSerializerOptions Options = new(JsonSerializerDefaults.Web)
    {
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
    };

    /// <summary>The fields as JSON.</summary>
    public static string Json { get; } =
        JsonSerializer.Serialize(
            new
            {
                Board = Describe("host.", Board),
                Part = Describe("host.parts[].", Part),
                Chip = Describe("chips[].", Chip),
                Region = Describe("host.copperRegions[].", Region),
                Kinds = Enum.GetValues<PartKind>()
                    .Select(kind => new[] { FieldWords.NameOf(kind), FieldWords.Of(kind) }),
            },
            Options
        );

    private static List<Field> Describe(string path, (string Name, string Label)[] fields) =>
        [.. fields.Select(field => Describe(field.Name, field.Label, JobFields.Find(path + field.Name)!))];

    private static Field Describe(string name, string label, FieldFacts facts) =>
        new(
            name,
            label,
            facts.Description,
            facts.Kind switch
            {
                FieldKind.Number or FieldKind.Whole => "number",
                FieldKind.Choice => "choice",
                FieldKind.Tick => "flag",
                _ => "text",
            },
            facts.Required,
            facts.Kind == FieldKind.Whole ? true : null,
            facts.Unit.Length > 0 ? facts.Unit : null,
            facts.Min,
            facts.Max ?? facts.MaxLength,
            facts.Kind == FieldKind.Choice
                ? [.. facts.Choices.Select(choice => new[] { choice.Name, choice.Words })]
                : null
        );
}
