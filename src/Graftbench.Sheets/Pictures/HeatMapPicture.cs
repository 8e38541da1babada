using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>The temperature of one plane of the board at one moment: colours, numbered isotherms, marked places.</summary>
public static class HeatMapPicture
{
    private const double BarWidth = 84;
    private const double Top = 30;
    private const double Bottom = 14;
    private const double Small = 12;

    /// <summary>Draws a plane as SVG.</summary>
    /// <param name="heat">The plan.</param>
    /// <param name="plane">Name of the plane: <c>top</c>, <c>joints</c> or <c>bottom</c>.</param>
    /// <param name="timeS">Moment; the nearest frame is taken [s].</param>
    /// <param name="board">Board that is heated; null for a loose chip.</param>
    /// <param name="scale">Colours; made for this frame if left out.</param>
    /// <param name="display">How temperatures are shown.</param>
    /// <param name="widthPx">Width that the picture is laid out for.</param>
    /// <returns>The picture; empty where the plan has no such plane.</returns>
    public static string Svg(
        HeatPlan heat,
        string plane,
        double timeS,
        Board? board = null,
        HeatScale? scale = null,
        Display? display = null,
        int widthPx = 560
    )
    {
        ArgumentNullException.ThrowIfNull(heat);
        HeatPlane? shown = heat.Planes.FirstOrDefault(each => each.Name == plane && each.Frames.Count > 0);
        return shown is null
            ? ""
            : Picture(heat, shown, FrameAt(shown, timeS), board, scale, display ?? Display.Default, widthPx).Svg();
    }

    /// <summary>Moment at which the hottest joint is hottest; the hottest frame where there are no curves [s].</summary>
    /// <param name="heat">The plan.</param>
    public static double PeakS(HeatPlan heat)
    {
        ArgumentNullException.ThrowIfNull(heat);
        HeatCurve? joint = heat.Curves?.Curves.FirstOrDefault(curve => curve.Name == "joint-coldest");
        if (joint is null || heat.Curves is null || joint.TemperaturesC.Count == 0)
        {
            return heat.Planes.SelectMany(plane => plane.Frames)
                    .MaxBy(frame => frame.TemperaturesC.DefaultIfEmpty().Max())
                    ?.TimeS
                ?? 0;
        }
        int number = Math.Min(joint.TemperaturesC.Count, heat.Curves.TimesS.Count);
        int best = Enumerable.Range(0, number).MaxBy(i => joint.TemperaturesC[i]);
        return heat.Curves.TimesS[best];
    }

    internal static HeatFrame FrameAt(HeatPlane plane, double timeS) =>
        plane.Frames.MinBy(frame => Math.Abs(frame.TimeS - timeS))!;

    internal static Picture Picture(
        HeatPlan heat,
        HeatPlane plane,
        HeatFrame frame,
        Board? board,
        HeatScale? scale,
        Display display,
        double width
    )
    {
        HeatGrid grid = HeatGrid.Of(plane, frame);
        HeatScale colours = scale ?? HeatScale.Of([(plane, frame)]);
        IReadOnlyList<HeatMark> marks = HeatMarks.Of(heat, plane.Name, grid);
        double wide = Math.Max(1, plane.Area.X1Mm - plane.Area.X0Mm);
        double high = Math.Max(1, plane.Area.Y1Mm - plane.Area.Y0Mm);
        double px = Math.Min((width - BarWidth - 12) / wide, width / high);
        Box area = new(6, Top, wide * px, high * px);
        string title = $"{TradeWords.HeatPlane(plane.Name)} at {QuantityText.Clock(frame.TimeS)}";
        string words =
            marks.Count == 0
                ? $"From {QuantityText.Degrees(colours.LowC, display)} to {QuantityText.Degrees(colours.HighC, display)}."
                : string.Join("; ", marks.Select(mark => mark.Words(display))) + ".";
        return new Picture(
            width,
            Top + Math.Max(area.Height, 190) + Bottom,
            title,
            words,
            canvas =>
            {
                Map map = new(plane.Area, area, px);
                canvas.Text(new Pt(6, 18), title, new TextLook(14, Bold: true));
                DrawField(canvas, map, grid, colours);
                DrawThings(canvas, map, heat, board, plane);
                LabelPlacer placer = new(area.Grown(4));
                foreach (HeatMark mark in marks)
                {
                    Pt at = map.At(mark.XMm, mark.YMm);
                    placer.Avoid(new Box(at.X - 7, at.Y - 7, 14, 14), mark.Name);
                }
                DrawIsotherms(canvas, map, grid, colours, heat, placer);
                DrawMarks(canvas, map, marks, placer, display);
                DrawBar(canvas, colours, width - BarWidth + 8, Math.Max(area.Height, 190), display);
            }
        );
    }

    /// <summary>From the board to the picture.</summary>
    internal sealed record Map(RectMm Board, Box Area, double Px)
    {
        public Pt At(double xMm, double yMm) =>
            new(Area.X + ((xMm - Board.X0Mm) * Px), Area.Y + ((Board.Y1Mm - yMm) * Px));

        public Box Of(RectMm rect)
        {
            Pt corner = At(rect.X0Mm, rect.Y1Mm);
            return new Box(corner.X, corner.Y, (rect.X1Mm - rect.X0Mm) * Px, (rect.Y1Mm - rect.Y0Mm) * Px);
        }
    }

    // Equal cells of a row become one rectangle, one shape for each colour: the size is bounded by the raster's.
    private static void DrawField(ICanvas canvas, Map map, HeatGrid grid, HeatScale scale)
    {
        List<IReadOnlyList<Pt>>[] runs =
        [
            .. Enumerable.Range(0, scale.Steps).Select(_ => new List<IReadOnlyList<Pt>>()),
        ];
        for (int row = 0; row < grid.Rows; row++)
        {
            int from = 0;
            while (from < grid.Columns)
            {
                if (!grid.Covered(from, row))
                {
                    from++;
                    continue;
                }
                int step = scale.StepOf(grid.Value(from, row));
                int to = from + 1;
                while (to < grid.Columns && grid.Covered(to, row) && scale.StepOf(grid.Value(to, row)) == step)
                {
                    to++;
                }
                double right = Math.Min(grid.Area.X0Mm + (to * grid.CellX), map.Board.X1Mm);
                double top = Math.Min(grid.Area.Y0Mm + ((row + 1) * grid.CellY), map.Board.Y1Mm);
                Pt a = map.At(grid.Area.X0Mm + (from * grid.CellX), grid.Area.Y0Mm + (row * grid.CellY));
                Pt b = map.At(right, top);
                // A little overlap closes the hairlines that show between shapes that only touch.
                runs[step].Add([a, new Pt(b.X + 0.3, a.Y), new Pt(b.X + 0.3, b.Y - 0.3), new Pt(a.X, b.Y - 0.3)]);
                from = to;
            }
        }
        canvas.Begin("field");
        for (int step = 0; step < scale.Steps; step++)
        {
            if (runs[step].Count > 0)
            {
                canvas.Shapes(runs[step], new Look(Fill: scale.InkAt(step)));
            }
        }
        canvas.End();
    }

    private static void DrawThings(ICanvas canvas, Map map, HeatPlan heat, Board? board, HeatPlane plane)
    {
        if (board is not null)
        {
            IReadOnlyList<Pt> outline =
                board.Outline.Count >= 3
                    ? [.. board.Outline.Select(p => map.At(p.XMm, p.YMm))]
                    :
                    [
                        map.At(0, 0),
                        map.At(board.LengthMm, 0),
                        map.At(board.LengthMm, board.WidthMm),
                        map.At(0, board.WidthMm),
                    ];
            canvas.Line(outline, true, new Look(Stroke: Ink.Text, Width: 1.4));
            BoardSide side = plane.Name == "bottom" ? BoardSide.Bottom : BoardSide.Top;
            foreach (
                Part part in board.Parts.Where(part => part.Side == side && !part.TakenOff && part.Ref != heat.ChipId)
            )
            {
                if (part is { XMm: double x, YMm: double y, LengthMm: double length, WidthMm: double wide })
                {
                    Body body = new(map.At(x, y), length * map.Px / 2, wide * map.Px / 2, part.RotationDeg);
                    canvas.Line(body.Corners(), true, new Look(Stroke: Ink.Paper, Width: 1.8, Opacity: 0.7));
                    canvas.Line(body.Corners(), true, new Look(Stroke: Ink.Text, Width: 0.8));
                }
            }
        }
        else
        {
            canvas.Rect(map.Area, 0, new Look(Stroke: Ink.Text, Width: 1.4));
        }
        if (heat.Model is BoardHeatModel model)
        {
            canvas.Rect(map.Of(model.Chip), 0, new Look(Stroke: Ink.Paper, Width: 3, Opacity: 0.7));
            canvas.Rect(map.Of(model.Chip), 0, new Look(Stroke: Ink.Text, Width: 1.6));
            canvas.Rect(map.Of(model.Nozzle), 0, new Look(Stroke: Ink.Text, Width: 1.2, Dash: Dash.Dashed));
        }
    }

    private static void DrawIsotherms(
        ICanvas canvas,
        Map map,
        HeatGrid grid,
        HeatScale scale,
        HeatPlan heat,
        LabelPlacer placer
    )
    {
        double? moltenC = heat.Model?.MoltenC ?? heat.Curves?.MoltenC;
        Pt centre = heat.Model is { } model
            ? map.At((model.Chip.X0Mm + model.Chip.X1Mm) / 2, (model.Chip.Y0Mm + model.Chip.Y1Mm) / 2)
            : new Pt(map.Area.X + (map.Area.Width / 2), map.Area.Y + (map.Area.Height / 2));
        canvas.Begin("isotherms");
        List<(double Level, bool Molten)> levels = [.. scale.EdgesC.Select(level => (level, false))];
        if (moltenC is double molten)
        {
            levels.Insert(0, (molten, true));
        }
        double turn = 0;
        foreach ((double level, bool isMolten) in levels)
        {
            IReadOnlyList<Seg> strokes =
            [
                .. grid.Isotherm(level)
                    .Select(s => (From: map.At(s.X1, s.Y1), To: map.At(s.X2, s.Y2)))
                    .Select(s => new Seg(s.From.X, s.From.Y, s.To.X, s.To.Y)),
            ];
            if (strokes.Count == 0)
            {
                continue;
            }
            if (isMolten)
            {
                canvas.Strokes(strokes, new Look(Stroke: Ink.Paper, Width: 4.4, Opacity: 0.8));
            }
            canvas.Strokes(strokes, new Look(Stroke: Ink.Text, Width: isMolten ? 2.2 : 0.7));
            string text = isMolten ? $"{QuantityText.Digits(level, 0)} molten" : QuantityText.Digits(level, 0);
            turn += 2.4;
            Label(canvas, strokes, centre, turn, text, isMolten, placer);
        }
        canvas.End();
    }

    private static void Label(
        ICanvas canvas,
        IReadOnlyList<Seg> strokes,
        Pt centre,
        double turn,
        string text,
        bool bold,
        LabelPlacer placer
    )
    {
        double width = SheetText.Width(text, Small, bold) + 2;
        IEnumerable<Pt> places = strokes
            .Select(s => new Pt((s.X1 + s.X2) / 2, (s.Y1 + s.Y2) / 2))
            .OrderBy(p => Math.Abs(Math.IEEERemainder(Math.Atan2(p.Y - centre.Y, p.X - centre.X) - turn, 2 * Math.PI)));
        int tried = 0;
        foreach (Pt p in places)
        {
            if (tried++ > 40)
            {
                return;
            }
            Box thing = new(p.X - (width / 2), p.Y - (Small / 2), width + 2.1, Small);
            if (placer.Place(text, thing, width, Small, insideAllowed: true, important: false) is { } placed)
            {
                canvas.Text(
                    new Pt(placed.Box.X + (width / 2), placed.Box.Y + (Small * 0.85)),
                    text,
                    new TextLook(Small, Anchor.Middle, bold, Halo: true)
                );
                return;
            }
        }
    }

    private static void DrawMarks(
        ICanvas canvas,
        Map map,
        IReadOnlyList<HeatMark> marks,
        LabelPlacer placer,
        Display display
    )
    {
        foreach (HeatMark mark in marks)
        {
            Pt at = map.At(mark.XMm, mark.YMm);
            canvas.Begin("mark", mark.Words(display));
            mark.Draw(canvas, at);
            string text = mark.Label(display);
            double width = SheetText.Width(text, Small, true) + 6;
            Box thing = new(at.X - 7, at.Y - 7, 14, 14);
            if (placer.Place(mark.Name, thing, width, Small * 1.3, false, important: true) is { } placed)
            {
                if (placed.Leader is Seg leader)
                {
                    canvas.Strokes([leader], new Look(Stroke: Ink.Paper, Width: 3));
                    canvas.Strokes([leader], new Look(Stroke: Ink.Text, Width: 1.1));
                }
                canvas.Rect(placed.Box, 3, new Look(Ink.Paper, mark.Over ? Ink.Alert : Ink.Text, mark.Over ? 2 : 0.8));
                canvas.Text(
                    new Pt(placed.Box.X + 3, placed.Box.Y + Small),
                    text,
                    new TextLook(Small, Bold: true, Ink: mark.Over ? Ink.Alert : Ink.Text)
                );
            }
            canvas.End();
        }
    }

    private static void DrawBar(ICanvas canvas, HeatScale scale, double x, double height, Display display)
    {
        const double Thick = 18;
        double step = height / scale.Steps;
        canvas.Begin("bar");
        canvas.Text(new Pt(x, Top - 12), display.Fahrenheit ? "°C (°F)" : "°C", new TextLook(Small, Ink: Ink.Muted));
        for (int i = 0; i < scale.Steps; i++)
        {
            canvas.Rect(
                new Box(x, Top + height - ((i + 1) * step), Thick, step + (i > 0 ? 0.3 : 0)),
                0,
                new Look(Fill: scale.InkAt(i))
            );
        }
        canvas.Rect(new Box(x, Top, Thick, height), 0, new Look(Stroke: Ink.Text, Width: 0.8));
        for (int i = 0; i <= scale.Steps; i++)
        {
            double c = scale.LowC + (i * scale.StepDeltaK);
            double y = Top + height - (i * step);
            string fahrenheit = display.Fahrenheit ? $" ({QuantityText.Digits((c * 9 / 5) + 32, 0)})" : "";
            canvas.Strokes([new Seg(x, y, x + Thick + 3, y)], new Look(Stroke: Ink.Text, Width: 0.8));
            canvas.Text(
                new Pt(x + Thick + 5, y + 4),
                i == 0 && scale.OpenBelow ? "colder" : QuantityText.Digits(c, 0) + fahrenheit,
                new TextLook(Small)
            );
        }
        canvas.End();
    }
}
