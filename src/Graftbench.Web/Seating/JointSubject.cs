using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;

namespace Graftbench.Web.Seating;

/// <summary>A chip that is to seat on the host.</summary>
/// <param name="Chip">The chip.</param>
public sealed record JointSubject(Chip Chip)
{
    /// <summary>Address of its screen.</summary>
    /// <param name="jobId">The job.</param>
    public string Address(string jobId) => $"/jobs/{jobId}/joints?chip={Uri.EscapeDataString(Chip.Id)}";

    /// <summary>Address of something that belongs to it.</summary>
    /// <param name="jobId">The job.</param>
    /// <param name="what">The last part: <c>state</c>.</param>
    public string Address(string jobId, string what) =>
        $"/jobs/{jobId}/joints/{what}?chip={Uri.EscapeDataString(Chip.Id)}";

    /// <summary>Every chip of a job that goes to the host.</summary>
    public static IReadOnlyList<JointSubject> Of(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        return [.. job.Chips.Where(chip => chip.To == ChipPlace.Host).Select(chip => new JointSubject(chip))];
    }

    /// <summary>The chip that question 5 asks about; null for a job without.</summary>
    public static JointSubject? Main(Job job) => JobJoints.Main(job) is { } chip ? new JointSubject(chip) : null;

    /// <summary>The chip that an address names; null where the job has none like it.</summary>
    public static JointSubject? Find(Job job, string? chipId) =>
        string.IsNullOrEmpty(chipId) ? Main(job) : Of(job).FirstOrDefault(subject => subject.Chip.Id == chipId);

    /// <summary>The job with another amount of solder on this chip's lands.</summary>
    /// <param name="job">The job.</param>
    /// <param name="look">What is tried.</param>
    public Job With(Job job, JointLook look)
    {
        ArgumentNullException.ThrowIfNull(job);
        Seat seat = Chip.Seat ?? new Seat();
        Chip tried = Chip with
        {
            Seat = seat with
            {
                DomeHeightMm = look.DomeMm ?? seat.DomeHeightMm,
                DomeSpreadPercent = look.SpreadPercent ?? seat.DomeSpreadPercent,
            },
        };
        return job with { Chips = [.. job.Chips.Select(chip => ReferenceEquals(chip, Chip) ? tried : chip)] };
    }
}

/// <summary>What is tried on the screen without changing the job.</summary>
/// <param name="DomeMm">Mean height of the solder on the lands; null as in the job [mm].</param>
/// <param name="SpreadPercent">How uneven it is; null as in the job [%].</param>
/// <param name="Row">Row that is cut, from 0 at the lower edge; null for the one in most need.</param>
/// <param name="Wrong">What the address asks for and cannot have, each as a sentence.</param>
public sealed record JointLook(double? DomeMm, double? SpreadPercent, int? Row, IReadOnlyList<string> Wrong)
{
    /// <summary>Highest solder that the slider offers [mm].</summary>
    public const double MostDomeMm = 0.3;

    /// <summary>Most uneven solder that can be tried [%].</summary>
    public const double MostSpreadPercent = 100;

    private const double MostRow = 10_000;
    private const int MostShown = 20;

    /// <summary>Whether it differs from the job.</summary>
    public bool Tries => DomeMm is not null || SpreadPercent is not null;

    /// <summary>Reads the address; what is no number or out of range is left at the job's and said.</summary>
    public static JointLook Read(string? dome, string? spread, string? row)
    {
        List<string> wrong = [];
        return new JointLook(
            Number("Solder on the lands", dome, MostDomeMm, " mm", wrong),
            Number("Unevenness", spread, MostSpreadPercent, " %", wrong),
            Number("Row", row, MostRow, "", wrong) is { } at ? (int)at : null,
            wrong
        );
    }

    private static double? Number(string what, string? text, double most, string unit, List<string> wrong)
    {
        if (string.IsNullOrWhiteSpace(text))
        {
            return null;
        }
        bool fits =
            double.TryParse(
                text,
                System.Globalization.NumberStyles.Float,
                System.Globalization.CultureInfo.InvariantCulture,
                out double value
            )
            && value >= 0
            && value <= most;
        if (!fits)
        {
            string shown = text.Length > MostShown ? text[..MostShown] + "…" : text;
            wrong.Add(
                $"{what}: '{shown}' is no figure from 0 to {most.ToString(System.Globalization.CultureInfo.InvariantCulture)}{unit}; the job's own is shown."
            );
        }
        return fits ? value : null;
    }
}
