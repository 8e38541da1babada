using Graftbench.Core.Findings;

namespace Graftbench.Web.Shell;

/// <summary>Where on the screens a finding is put right, so that nobody has to look for the form.</summary>
public static class FindingLinks
{
    private const string Heaters = "heaters";
    private const string Chips = "chips";
    private const string Machine = "machine";
    private const string Seat = "seat";
    private const string Fit = "fit";
    private const string Handover = "handover";

    private static readonly Dictionary<string, (string Section, string Words)> Forms = new(StringComparer.Ordinal)
    {
        ["intake.no-authority"] = (Machine, "Enter the authority"),
        ["drying.level-unknown"] = (Chips, "Enter the moisture level"),
        ["drying.thickness-unknown"] = (Chips, "Enter the thickness"),
        ["drying.no-dryer"] = ("dryer", "Describe the dryer"),
        ["heat.alloy-unknown"] = (Chips, "Enter the alloy of the balls"),
        ["heat.alloy-not-in-table"] = (Chips, "Correct the alloy"),
        ["heat.no-such-chip"] = (Chips, "Enter the chips"),
        ["heat.nothing-to-lift"] = (Chips, "Enter where the chip comes from"),
        ["heat.size-missing"] = (Chips, "Enter the sizes"),
        ["heat.substrate-thicker-than-body"] = (Chips, "Correct the sizes"),
        ["heat.balls-do-not-fit"] = (Chips, "Correct the ball field"),
        ["heat.ball-field-beyond-body"] = (Chips, "Correct the ball field"),
        ["heat.board-thinner-than-copper"] = ("host", "Correct the board"),
        ["heat.cell-on-board"] = ("host-parts", "Mark it as taken off"),
        ["heat.bench-assumed"] = (Heaters, "Describe the heaters"),
        ["heat.no-heater"] = (Heaters, "Describe the heaters"),
        ["heat.heater-without-limit"] = (Heaters, "Describe the heaters"),
        ["heat.heater-beside-board"] = (Heaters, "Correct the heater's place"),
        ["heat.zones-overlap"] = (Heaters, "Correct the zones"),
        ["heat.nozzle-not-listed"] = (Heaters, "Enter the nozzles"),
        ["heat.nozzle-small"] = (Heaters, "Enter a larger nozzle"),
        ["heat.nozzle-smaller-than-chip"] = (Heaters, "Enter a larger nozzle"),
        ["heat.nozzle-larger-than-board"] = (Heaters, "Correct the nozzles"),
        ["heat.not-calibrated"] = (Heaters, "Enter film coefficients"),
        ["heat.hotter-than-planned"] = (Machine, "Enter the hottest body planned"),
        ["fit.rails"] = (Fit, "Enter the rails"),
        ["fit.codes"] = (Fit, "Enter the codes"),
        ["fit.current"] = (Fit, "Enter the currents"),
        ["fit.current-slew"] = (Fit, "Correct the currents"),
        ["fit.load-line"] = (Fit, "Correct the load lines"),
        ["fit.heat"] = (Fit, "Enter power and cooling"),
        ["fit.stability"] = (Fit, "Enter power and cooling"),
        ["fit.clock"] = (Fit, "Enter the clocks"),
        ["fit.clock-multiple"] = (Fit, "Correct the multiples"),
        ["fit.links"] = (Fit, "Enter buses and links"),
        ["fit.memory"] = (Fit, "Enter the memory"),
        ["fit.die-pressure"] = (Fit, "Enter the cooler's force"),
        ["fit.mechanics"] = (Chips, "Enter the heights"),
        ["fit.outline"] = (Chips, "Enter the sizes"),
        ["fit.moisture"] = (Chips, "Enter the moisture level"),
        ["fit.underside"] = (Seat, "Enter the parts underneath"),
        ["fit.alloy"] = ("materials", "Enter the alloys"),
        ["joints.not-enough"] = (Seat, "Enter the sizes"),
        ["joints.sizes"] = (Seat, "Correct the sizes"),
        ["joints.parts-unknown"] = (Seat, "Enter the parts underneath"),
        ["joints.warpage-unknown"] = (Seat, "Enter the warpage"),
        ["joints.weight-unknown"] = (Seat, "Enter the weight"),
        ["handover.text"] = (Handover, "Enter it"),
        ["handover.warranty"] = (Handover, "Enter the warranty"),
        ["handover.soak"] = (Handover, "Enter the soak"),
        ["handover.owner-told"] = (Handover, "Enter what was said"),
        ["handover.names"] = (Machine, "Enter the names"),
        ["handover.lead"] = ("materials", "Enter the alloys"),
        ["handover.heats"] = ("heats", "Look at the heats"),
    };

    // Screens of the job that are no form.
    private static readonly Dictionary<string, (string Screen, string Words)> Screens = new(StringComparer.Ordinal)
    {
        ["handover.first-power"] = ("/proof", "Open the proof"),
        ["handover.readings"] = ("/readings?state=handover", "Take readings"),
        ["handover.identity"] = ("/firmware", "Open the firmware"),
        ["drying.not-logged"] = ("/add/exposure?of=", "Enter where it has been"),
        ["handover.question"] = ("#question-", "Open the question"),
    };

    private static readonly Dictionary<string, string> OnPicture = new(StringComparer.Ordinal)
    {
        ["drying.no-parts"] = "Draw the parts on the board picture",
        ["heat.chip-without-place"] = "Place it on the board picture",
        ["heat.chip-off-board"] = "Place it on the board picture",
        ["heat.part-without-place"] = "Place it on the board picture",
        ["heat.part-without-limit"] = "Enter its limit on the board picture",
        ["heat.part-where-the-chip-goes"] = "Correct it on the board picture",
        ["heat.parts-left-out"] = "Place them on the board picture",
    };

    /// <summary>Codes that lead somewhere.</summary>
    public static IEnumerable<string> Codes => Forms.Keys.Concat(OnPicture.Keys).Concat(Screens.Keys);

    /// <summary>Address and words of the way there; null where the bench, not a form, puts it right.</summary>
    /// <param name="finding">The finding.</param>
    /// <param name="jobAddress">Address of the job's page.</param>
    public static (string Address, string Words)? Of(Finding finding, string jobAddress)
    {
        string board = finding.Where.StartsWith("donor", StringComparison.Ordinal) ? "donor" : "host";
        if (OnPicture.TryGetValue(finding.Code, out string? words))
        {
            return ($"{jobAddress}/board/{board}", words);
        }
        if (Screens.TryGetValue(finding.Code, out (string Screen, string Words) screen))
        {
            return (jobAddress + screen.Screen + Rest(screen.Screen, finding.Where), screen.Words);
        }
        if (!Forms.TryGetValue(finding.Code, out (string Section, string Words) form))
        {
            return null;
        }
        bool ofChip = finding.Where.StartsWith("chip", StringComparison.Ordinal);
        string section =
            !ofChip && finding.Code == "heat.size-missing" ? board
            // A body that sits on a board is one of its parts.
            : !ofChip && finding.Code is "drying.level-unknown" or "drying.thickness-unknown" ? $"{board}-parts"
            : form.Section.Replace("host", board, StringComparison.Ordinal);
        return ($"{jobAddress}/edit/{section}", form.Words);
    }

    // "question 7, power" leads to the card of question 7; "host board" and "chip U1" to the log of host and U1.
    private static string Rest(string screen, string where) =>
        screen[^1] switch
        {
            '-' => new string([.. where.Where(char.IsAsciiDigit)]),
            '=' => Uri.EscapeDataString(
                where.EndsWith(" board", StringComparison.Ordinal)
                    ? where[..^" board".Length]
                    : where[(where.IndexOf(' ', StringComparison.Ordinal) + 1)..]
            ),
            _ => "",
        };
}
