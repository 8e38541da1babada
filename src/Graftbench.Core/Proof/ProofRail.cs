using Graftbench.Core.Fit.Maps;

namespace Graftbench.Core.Proof;

/// <summary>What a rail feeds.</summary>
public enum RailClass
{
    /// <summary>None of the others, or not known.</summary>
    Other,

    /// <summary>Core of a processor or graphics chip: never judged by its absolute resistance.</summary>
    Core,

    /// <summary>Memory.</summary>
    Memory,

    /// <summary>1.05 V class: chipset and input-output.</summary>
    LowIo,

    /// <summary>3.3 and 5 V.</summary>
    Main,

    /// <summary>The main input of the board.</summary>
    Input,
}

/// <summary>A rail of the board.</summary>
/// <param name="Name">Name, as in the readings; case does not count.</param>
/// <param name="Class">What it feeds.</param>
/// <param name="Basis">Whether a person said so, or its name was taken for it.</param>
/// <param name="Baseline">The state that its readings are held against.</param>
/// <param name="NominalV">Nominal voltage [V]; null where unknown.</param>
/// <param name="Balls">Balls of the chip on it; 0 where the chip has none, or that is unknown.</param>
public sealed record ProofRail(
    string Name,
    RailClass Class,
    ClassBasis Basis = ClassBasis.Told,
    ReadingState Baseline = ReadingState.Baseline,
    double? NominalV = null,
    int Balls = 0
)
{
    /// <summary>
    /// The rails of a chip by its ball list. Rails that the chip draws most from (core, memory, 1.05 V class, others) move to the
    /// donor chip's values and are held against the donor's baseline; 3.3 V, 5 V and the main input feed the whole board
    /// and are held against the host's own.
    /// </summary>
    /// <param name="map">The chip's ball list.</param>
    public static IReadOnlyList<ProofRail> Of(BallMap map)
    {
        ArgumentNullException.ThrowIfNull(map);
        return
        [
            .. map
                .Balls.Where(ball => ball.Class == BallClass.Supply)
                .GroupBy(NameOf, StringComparer.OrdinalIgnoreCase)
                .Select(group =>
                {
                    double? nominalV = group.Select(ball => ball.UsualV).FirstOrDefault(volts => volts is not null);
                    RailClass kind = RailClasses.ByName(group.Key, nominalV);
                    return new ProofRail(
                        group.Key,
                        kind,
                        ClassBasis.ByName,
                        BaselineOf(kind, ofChip: true),
                        nominalV ?? RailClasses.Volts(group.Key),
                        group.Count()
                    );
                }),
        ];
    }

    /// <summary>The state that a rail is held against: the donor's baseline for rails of the chip that feed little else.</summary>
    /// <param name="kind">What it feeds.</param>
    /// <param name="ofChip">Whether the swapped chip has it.</param>
    public static ReadingState BaselineOf(RailClass kind, bool ofChip) =>
        ofChip && kind is not (RailClass.Main or RailClass.Input) ? ReadingState.DonorBaseline : ReadingState.Baseline;

    internal static string NameOf(MapBall ball) => (ball.Rail ?? ball.Signal).Trim();
}

/// <summary>Guesses what a rail feeds from its name. Common practice of board makers, no source; a person confirms it.</summary>
internal static class RailClasses
{
    private static readonly string[] Core = ["CORE", "VDDC", "VGFX", "VCCGT", "NVVDD", "VDDCR"];
    private static readonly string[] Memory = ["MEM", "DDR", "VDDQ", "DRAM", "FBVDD", "VRAM"];
    private static readonly string[] Input = ["VIN", "DCIN", "ADP", "PWR_IN", "MAIN_IN", "B+", "VBUS", "INPUT"];

    /// <summary>Class by a name and a voltage.</summary>
    public static RailClass ByName(string name, double? nominalV = null)
    {
        string upper = name.Trim().ToUpperInvariant();
        double? volts = nominalV ?? Volts(upper);
        return Has(upper, Core) ? RailClass.Core
            : Has(upper, Memory) ? RailClass.Memory
            : Has(upper, Input) ? RailClass.Input
            : volts is >= 1.0 and <= 1.1 ? RailClass.LowIo
            : volts is >= 3.1 and <= 3.5 or >= 4.8 and <= 5.3 ? RailClass.Main
            : RailClass.Other;
    }

    /// <summary>
    /// Voltage that a name tells [V]: <c>1V8_MEM</c>, <c>+3.3V</c>, <c>5V</c>, behind letters <c>P3V3</c>, <c>VDD1V8</c>,
    /// <c>V3P3</c>; null where it tells none.
    /// </summary>
    public static double? Volts(string name)
    {
        string upper = name.ToUpperInvariant();
        for (int at = 0; at < upper.Length; at++)
        {
            if (!char.IsAsciiDigit(upper[at]) || (at > 0 && char.IsAsciiDigit(upper[at - 1])))
            {
                continue;
            }
            // Behind a letter only digits on both sides of a mark are a voltage: DDR4V is none.
            bool behind = at > 0 && char.IsAsciiLetter(upper[at - 1]);
            bool behindV = behind && upper[at - 1] == 'V';
            int end = at;
            while (
                end < upper.Length && end - at < 6 && (char.IsAsciiDigit(upper[end]) || upper[end] is '.' or 'V' or 'P')
            )
            {
                end++;
            }
            string part = upper[at..end];
            int mark = part.AsSpan().IndexOfAny('V', 'P', '.');
            bool split = mark > 0 && mark < part.Length - 1 && (behindV || part[mark] == 'V');
            if (behind ? !split : !part.Contains('V', StringComparison.Ordinal))
            {
                continue;
            }
            string digits =
                part.Contains('.', StringComparison.Ordinal) || part.EndsWith('V')
                    ? part.Replace("V", "", StringComparison.Ordinal).Replace('P', '.')
                    : part.Replace('V', '.').Replace('P', '.');
            if (NumberScan.TryParse(digits, out double volts) && volts is > 0 and <= 60)
            {
                return volts;
            }
        }
        return null;
    }

    private static bool Has(string name, string[] words) =>
        words.Any(word => name.Contains(word, StringComparison.Ordinal));
}
