using System.ComponentModel;
using System.Text;
using System.Text.Json;
using System.Text.Json.Serialization.Metadata;
using System.Text.RegularExpressions;

namespace Graftbench.Core.Jobs;

/// <summary>Sorts of values in a job document.</summary>
internal enum JobValueKind
{
    Object,
    List,
    Number,
    WholeNumber,
    Text,
    Name,
    Date,
    Flag,
}

/// <summary>What a value of the job document may look like: read once from the record types and kept.</summary>
internal sealed class JobShape
{
    private static readonly Dictionary<Type, JobShape> Known = [];
    private static readonly Lock KnownLock = new();

    private JobShape(JobValueKind kind) => Kind = kind;

    public JobValueKind Kind { get; }

    /// <summary>Fields of an object, in the order of the type.</summary>
    public IReadOnlyList<JobField> Fields { get; private set; } = [];

    /// <summary>Shape of a list's entries.</summary>
    public JobShape? Element { get; private set; }

    /// <summary>Known names of an enumeration, in their order.</summary>
    public IReadOnlyList<string> Names { get; private set; } = [];

    /// <summary>The names as UTF-8, for comparing without decoding.</summary>
    public IReadOnlyList<byte[]> Utf8Names { get; private set; } = [];

    /// <summary>The kind as a person says it.</summary>
    public string KindInWords =>
        Kind switch
        {
            JobValueKind.Object => "an object { }",
            JobValueKind.List => "a list [ ]",
            JobValueKind.Number => "a number",
            JobValueKind.WholeNumber => "a whole number",
            JobValueKind.Text => "text in quotes",
            JobValueKind.Name => "one of the known names, in quotes",
            JobValueKind.Date => "a date and time in quotes",
            _ => "true or false",
        };

    /// <summary>Finds the shape of a type.</summary>
    public static JobShape Of(Type type)
    {
        lock (KnownLock)
        {
            return Find(type);
        }
    }

    private static JobShape Find(Type type)
    {
        Type plain = Nullable.GetUnderlyingType(type) ?? type;
        if (Known.TryGetValue(plain, out JobShape? known))
        {
            return known;
        }
        JobShape made = Make(plain);
        Known[plain] = made;
        return made;
    }

    private static JobShape Make(Type type)
    {
        if (type == typeof(string))
        {
            return new JobShape(JobValueKind.Text);
        }
        if (type == typeof(double))
        {
            return new JobShape(JobValueKind.Number);
        }
        if (type == typeof(int))
        {
            return new JobShape(JobValueKind.WholeNumber);
        }
        if (type == typeof(bool))
        {
            return new JobShape(JobValueKind.Flag);
        }
        if (type == typeof(DateTimeOffset))
        {
            return new JobShape(JobValueKind.Date);
        }
        if (type.IsEnum)
        {
            List<string> names = Enum.GetValues(type)
                .Cast<object>()
                .Select(value => JsonSerializer.SerializeToElement(value, type, JobFormat.Json).GetString()!)
                .ToList();
            return new JobShape(JobValueKind.Name)
            {
                Names = names,
                Utf8Names = names.Select(Encoding.UTF8.GetBytes).ToList(),
            };
        }
        JsonTypeInfo info = JobFormat.Json.GetTypeInfo(type);
        return info.Kind switch
        {
            JsonTypeInfoKind.Enumerable => new JobShape(JobValueKind.List) { Element = Find(info.ElementType!) },
            JsonTypeInfoKind.Object => new JobShape(JobValueKind.Object)
            {
                Fields = info.Properties.Where(property => property.Set is not null).Select(JobField.Of).ToList(),
            },
            _ => throw new NotSupportedException($"The job document has no spelling for {type}."),
        };
    }
}

/// <summary>A field of an object with everything that limits it.</summary>
internal sealed class JobField
{
    private readonly Type type;
    private JobShape? shape;

    private JobField(JsonPropertyInfo property)
    {
        Name = property.Name;
        Utf8Name = Encoding.UTF8.GetBytes(property.Name);
        type = property.PropertyType;
        Required = property.IsRequired;
        MayBeNull = property.IsSetNullable;
        Allowed = Find<AllowedAttribute>(property);
        Text = Find<TextAttribute>(property);
        AtMost = Find<AtMostAttribute>(property)?.Max;
        Description = Find<DescriptionAttribute>(property)?.Description;
        Pattern = Text?.Pattern is { } pattern
            ? new Regex(pattern, RegexOptions.CultureInvariant, TimeSpan.FromSeconds(1))
            : null;
    }

    public string Name { get; }

    public byte[] Utf8Name { get; }

    public JobShape Shape => shape ??= JobShape.Of(type);

    public bool Required { get; }

    public bool MayBeNull { get; }

    public AllowedAttribute? Allowed { get; }

    public TextAttribute? Text { get; }

    public int? AtMost { get; }

    public string? Description { get; }

    public Regex? Pattern { get; }

    public static JobField Of(JsonPropertyInfo property) => new(property);

    private static T? Find<T>(JsonPropertyInfo property)
        where T : Attribute =>
        property.AttributeProvider?.GetCustomAttributes(typeof(T), inherit: false).OfType<T>().FirstOrDefault();
}
