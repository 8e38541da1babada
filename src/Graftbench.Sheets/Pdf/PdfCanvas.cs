using Graftbench.Sheets.Drawing;
using PdfSharp.Drawing;

namespace Graftbench.Sheets.Pdf;

/// <summary>Draws a picture into a page as vectors.</summary>
/// <param name="graphics">The page.</param>
/// <param name="left">Left edge of the picture on the page.</param>
/// <param name="top">Top edge of the picture on the page.</param>
/// <param name="scale">Points for one unit of the picture.</param>
internal sealed class PdfCanvas(XGraphics graphics, double left, double top, double scale) : ICanvas
{
    // Where a circle's quarter has its control points.
    private const double Kappa = 0.5522847498;

    public static XColor Colour(Ink ink, double opacity = 1)
    {
        (byte red, byte green, byte blue) = Inks.OnPaper(ink);
        return XColor.FromArgb((int)Math.Round(255 * opacity), red, green, blue);
    }

    public void Begin(string name, string? title = null) { }

    public void End() { }

    public void Line(IReadOnlyList<Pt> points, bool closed, Look look)
    {
        if (points.Count > 1)
        {
            XGraphicsPath path = new();
            Add(path, points, closed);
            Paint(path, look);
        }
    }

    public void Shapes(IReadOnlyList<IReadOnlyList<Pt>> shapes, Look look)
    {
        XGraphicsPath path = new() { FillMode = XFillMode.Winding };
        foreach (IReadOnlyList<Pt> shape in shapes.Where(shape => shape.Count > 2))
        {
            Add(path, shape, true);
        }
        Paint(path, look);
    }

    public void Strokes(IReadOnlyList<Seg> strokes, Look look)
    {
        if (look.Stroke is null)
        {
            return;
        }
        // One by one: a path of the writer would join each stroke to the next.
        XPen pen = Pen(look);
        foreach (Seg s in strokes)
        {
            graphics.DrawLine(pen, X(s.X1), Y(s.Y1), X(s.X2), Y(s.Y2));
        }
    }

    public void Rect(Box box, double radius, Look look)
    {
        if (box.Width <= 0 || box.Height <= 0)
        {
            return;
        }
        XRect area = new(X(box.X), Y(box.Y), box.Width * scale, box.Height * scale);
        double corner = 2 * Math.Min(radius, Math.Min(box.Width, box.Height) / 2) * scale;
        XPen? pen = look.Stroke is null ? null : Pen(look);
        XBrush? brush = look.Fill is Ink fill ? new XSolidBrush(Colour(fill, look.Opacity)) : null;
        if (corner > 0)
        {
            graphics.DrawRoundedRectangle(pen, brush, area, new XSize(corner, corner));
        }
        else
        {
            graphics.DrawRectangle(pen, brush, area);
        }
    }

    public void Circle(Pt centre, double radius, Look look)
    {
        XGraphicsPath path = new();
        AddCircle(path, centre, radius);
        Paint(path, look);
    }

    public void Dots(IReadOnlyList<Pt> centres, double radius, Ink ink)
    {
        if (centres.Count == 0)
        {
            return;
        }
        XGraphicsPath path = new() { FillMode = XFillMode.Winding };
        foreach (Pt centre in centres)
        {
            AddCircle(path, centre, radius);
        }
        graphics.DrawPath(new XSolidBrush(Colour(ink)), path);
    }

    public void Text(Pt at, string text, TextLook look, string? boldLead = null)
    {
        string lead = boldLead is null ? "" : PdfText.Ready(boldLead + " ", true);
        string rest = PdfText.Ready(text, look.Bold);
        double size = look.Size;
        double leadWidth = SheetText.Width(lead, size, true);
        double width = leadWidth + SheetText.Width(rest, size, look.Bold);
        double x = look.Anchor switch
        {
            Anchor.Middle => at.X - (width / 2),
            Anchor.End => at.X - width,
            _ => at.X,
        };
        if (look.Halo && width > 0)
        {
            // A pale plate does for paper what the outline of the letters does on a screen.
            XRect plate = new(X(x - 1), Y(at.Y - (size * 0.8)), (width + 2) * scale, size * scale);
            graphics.DrawRectangle(new XSolidBrush(Colour(Ink.Paper, 0.72)), plate);
        }
        XSolidBrush brush = new(Colour(look.Ink));
        if (lead.Length > 0)
        {
            graphics.DrawString(lead, SheetFonts.Font(size * scale, true), brush, X(x), Y(at.Y));
        }
        if (rest.Length > 0)
        {
            graphics.DrawString(rest, SheetFonts.Font(size * scale, look.Bold), brush, X(x + leadWidth), Y(at.Y));
        }
    }

    private double X(double x) => left + ((double.IsFinite(x) ? x : 0) * scale);

    private double Y(double y) => top + ((double.IsFinite(y) ? y : 0) * scale);

    private void Add(XGraphicsPath path, IReadOnlyList<Pt> points, bool closed)
    {
        path.StartFigure();
        path.AddLines([.. points.Select(p => new XPoint(X(p.X), Y(p.Y)))]);
        if (closed)
        {
            path.CloseFigure();
        }
    }

    private void AddCircle(XGraphicsPath path, Pt centre, double radius)
    {
        double x = X(centre.X);
        double y = Y(centre.Y);
        double r = radius * scale;
        double k = r * Kappa;
        path.StartFigure();
        path.AddBezier(x + r, y, x + r, y + k, x + k, y + r, x, y + r);
        path.AddBezier(x, y + r, x - k, y + r, x - r, y + k, x - r, y);
        path.AddBezier(x - r, y, x - r, y - k, x - k, y - r, x, y - r);
        path.AddBezier(x, y - r, x + k, y - r, x + r, y - k, x + r, y);
        path.CloseFigure();
    }

    private void Paint(XGraphicsPath path, Look look)
    {
        if (look.Fill is Ink fill)
        {
            graphics.DrawPath(new XSolidBrush(Colour(fill, look.Opacity)), path);
        }
        if (look.Stroke is not null)
        {
            graphics.DrawPath(Pen(look), path);
        }
    }

    private XPen Pen(Look look)
    {
        XPen pen = new(Colour(look.Stroke ?? Ink.Text, look.Opacity), look.Width * scale)
        {
            LineJoin = XLineJoin.Round,
        };
        if (look.Dash != Dash.Solid)
        {
            // The pattern counts in widths of the line.
            pen.DashPattern = look.Dash == Dash.Dashed ? [4, 2.5] : [1, 2];
        }
        return pen;
    }
}
