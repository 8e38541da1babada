using Graftbench.Core.Jobs;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>A part with its place on the picture.</summary>
internal sealed record PlacedPart(Part Part, Body Body, bool SizeKnown, bool RemoveFirst, bool Neighbour);

/// <summary>A chip with its place on the picture.</summary>
internal sealed record PlacedChip(Chip Chip, Body Body);

/// <summary>A label that found room.</summary>
internal sealed record SceneLabel(string Text, PlacedLabel Placed, double Size, bool Bold, Ink Ink);

/// <summary>A board laid out: everything has its place before anything is drawn.</summary>
internal sealed class BoardScene
{
    private const double Margin = 30;
    private const double UnknownSizePx = 5;
    private readonly double leftMm;
    private readonly double topMm;

    public BoardScene(Board board, IReadOnlyList<Chip> chipsOnIt, BoardPictureOptions options)
    {
        Options = options;
        Board = board;
        IReadOnlyList<PointMm> outline = board.Outline.Count >= 3 ? board.Outline : Rectangle(board);
        leftMm = Math.Min(0, outline.Min(p => p.XMm));
        topMm = Math.Max(board.WidthMm, outline.Max(p => p.YMm));
        double rightMm = Math.Max(board.LengthMm, outline.Max(p => p.XMm));
        double bottomMm = Math.Min(0, outline.Min(p => p.YMm));
        double wideMm = Math.Max(1, rightMm - leftMm);
        double highMm = Math.Max(1, topMm - bottomMm);
        double room = options.WidthPx - (2 * Margin);
        PxPerMm = Math.Min(room / wideMm, room * 0.95 / highMm);
        double left = (options.WidthPx - (wideMm * PxPerMm)) / 2;
        Area = new Box(left, Margin, wideMm * PxPerMm, highMm * PxPerMm);
        Outline = [.. outline.Select(p => ToPage(p.XMm, p.YMm))];
        Place(board, chipsOnIt);
        PlaceLabels();
    }

    public BoardPictureOptions Options { get; }

    public Board Board { get; }

    /// <summary>Copper regions, in the order in which they count.</summary>
    public IReadOnlyList<CopperRegion> Copper => Board.CopperRegions;

    public double PxPerMm { get; }

    /// <summary>The board's bounding rectangle on the picture.</summary>
    public Box Area { get; }

    public IReadOnlyList<Pt> Outline { get; }

    public List<PlacedPart> Parts { get; } = [];

    public List<PlacedChip> Chips { get; } = [];

    public List<SceneLabel> Labels { get; } = [];

    public int LabelsLeftOut { get; private set; }

    /// <summary>References without a place, or with one far outside the board.</summary>
    public List<string> NotShown { get; } = [];

    /// <summary>The line around a chip inside which parts count as neighbours.</summary>
    public IReadOnlyList<Pt> Zone(PlacedChip chip)
    {
        double by = Options.NeighbourMm * PxPerMm;
        Body body = chip.Body;
        return (body with { HalfLength = body.HalfLength + by, HalfWidth = body.HalfWidth + by }).Corners();
    }

    public Pt ToPage(double xMm, double yMm) =>
        new(Area.X + ((xMm - leftMm) * PxPerMm), Area.Y + ((topMm - yMm) * PxPerMm));

    /// <summary>A rectangle of the board, given by its left and lower edge.</summary>
    public Box ToPage(double xMm, double yMm, double lengthMm, double widthMm)
    {
        Pt upperLeft = ToPage(xMm, yMm + widthMm);
        return new Box(upperLeft.X, upperLeft.Y, lengthMm * PxPerMm, widthMm * PxPerMm);
    }

    private static IReadOnlyList<PointMm> Rectangle(Board board) =>
        [
            new PointMm { XMm = 0, YMm = 0 },
            new PointMm { XMm = board.LengthMm, YMm = 0 },
            new PointMm { XMm = board.LengthMm, YMm = board.WidthMm },
            new PointMm { XMm = 0, YMm = board.WidthMm },
        ];

    private void Place(Board board, IReadOnlyList<Chip> chipsOnIt)
    {
        Box seen = Area.Grown(Margin - 4);
        foreach (Chip chip in chipsOnIt)
        {
            if (chip.XMm is double x && chip.YMm is double y && Holds(seen, ToPage(x, y)))
            {
                Body body = new(
                    ToPage(x, y),
                    chip.BodyLengthMm * PxPerMm / 2,
                    chip.BodyWidthMm * PxPerMm / 2,
                    chip.RotationDeg
                );
                Chips.Add(new PlacedChip(chip, body));
            }
            else
            {
                NotShown.Add("chip " + chip.Id);
            }
        }
        HashSet<string> chipIds = new(Chips.Select(chip => chip.Chip.Id), StringComparer.Ordinal);
        HashSet<string> first = new(Options.RemoveFirst, StringComparer.Ordinal);
        foreach (Part part in board.Parts.Where(part => !chipIds.Contains(part.Ref)))
        {
            if (part.XMm is not double x || part.YMm is not double y || !Holds(seen, ToPage(x, y)))
            {
                NotShown.Add(part.Ref);
                continue;
            }
            bool sized = part.LengthMm is not null && part.WidthMm is not null;
            Body body = new(
                ToPage(x, y),
                sized ? Math.Max(0.8, part.LengthMm!.Value * PxPerMm / 2) : UnknownSizePx,
                sized ? Math.Max(0.8, part.WidthMm!.Value * PxPerMm / 2) : UnknownSizePx,
                part.RotationDeg
            );
            Parts.Add(new PlacedPart(part, body, sized, first.Contains(part.Ref) && !part.TakenOff, IsNeighbour(body)));
        }
        // Large bodies first, so that a small part drawn on or under a large one stays in sight.
        Parts.Sort((a, b) => (b.Body.HalfLength * b.Body.HalfWidth).CompareTo(a.Body.HalfLength * a.Body.HalfWidth));
    }

    private static bool Holds(Box box, Pt p) => p.X >= box.X && p.X <= box.Right && p.Y >= box.Y && p.Y <= box.Bottom;

    // Nearest corner, edge middle or centre, measured in the chip's own frame: what lies on the dotted line counts.
    private bool IsNeighbour(Body body)
    {
        if (Options.NeighbourMm <= 0)
        {
            return false;
        }
        double reach = Options.NeighbourMm * PxPerMm;
        Pt[] probes = [body.Centre, .. body.Corners(), body.At(0, 1), body.At(0, -1), body.At(1, 0), body.At(-1, 0)];
        return Chips.Any(chip =>
        {
            double turn = chip.Body.TurnDeg * Math.PI / 180;
            return probes.Any(p =>
            {
                double dx = p.X - chip.Body.Centre.X;
                double dy = chip.Body.Centre.Y - p.Y;
                double u = Math.Abs((dx * Math.Cos(turn)) + (dy * Math.Sin(turn))) - chip.Body.HalfLength;
                double v = Math.Abs((dy * Math.Cos(turn)) - (dx * Math.Sin(turn))) - chip.Body.HalfWidth;
                return u <= reach && v <= reach;
            });
        });
    }

    private void PlaceLabels()
    {
        (double small, double strong) = BoardPicture.TextSizes;
        LabelPlacer placer = new(Area.Grown(Margin - 4));
        foreach (PlacedPart part in Parts)
        {
            placer.Avoid(part.Body.Bounds(), part.Part.Ref);
        }
        foreach (PlacedChip chip in Chips)
        {
            placer.Block(chip.Body.Bounds());
            (Pt at, double size) = ChipGlyph.A1Label(chip.Body);
            placer.Block(new Box(at.X - size, at.Y - size, 2 * size, size * 1.2));
        }
        foreach (PlacedChip chip in Chips)
        {
            Write(
                placer,
                chip.Chip.Id,
                chip.Body.Bounds(),
                chip.Chip.Id,
                strong,
                true,
                Ink.Accent,
                inside: false,
                important: true
            );
        }
        foreach (PlacedPart part in Parts.Where(part => part.RemoveFirst))
        {
            Write(
                placer,
                part.Part.Ref,
                part.Body.Bounds(),
                "× " + part.Part.Ref,
                strong,
                true,
                Ink.Alert,
                inside: false,
                important: true
            );
        }
        foreach (PlacedPart part in Parts.Where(part => !part.RemoveFirst).OrderByDescending(part => part.Neighbour))
        {
            string text = part.Part.Ref + (part.Part.TakenOff ? " (off)" : "");
            Ink ink = part.Part.TakenOff ? Ink.Muted : Ink.Text;
            Write(
                placer,
                part.Part.Ref,
                part.Body.Bounds(),
                text,
                small,
                false,
                ink,
                inside: true,
                important: part.Neighbour && Parts.Count < 60
            );
        }
    }

    private void Write(
        LabelPlacer placer,
        string owner,
        Box thing,
        string text,
        double size,
        bool bold,
        Ink ink,
        bool inside,
        bool important
    )
    {
        string shown = SheetText.Fit(SheetText.Clean(text), 150, size, bold);
        double width = SheetText.Width(shown, size, bold) + 3;
        PlacedLabel? placed = placer.Place(owner, thing, width, size * 1.15, inside, important);
        if (placed is null)
        {
            LabelsLeftOut++;
            return;
        }
        Labels.Add(new SceneLabel(shown, placed, size, bold, ink));
    }
}
