using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using System.Text.Json.Serialization.Metadata;
using Graftbench.Core.Drying;
using Graftbench.Core.Heating;

namespace Graftbench.Core.Planning;

/// <summary>A plan as JSON, for other programs. Names are the result records' own, in camelCase; enums in kebab-case.</summary>
public static class PlanJson
{
    /// <summary>Options that write a plan; a value that is no number is refused, never written.</summary>
    public static JsonSerializerOptions Options { get; } = Create();

    /// <summary>Writes a whole plan.</summary>
    public static string Write(JobPlan plan) => JsonSerializer.Serialize(plan, Options);

    /// <summary>Writes the drying part of a plan.</summary>
    public static string Write(DryingPlan drying) => JsonSerializer.Serialize(drying, Options);

    private static JsonSerializerOptions Create()
    {
        JsonSerializerOptions options = new(JsonSerializerDefaults.General)
        {
            PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
            WriteIndented = true,
            NewLine = "\n",
            NumberHandling = JsonNumberHandling.Strict,
            // The document is never pasted into a page unescaped; readable text wins.
            Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
            TypeInfoResolver = new DefaultJsonTypeInfoResolver { Modifiers = { LeaveOutCells } },
        };
        options.Converters.Add(new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower, allowIntegerValues: false));
        options.MakeReadOnly(populateMissingResolver: true);
        return options;
    }

    // Millions of numbers that no script asks for: a plane says what it covers, its cells stay out.
    private static void LeaveOutCells(JsonTypeInfo type)
    {
        if (type.Type == typeof(HeatPlane))
        {
            foreach (JsonPropertyInfo property in type.Properties.Where(each => each.Name is "frames" or "covered"))
            {
                property.ShouldSerialize = static (_, _) => false;
            }
        }
    }
}
