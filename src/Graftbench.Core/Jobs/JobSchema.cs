using System.ComponentModel;
using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.Json.Schema;

namespace Graftbench.Core.Jobs;

/// <summary>
/// The JSON Schema of the job document, made from the record types: for editors and for other programs. It says what
/// holds for single fields; what holds across fields is checked by <see cref="JobReader"/> only.
/// </summary>
public static class JobSchema
{
    /// <summary>Name of the schema, also its <c>$id</c>.</summary>
    public const string Id = "urn:graftbench:job:1";

    private const string Dialect = "https://json-schema.org/draft/2020-12/schema";
    private const string MomentPattern = "^[0-9]{4}-[0-9]{2}-[0-9]{2}T.*(Z|[+-][0-9]{2}:[0-9]{2})$";

    /// <summary>Writes the schema as JSON (draft 2020-12) with a line break at its end.</summary>
    public static string Write()
    {
        JsonObject body = JobFormat
            .Json.GetJsonSchemaAsNode(
                typeof(Job),
                new JsonSchemaExporterOptions { TreatNullObliviousAsNonNullable = true, TransformSchemaNode = Complete }
            )
            .AsObject();
        JsonObject schema = new()
        {
            ["$schema"] = Dialect,
            ["$id"] = Id,
            ["title"] = "Graftbench job",
            ["$comment"] =
                "Made from the record types by: graftbench schema. A job document may also hold comments and trailing commas.",
        };
        foreach ((string name, JsonNode? value) in body.ToList())
        {
            body.Remove(name);
            schema[name] = value;
        }
        return schema.ToJsonString(JobFormat.Json) + "\n";
    }

    private static JsonNode Complete(JsonSchemaExporterContext context, JsonNode node)
    {
        if (node is not JsonObject schema)
        {
            return node;
        }
        if (Find<DescriptionAttribute>(context) is { } description)
        {
            schema.Insert(0, "description", description.Description);
        }
        if (Find<AllowedAttribute>(context) is { } allowed)
        {
            schema["minimum"] = Number(allowed.Min);
            schema["maximum"] = Number(allowed.Max);
            if (allowed.Unit.Length > 0)
            {
                schema["$comment"] = $"unit: {allowed.Unit}";
            }
        }
        if (Find<TextAttribute>(context) is { } text)
        {
            schema["maxLength"] = text.MaxLength;
            if (text.MinLength > 0)
            {
                schema["minLength"] = text.MinLength;
            }
            if (text.Pattern is { } pattern)
            {
                schema["pattern"] = pattern;
            }
        }
        if (Find<AtMostAttribute>(context) is { } most)
        {
            schema["maxItems"] = most.Max;
        }
        Type type = Nullable.GetUnderlyingType(context.TypeInfo.Type) ?? context.TypeInfo.Type;
        if (type == typeof(DateTimeOffset))
        {
            schema["pattern"] = MomentPattern;
        }
        if (type.IsEnum && schema["enum"] is not null)
        {
            schema["type"] = schema["enum"]!.AsArray().Any(name => name is null)
                ? new JsonArray("string", "null")
                : "string";
        }
        return schema;
    }

    // Whole limits are written without a decimal point.
    private static JsonValue Number(double value) =>
        Math.Floor(value) == value ? JsonValue.Create((long)value) : JsonValue.Create(value);

    private static T? Find<T>(JsonSchemaExporterContext context)
        where T : Attribute =>
        (context.PropertyInfo?.AttributeProvider ?? context.TypeInfo.Type)
            .GetCustomAttributes(typeof(T), inherit: false)
            .OfType<T>()
            .FirstOrDefault();
}
