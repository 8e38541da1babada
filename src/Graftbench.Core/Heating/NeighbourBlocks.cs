using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>A part near the chip as the model sees it.</summary>
/// <param name="Part">The part.</param>
/// <param name="Name">Its reference, made unique.</param>
/// <param name="Outline">Outline on the board; a point where its size is not known.</param>
/// <param name="Box">The block that it is drawn as; null where it has none.</param>
internal sealed record Neighbour(Part Part, string Name, RectMm Outline, HeatBox? Box)
{
    public bool OnTop => Part.Side == BoardSide.Top;

    /// <summary>Name of its body's place.</summary>
    public string Place => Name;

    /// <summary>Name of the place of its joints.</summary>
    public string JointPlace => Name + " joint";
}

/// <summary>Parts that stay on the board while it is heated, as blocks.</summary>
internal static class NeighbourBlocks
{
    /// <summary>Parts smaller than this draw no heat worth a block [mm].</summary>
    public const double LeastEdgeMm = 3;

    /// <summary>Farther from the chip than this, only larger parts get a block [mm].</summary>
    public const double NearMm = 40;

    /// <summary>Edge from which a far part gets a block [mm].</summary>
    public const double LeastFarEdgeMm = 8;

    /// <summary>Most parts that are drawn as blocks.</summary>
    public const int MostBlocks = 60;

    /// <summary>Most parts whose temperature is followed.</summary>
    public const int MostPlaces = 200;

    public static IReadOnlyList<Neighbour> Of(HeatSite site, RectMm chip, ModelNotes notes)
    {
        Board board = site.Board;
        List<Part> staying = [.. board.Parts.Where(part => !part.TakenOff)];
        FindCells(site, staying, notes);
        List<Part> placed = [.. staying.Where(HasPlace)];
        TellOf(
            [.. staying.Where(part => !HasPlace(part)).Select(part => part.Ref)],
            refs =>
                notes.Find(
                    Verdict.Unknown,
                    "heat.part-without-place",
                    site.Name,
                    $"Parts without a position, whose temperature cannot be computed: {refs}.",
                    source: "job-file",
                    todo: "Enter their centres, measured from the lower left corner."
                )
        );
        HashSet<string> names = new(StringComparer.Ordinal) { "body top", "board corner" };
        List<Neighbour> near = [];
        List<string> under = [];
        int blocks = 0;
        int left = 0;
        foreach (
            Part part in placed
                .OrderBy(part => Distance(Outline(part), chip))
                .ThenBy(part => part.Ref, StringComparer.Ordinal)
        )
        {
            RectMm outline = Outline(part);
            if (part.Side == BoardSide.Top && Overlap(outline, chip))
            {
                under.Add(part.Ref);
                continue;
            }
            if (near.Count == MostPlaces)
            {
                left++;
                continue;
            }
            string name = Unique(part.Ref, names);
            HeatBox? box =
                blocks < MostBlocks && WantsBlock(outline, chip)
                    ? Block(part, name, outline, chip, board, notes)
                    : null;
            blocks += box is null ? 0 : 1;
            near.Add(new Neighbour(part, name, outline, box));
        }
        Tell(site, under, left, placed.Count, blocks, notes);
        return near;
    }

    /// <summary>Outline of a part on the board: turned by quarters, else the square of equal area.</summary>
    public static RectMm Outline(Part part)
    {
        double lengthMm = part.LengthMm ?? 0;
        double widthMm = part.WidthMm ?? part.LengthMm ?? 0;
        double offMm = Math.Abs(part.RotationDeg - 90 * Math.Round(part.RotationDeg / 90));
        if (offMm > 5)
        {
            lengthMm = widthMm = Math.Sqrt(lengthMm * widthMm);
        }
        else if (ChipBlocks.QuarterTurns(part.RotationDeg) % 2 == 1)
        {
            (lengthMm, widthMm) = (widthMm, lengthMm);
        }
        return ChipBlocks.Centred(part.XMm!.Value, part.YMm!.Value, lengthMm, widthMm);
    }

    public static bool Overlap(RectMm a, RectMm b) =>
        Math.Min(a.X1Mm, b.X1Mm) - Math.Max(a.X0Mm, b.X0Mm) > 0.1
        && Math.Min(a.Y1Mm, b.Y1Mm) - Math.Max(a.Y0Mm, b.Y0Mm) > 0.1;

    /// <summary>Names of at most eight things, and how many more.</summary>
    public static string Some(IReadOnlyList<string> names) =>
        string.Join(", ", names.Take(8))
        + (names.Count > 8 ? string.Create(CultureInfo.InvariantCulture, $" and {names.Count - 8} more") : "");

    private static bool HasPlace(Part part) =>
        part is { XMm: double x, YMm: double y } && double.IsFinite(x) && double.IsFinite(y);

    private static double Distance(RectMm a, RectMm b)
    {
        double dx = Math.Max(0, Math.Max(a.X0Mm - b.X1Mm, b.X0Mm - a.X1Mm));
        double dy = Math.Max(0, Math.Max(a.Y0Mm - b.Y1Mm, b.Y0Mm - a.Y1Mm));
        return Math.Sqrt(dx * dx + dy * dy);
    }

    private static bool WantsBlock(RectMm outline, RectMm chip)
    {
        double edgeMm = Math.Max(outline.X1Mm - outline.X0Mm, outline.Y1Mm - outline.Y0Mm);
        return edgeMm >= LeastEdgeMm && (edgeMm >= LeastFarEdgeMm || Distance(outline, chip) <= NearMm);
    }

    // Edges go to a lattice, so that many parts share the lines of the mesh; the block keeps the part's heat capacity.
    private static HeatBox? Block(Part part, string name, RectMm outline, RectMm chip, Board board, ModelNotes notes)
    {
        double heightMm = part.HeightMm ?? part.BodyThicknessMm ?? notes.Use("part.height");
        RectMm box = new(
            Math.Max(0, Math.Round(outline.X0Mm)),
            Math.Min(board.LengthMm, Math.Round(outline.X1Mm)),
            Math.Max(0, Math.Round(outline.Y0Mm)),
            Math.Min(board.WidthMm, Math.Round(outline.Y1Mm))
        );
        box = part.Side == BoardSide.Top ? Apart(box, outline, chip) : box;
        double stepMm =
            heightMm <= 4 ? 0.5
            : heightMm <= 10 ? 1
            : 2.5;
        double boxHeightMm = stepMm * Math.Max(1, Math.Round(heightMm / stepMm));
        double areaMm2 = (box.X1Mm - box.X0Mm) * (box.Y1Mm - box.Y0Mm);
        if (box.X1Mm - box.X0Mm < 0.5 || box.Y1Mm - box.Y0Mm < 0.5 || heightMm < 0.3)
        {
            return null;
        }
        double trueMm3 = (outline.X1Mm - outline.X0Mm) * (outline.Y1Mm - outline.Y0Mm) * heightMm;
        HeatMaterial of = HeatMaterials.Of(part.Kind);
        (double z0, double z1) =
            part.Side == BoardSide.Top ? (0, boxHeightMm) : (-board.ThicknessMm - boxHeightMm, -board.ThicknessMm);
        return new HeatBox(
            "part " + name,
            box.X0Mm,
            box.X1Mm,
            box.Y0Mm,
            box.Y1Mm,
            z0,
            z1,
            of.InPlaneWPerMK,
            of.ThroughWPerMK,
            of.DensityKgPerM3 * Math.Clamp(trueMm3 / (areaMm2 * boxHeightMm), 0.2, 5),
            of.SpecificHeatJPerKgK
        );
    }

    // Boxes that touch conduct: a block never touches the chip.
    private static RectMm Apart(RectMm box, RectMm outline, RectMm chip)
    {
        RectMm kept = chip.Grown(0.5);
        if (!Overlap(box, kept))
        {
            return box;
        }
        return outline.X0Mm >= chip.X1Mm - 0.1 ? box with { X0Mm = Math.Max(box.X0Mm, kept.X1Mm) }
            : outline.X1Mm <= chip.X0Mm + 0.1 ? box with { X1Mm = Math.Min(box.X1Mm, kept.X0Mm) }
            : outline.Y0Mm >= chip.Y1Mm - 0.1 ? box with { Y0Mm = Math.Max(box.Y0Mm, kept.Y1Mm) }
            : box with { Y1Mm = Math.Min(box.Y1Mm, kept.Y0Mm) };
    }

    private static string Unique(string name, HashSet<string> names)
    {
        string unique = name;
        for (int i = 2; !names.Add(unique); i++)
        {
            unique = string.Create(CultureInfo.InvariantCulture, $"{name} #{i}");
        }
        return unique;
    }

    private static void FindCells(HeatSite site, List<Part> staying, ModelNotes notes)
    {
        foreach (Part part in staying.Where(part => NeighbourLimits.Of(part.Kind).Off))
        {
            NeighbourLimit limit = NeighbourLimits.Of(part.Kind);
            notes.Find(
                Verdict.Blocker,
                "heat.cell-on-board",
                $"{site.Name}, {part.Ref}",
                $"{limit.Title} is on the board: it must be off before any heat.",
                limit: limit.PeakC is double peakC ? $"{ModelNotes.Show(peakC)} °C" : null,
                source: limit.Source,
                todo: $"Take {part.Ref} off and mark it as taken off."
            );
        }
    }

    private static void Tell(HeatSite site, List<string> under, int left, int placed, int blocks, ModelNotes notes)
    {
        TellOf(
            under,
            refs =>
                notes.Find(
                    Verdict.Warning,
                    "heat.part-where-the-chip-goes",
                    site.Name,
                    $"Parts that lie where the chip is heated and are left out: {refs}.",
                    source: "job-file",
                    todo: "Mark the old chip as taken off, or correct the positions."
                )
        );
        if (left > 0)
        {
            notes.Find(
                Verdict.Warning,
                "heat.parts-left-out",
                site.Name,
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"Of {placed} parts the {MostPlaces} nearest to the chip are followed; {left} farther ones are not checked."
                ),
                string.Create(CultureInfo.InvariantCulture, $"{placed} parts"),
                string.Create(CultureInfo.InvariantCulture, $"{MostPlaces} parts"),
                "graftbench-limit",
                "Watch far parts that cannot stand heat by hand."
            );
        }
        if (placed > 0)
        {
            notes.Add(
                "neighbours",
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{blocks} of {placed} parts are drawn as blocks of one material with edges on whole millimetres; smaller and farther ones have the temperature of the board under them."
                ),
                null,
                0,
                false,
                "graftbench-computed"
            );
        }
    }

    private static void TellOf(List<string> refs, Action<string> tell)
    {
        if (refs.Count > 0)
        {
            tell(Some(refs));
        }
    }
}
