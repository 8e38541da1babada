using System.Reflection;
using Graftbench.Core.Jobs;

namespace Graftbench.Conventions;

/// <summary>Every public number of Core says its unit in its name. The list below is the only one.</summary>
public class UnitNameTests
{
    private static readonly string[] Suffixes =
    [
        // Temperature: a level in °C or K, a difference in K. A difference is never a level.
        "C",
        "K",
        "DeltaK",
        // Length, area, volume.
        "Um",
        "Mm",
        "Mm2",
        "Mm3",
        "LengthM",
        "DepthM",
        "ThicknessM",
        // Time.
        "S",
        "Min",
        "H",
        "Hours",
        "Days",
        // Weight, pressure, energy, transport.
        "Mg",
        "G",
        "Pa",
        "MPa",
        "Ev",
        "EvPerK",
        // Solder joints: surface tension, force, stiffness, pressure.
        "NPerM",
        "MilliN",
        "MilliNPerMm",
        "KPa",
        "M2PerS",
        // Heat: conductivity, film, density, specific and latent heat, rates, power, energy.
        "WPerMK",
        "WPerM2K",
        "KgPerM3",
        "JPerKgK",
        "JPerKg",
        "JPerM2K",
        "KPerS",
        "J",
        "W",
        // Angle.
        "Deg",
        // Electricity.
        "V",
        "CurrentA",
        "Ohm",
        "APerUs",
        "MilliOhm",
        // Frequency, force, memory.
        "Mhz",
        "N",
        "Gib",
        // Information.
        "Bits",
        // Shares and pure numbers.
        "Percent",
        "Fraction",
        "Ratio",
        "Factor",
        "Number",
        // Money, in the currency that the shop names.
        "Cost",
    ];

    // Places where a number has the unit of something else, with the reason.
    private static readonly Dictionary<string, string> Exempt = new(StringComparer.Ordinal)
    {
        ["AllowedAttribute"] = "the range has the unit of the property that it stands on",
        ["CsvRow"] = "a cell has the unit that its column's name ends in",
        ["Constants"] = "the unit stands beside the value in the table",
        ["HeatLimit"] = "the unit stands beside the value",
        ["HeatFigure"] = "the unit is that of its limit",
        ["HeatInput"] = "the unit stands beside the value in the table",
        ["ProfileFigure"] = "the unit stands beside the value",
        ["OverlayFigure"] = "the unit is that of its figures",
        ["ReflowProfileRow"] = "the unit stands beside the value in the table",
        ["ReviewCheck"] = "the unit is that of its figure",
        ["ReviewFigure"] = "the unit stands beside the value",
        ["ReviewWords"] = "the unit stands beside the value",
        ["ProofThresholds"] = "the unit stands beside the limit that is replaced",
        ["ReworkTemperature"] = "the unit stands beside the value in the table",
        ["Threshold"] = "the unit stands beside the value",
        ["GroupTests"] = "chances are pure numbers",
        ["Quartiles"] = "the unit is that of the figures",
        ["Units"] = "converts: the names are the units themselves",
    };

    // Numerics knows nothing of solder: its numbers have no unit.
    private const string UnitlessNamespace = "Graftbench.Core.Numerics";

    [Fact]
    public void Every_public_number_of_Core_ends_in_a_known_unit()
    {
        List<string> nameless =
        [
            .. PublicNumbers().Where(number => !HasUnit(number.Name)).Select(number => number.Where),
        ];
        Assert.True(
            nameless.Count == 0,
            "No unit in the name (add it, or add the suffix to the list in this test):\n"
                + string.Join('\n', nameless.Distinct())
        );
    }

    [Fact]
    public void The_walk_over_the_public_API_sees_properties_parameters_and_returns()
    {
        List<string> seen = [.. PublicNumbers().Select(number => number.Where)];
        Assert.Contains("Board.LengthMm", seen);
        Assert.Contains("Part.BakeLimitC", seen);
        Assert.Contains("MoistureProfile.DepthMm", seen);
        Assert.Contains("BakeBudget..ctor(SpentH)", seen);
        Assert.True(seen.Count > 150, $"only {seen.Count} numbers found");
    }

    [Theory]
    [InlineData("length")]
    [InlineData("Temperature")]
    [InlineData("TemperatureInC1")]
    [InlineData("DC")]
    [InlineData("basic")]
    public void A_name_without_a_unit_is_caught(string name) => Assert.False(HasUnit(name));

    [Theory]
    [InlineData("PeakC")]
    [InlineData("RiseDeltaK")]
    [InlineData("XMm")]
    [InlineData("HostXMm")]
    [InlineData("T288Min")]
    [InlineData("Hours")]
    [InlineData("fraction")]
    public void A_name_with_a_unit_passes(string name) => Assert.True(HasUnit(name));

    [Fact]
    public void Every_exemption_is_still_needed()
    {
        HashSet<string> types = [.. typeof(Job).Assembly.GetExportedTypes().Select(type => type.Name)];
        Assert.All(Exempt.Keys, key => Assert.Contains(key, types));
    }

    private static bool HasUnit(string name) => Suffixes.Any(suffix => EndsInUnit(name, suffix));

    // "C" ends "PeakC" and is the whole of "c", but does not end "AbC" or "basic".
    private static bool EndsInUnit(string name, string suffix)
    {
        if (name.Equals(suffix, StringComparison.OrdinalIgnoreCase))
        {
            return true;
        }
        if (!name.EndsWith(suffix, StringComparison.Ordinal))
        {
            return false;
        }
        string before = name[..^suffix.Length];
        // X, Y, Z are axes, a whole name by themselves or the last letter of one: XMm, HostXMm.
        bool axis = before[^1] is 'X' or 'Y' or 'Z' && (before.Length == 1 || char.IsLower(before[^2]));
        return axis || char.IsLower(before[^1]) || char.IsDigit(before[^1]);
    }

    private static IEnumerable<(string Name, string Where)> PublicNumbers()
    {
        const BindingFlags Own =
            BindingFlags.Public | BindingFlags.Instance | BindingFlags.Static | BindingFlags.DeclaredOnly;
        foreach (Type type in typeof(Job).Assembly.GetExportedTypes())
        {
            if (type.IsEnum || Exempt.ContainsKey(type.Name) || InNumerics(type))
            {
                continue;
            }
            foreach (PropertyInfo property in type.GetProperties(Own).Where(one => IsNumber(one.PropertyType)))
            {
                yield return (property.Name, $"{type.Name}.{property.Name}");
            }
            foreach (FieldInfo field in type.GetFields(Own).Where(one => IsNumber(one.FieldType)))
            {
                yield return (field.Name, $"{type.Name}.{field.Name}");
            }
            foreach (MethodBase method in type.GetMethods(Own).Cast<MethodBase>().Concat(type.GetConstructors(Own)))
            {
                if (method is MethodInfo { IsSpecialName: true } || method.Name is "Deconstruct")
                {
                    continue;
                }
                foreach (ParameterInfo parameter in method.GetParameters().Where(one => IsNumber(one.ParameterType)))
                {
                    yield return (parameter.Name!, $"{type.Name}.{method.Name}({parameter.Name})");
                }
                if (method is MethodInfo { ReturnType: Type returned } && IsNumber(returned))
                {
                    yield return (method.Name, $"{type.Name}.{method.Name}() returns");
                }
            }
        }
    }

    private static bool InNumerics(Type type) =>
        type.Namespace?.StartsWith(UnitlessNamespace, StringComparison.Ordinal) == true;

    private static bool IsNumber(Type type)
    {
        Type bare = type.IsByRef ? type.GetElementType()! : type;
        bare = Nullable.GetUnderlyingType(bare) ?? bare;
        if (bare == typeof(double) || bare == typeof(float) || bare == typeof(decimal))
        {
            return true;
        }
        if (bare.IsArray)
        {
            return IsNumber(bare.GetElementType()!);
        }
        // Lists, spans, memories of numbers.
        return bare.IsGenericType && bare.GetGenericArguments() is [Type only] && IsNumber(only);
    }
}
