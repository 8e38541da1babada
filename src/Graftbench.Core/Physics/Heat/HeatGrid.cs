namespace Graftbench.Core.Physics.Heat;

/// <summary>
/// Lines of the tensor grid [mm]: on every box edge, on every edge of a film or radiation rectangle and at every probe,
/// and between them as fine as the size rule asks: fine at the package's edges, growing with the distance from them.
/// </summary>
internal sealed class HeatGrid
{
    private const double SameLineMm = 1e-6;

    // Heights of neighbours may move less than their outlines.
    private const double HeightSnapRatio = 0.3;
    private const double TallGrowth = 0.15;

    private HeatGrid(double[] x, double[] y, double[] z)
    {
        XMm = x;
        YMm = y;
        ZMm = z;
    }

    /// <summary>Lines across x [mm], rising.</summary>
    public double[] XMm { get; }

    /// <summary>Lines across y [mm], rising.</summary>
    public double[] YMm { get; }

    /// <summary>Lines across z [mm], rising.</summary>
    public double[] ZMm { get; }

    /// <summary>Grid points, with those that will turn out to be in the air.</summary>
    public long PointsNumber => (long)XMm.Length * YMm.Length * ZMm.Length;

    /// <summary>Draws the lines for a case.</summary>
    public static HeatGrid Of(HeatCase heat, HeatMesh mesh)
    {
        HeatBox board = heat.Boxes.MaxBy(box => (box.X1Mm - box.X0Mm) * (box.Y1Mm - box.Y0Mm))!;
        RectMm hot = HotArea(heat, board);
        List<HeatBox> package = heat.Boxes.Where(box => box != board && IsPackage(box, board, hot)).ToList();
        double packageTopMm = package.Count == 0 ? board.Z1Mm : package.Max(box => box.Z1Mm);
        double[] x = InPlane(
            heat,
            mesh,
            package,
            board,
            box => (box.X0Mm, box.X1Mm),
            r => (r.X0Mm, r.X1Mm),
            p => p.XMm,
            hot
        );
        double[] y = InPlane(
            heat,
            mesh,
            package,
            board,
            box => (box.Y0Mm, box.Y1Mm),
            r => (r.Y0Mm, r.Y1Mm),
            p => p.YMm,
            hot
        );
        return new HeatGrid(x, y, Vertical(heat, mesh, board, package, packageTopMm));
    }

    // The rectangle with the strongest film from above: what is stacked inside it is the package.
    private static RectMm HotArea(HeatCase heat, HeatBox board)
    {
        RectMm? inside = heat
            .Films.Where(film => film is { Faces: Faces.Top, Inside: not null })
            .MaxBy(film => film.FilmWPerM2K)
            ?.Inside;
        return inside ?? new RectMm(board.X0Mm, board.X1Mm, board.Y0Mm, board.Y1Mm);
    }

    private static bool IsPackage(HeatBox box, HeatBox board, RectMm hot) =>
        box.Z1Mm > board.Z1Mm
        && (box.X0Mm + box.X1Mm) / 2 >= hot.X0Mm
        && (box.X0Mm + box.X1Mm) / 2 <= hot.X1Mm
        && (box.Y0Mm + box.Y1Mm) / 2 >= hot.Y0Mm
        && (box.Y0Mm + box.Y1Mm) / 2 <= hot.Y1Mm;

    private static double[] InPlane(
        HeatCase heat,
        HeatMesh mesh,
        List<HeatBox> package,
        HeatBox board,
        Func<HeatBox, (double From, double To)> ends,
        Func<RectMm, (double From, double To)> sides,
        Func<HeatProbe, double> at,
        RectMm hot
    )
    {
        double from = heat.Boxes.Min(box => ends(box).From);
        double to = heat.Boxes.Max(box => ends(box).To);
        List<double> fine = [.. package.SelectMany(box => Both(ends(box)))];
        // The ends of all boxes stand first.
        List<double> firm =
        [
            from,
            to,
            .. Both(ends(board)),
            .. fine,
            .. heat.Probes.Select(at),
            .. Rectangles(heat).SelectMany(rectangle => Both(sides(rectangle))),
        ];
        List<double> loose = [.. heat.Boxes.Except(package).SelectMany(box => Both(ends(box)))];
        (double hotFrom, double hotTo) = sides(hot);
        return Lines(
            heat.Boxes.Select(ends),
            firm,
            loose,
            mesh.SnapMm,
            position =>
            {
                double largest =
                    position >= hotFrom && position <= hotTo && package.Count > 0 ? mesh.InsideMm : mesh.OutsideMm;
                double nearest =
                    fine.Count == 0 ? double.PositiveInfinity : fine.Min(edge => Math.Abs(edge - position));
                return Math.Min(largest, mesh.FineMm + mesh.GrowthRatio * nearest);
            }
        );
    }

    private static double[] Vertical(
        HeatCase heat,
        HeatMesh mesh,
        HeatBox board,
        List<HeatBox> package,
        double packageTopMm
    )
    {
        double from = heat.Boxes.Min(box => box.Z0Mm);
        double to = heat.Boxes.Max(box => box.Z1Mm);
        List<double> firm =
        [
            from,
            to,
            .. package.Append(board).SelectMany(box => Both((box.Z0Mm, box.Z1Mm))),
            .. heat.Probes.Select(probe => probe.ZMm),
        ];
        List<double> loose = [.. heat.Boxes.Except(package).SelectMany(box => Both((box.Z0Mm, box.Z1Mm)))];
        double boardMm = board.Z1Mm - board.Z0Mm;
        // Heat leaves the ball layer into the thin top sheet and turns sideways there, so the first layer is the thinnest.
        double first = boardMm / (mesh.BoardLayersNumber * (mesh.BoardLayersNumber + 1) / 2);
        const double Growth = 0.45;
        return Lines(
            heat.Boxes.Select(box => (box.Z0Mm, box.Z1Mm)),
            firm,
            loose,
            HeightSnapRatio * mesh.SnapMm,
            position =>
            {
                if (position > board.Z1Mm)
                {
                    return position <= packageTopMm
                        ? mesh.PackageLayerMm
                        : 3 * mesh.PackageLayerMm + TallGrowth * (position - packageTopMm);
                }
                if (position < board.Z0Mm)
                {
                    return 3 * mesh.PackageLayerMm + TallGrowth * (board.Z0Mm - position);
                }
                double depth = board.Z1Mm - position;
                return first + Growth * depth;
            }
        );
    }

    private static IEnumerable<RectMm> Rectangles(HeatCase heat) =>
        heat
            .Films.SelectMany(film => new[] { film.Inside, film.Outside })
            .Concat(heat.Radiation.SelectMany(patch => new[] { patch.Inside, patch.Outside }))
            .OfType<RectMm>();

    private static IEnumerable<double> Both((double From, double To) ends)
    {
        yield return ends.From;
        yield return ends.To;
    }

    // A box whose edges were drawn together until no cell is left in it would vanish: such a box gets its own lines.
    private static double[] Lines(
        IEnumerable<(double From, double To)> boxes,
        List<double> firm,
        List<double> loose,
        double snapMm,
        Func<double, double> size
    )
    {
        double[] lines = Subdivide(Breaks(firm, loose, snapMm), size);
        List<double> lost =
        [
            .. boxes
                .Where(box =>
                    !Enumerable
                        .Range(1, lines.Length - 1)
                        .Any(i =>
                            (lines[i - 1] + lines[i]) / 2 is double middle && middle >= box.From && middle <= box.To
                        )
                )
                .SelectMany(Both),
        ];
        return lost.Count == 0 ? lines : Subdivide(Breaks([.. firm, .. lost], loose, snapMm), size);
    }

    private static double[] Breaks(List<double> firm, List<double> loose, double snapMm)
    {
        // Rectangles may reach beyond the boxes: lines end where the boxes do.
        (double from, double to) = (firm[0], firm[1]);
        List<double> kept = [];
        foreach (double line in firm.Where(line => line >= from && line <= to).Order())
        {
            if (kept.Count == 0 || line - kept[^1] > SameLineMm)
            {
                kept.Add(line);
            }
        }
        double apart = Math.Max(SameLineMm, snapMm);
        foreach (double line in loose.Order())
        {
            int next = kept.BinarySearch(line);
            next = next < 0 ? ~next : next;
            bool near =
                (next < kept.Count && kept[next] - line <= apart) || (next > 0 && line - kept[next - 1] <= apart);
            if (!near)
            {
                kept.Insert(next, line);
            }
        }
        return [.. kept];
    }

    // Between two lines: as many cells as the integral of 1/size asks for, their edges where that integral is a whole
    // multiple of its share, so that sizes follow the rule.
    private static double[] Subdivide(double[] breaks, Func<double, double> size)
    {
        const int Samples = 32;
        List<double> lines = [breaks[0]];
        double[] running = new double[Samples + 1];
        for (int b = 1; b < breaks.Length; b++)
        {
            double start = breaks[b - 1];
            double length = breaks[b] - start;
            for (int s = 1; s <= Samples; s++)
            {
                running[s] = running[s - 1] + length / Samples / size(start + (s - 0.5) * length / Samples);
            }
            // Cells a quarter wider than asked are let pass: they save a line where an interval falls just short.
            int cells = (int)Math.Clamp(Math.Ceiling(running[Samples] - 0.25), 1, 2000);
            int at = 1;
            for (int c = 1; c < cells; c++)
            {
                double wanted = running[Samples] * c / cells;
                while (running[at] < wanted)
                {
                    at++;
                }
                double share = (wanted - running[at - 1]) / (running[at] - running[at - 1]);
                lines.Add(start + length * (at - 1 + share) / Samples);
            }
            lines.Add(breaks[b]);
        }
        return [.. lines];
    }
}
