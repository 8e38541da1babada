namespace Graftbench.Sheets.Drawing;

/// <summary>A point of a picture, x right, y down, in the picture's own units.</summary>
internal readonly record struct Pt(double X, double Y);

/// <summary>A straight stroke.</summary>
internal readonly record struct Seg(double X1, double Y1, double X2, double Y2);

/// <summary>An upright rectangle.</summary>
internal readonly record struct Box(double X, double Y, double Width, double Height)
{
    public double Right => X + Width;
    public double Bottom => Y + Height;

    public bool Meets(Box other) => X < other.Right && other.X < Right && Y < other.Bottom && other.Y < Bottom;

    public bool Inside(Box outer) => X >= outer.X && Y >= outer.Y && Right <= outer.Right && Bottom <= outer.Bottom;

    public Box Grown(double by) => new(X - by, Y - by, Width + (2 * by), Height + (2 * by));
}

/// <summary>Colours by what they mean. Page and print decide how they look.</summary>
internal enum Ink
{
    Text,
    Muted,
    Grid,
    Paper,
    Board,
    Body,
    Accent,
    Alert,
    Warn,
    Good,
    Band0,
    Band1,
    Band2,
    Band3,
    Band4,
    Band5,
    Band6,
    Band7,
    Heat0,
    Heat1,
    Heat2,
    Heat3,
    Heat4,
    Heat5,
    Heat6,
    Heat7,
    Heat8,
    Heat9,
}

/// <summary>How a stroke is broken.</summary>
internal enum Dash
{
    Solid,
    Dashed,
    Dotted,
}

/// <summary>How a shape is filled and drawn around.</summary>
internal readonly record struct Look(
    Ink? Fill = null,
    Ink? Stroke = null,
    double Width = 1,
    Dash Dash = Dash.Solid,
    double Opacity = 1
);

/// <summary>Side of a text that its point fixes.</summary>
internal enum Anchor
{
    Start,
    Middle,
    End,
}

/// <summary>How a text is set.</summary>
internal readonly record struct TextLook(
    double Size,
    Anchor Anchor = Anchor.Start,
    bool Bold = false,
    Ink Ink = Ink.Text,
    bool Halo = false,
    double TurnDeg = 0
);

/// <summary>What a picture is drawn on. One back end writes SVG, the other PDF.</summary>
internal interface ICanvas
{
    /// <summary>Begins a group that the page can address by its class and a reader by its title.</summary>
    void Begin(string name, string? title = null);

    /// <summary>Ends the innermost group.</summary>
    void End();

    /// <summary>Draws a line through points, closed or open.</summary>
    void Line(IReadOnlyList<Pt> points, bool closed, Look look);

    /// <summary>Draws several closed shapes as one.</summary>
    void Shapes(IReadOnlyList<IReadOnlyList<Pt>> shapes, Look look);

    /// <summary>Draws separate strokes.</summary>
    void Strokes(IReadOnlyList<Seg> strokes, Look look);

    /// <summary>Draws an upright rectangle.</summary>
    void Rect(Box box, double radius, Look look);

    /// <summary>Draws a circle.</summary>
    void Circle(Pt centre, double radius, Look look);

    /// <summary>Draws many equal discs.</summary>
    void Dots(IReadOnlyList<Pt> centres, double radius, Ink ink);

    /// <summary>Sets a text; its baseline starts, centres or ends at the point. Words in bold may lead it.</summary>
    void Text(Pt at, string text, TextLook look, string? boldLead = null);
}

/// <summary>
/// A picture: its extent, its name for those who cannot see it, and how it is drawn. Without a description it only
/// repeats the words beside it and is hidden from screen readers.
/// </summary>
internal sealed record Picture(double Width, double Height, string Title, string Description, Action<ICanvas> Draw)
{
    /// <summary>The picture as an SVG element.</summary>
    public string Svg()
    {
        SvgCanvas canvas = new(this);
        Draw(canvas);
        return canvas.Finish();
    }
}
