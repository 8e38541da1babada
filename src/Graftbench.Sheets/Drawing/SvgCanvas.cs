using System.Text;

namespace Graftbench.Sheets.Drawing;

/// <summary>Draws a picture as SVG. Colours are custom properties of the page with print colours to fall back on.</summary>
internal sealed class SvgCanvas : ICanvas
{
    private readonly SvgWriter writer = new();

    public SvgCanvas(Picture picture)
    {
        writer
            .Open("svg")
            .Attribute("xmlns", "http://www.w3.org/2000/svg")
            .Attribute("class", picture.Description.Length == 0 ? "gb-sign" : "gb-picture")
            .Attribute("role", picture.Description.Length == 0 ? null : "img")
            .Attribute("aria-hidden", picture.Description.Length == 0 ? "true" : null)
            .Attribute("viewBox", $"0 0 {SvgWriter.Number(picture.Width)} {SvgWriter.Number(picture.Height)}")
            .Attribute("font-family", "'Liberation Sans', Arial, Helvetica, sans-serif");
        if (picture.Description.Length > 0)
        {
            writer.Open("title").Text(picture.Title).Close();
            writer.Open("desc").Text(picture.Description).Close();
        }
    }

    public string Finish() => writer.Finish();

    public void Begin(string name, string? title = null)
    {
        writer.Open("g").Attribute("class", "gb-" + name);
        if (title is not null)
        {
            writer.Open("title").Text(title).Close();
        }
    }

    public void End() => writer.Close();

    public void Line(IReadOnlyList<Pt> points, bool closed, Look look)
    {
        StringBuilder path = new();
        Append(path, points, closed);
        Path(path, look);
    }

    public void Shapes(IReadOnlyList<IReadOnlyList<Pt>> shapes, Look look)
    {
        StringBuilder path = new();
        foreach (IReadOnlyList<Pt> shape in shapes)
        {
            Append(path, shape, true);
        }
        Path(path, look);
    }

    public void Strokes(IReadOnlyList<Seg> strokes, Look look)
    {
        StringBuilder path = new();
        foreach (Seg s in strokes)
        {
            path.Append('M').Append(SvgWriter.Number(s.X1)).Append(' ').Append(SvgWriter.Number(s.Y1));
            path.Append('L').Append(SvgWriter.Number(s.X2)).Append(' ').Append(SvgWriter.Number(s.Y2));
        }
        Path(path, look);
    }

    public void Rect(Box box, double radius, Look look)
    {
        writer
            .Open("rect")
            .Attribute("x", box.X)
            .Attribute("y", box.Y)
            .Attribute("width", Math.Max(0, box.Width))
            .Attribute("height", Math.Max(0, box.Height))
            .Attribute("rx", radius > 0 ? SvgWriter.Number(radius) : null);
        Paint(look);
        writer.Close();
    }

    public void Circle(Pt centre, double radius, Look look)
    {
        writer.Open("circle").Attribute("cx", centre.X).Attribute("cy", centre.Y).Attribute("r", Math.Max(0, radius));
        Paint(look);
        writer.Close();
    }

    // Strokes of no length with round ends: a tenth of the text that as many circles would take.
    public void Dots(IReadOnlyList<Pt> centres, double radius, Ink ink)
    {
        StringBuilder path = new();
        foreach (Pt p in centres)
        {
            path.Append('M').Append(SvgWriter.Number(p.X)).Append(' ').Append(SvgWriter.Number(p.Y)).Append("h0");
        }
        if (path.Length > 0)
        {
            writer
                .Open("path")
                .Attribute("d", path.ToString())
                .Attribute("fill", "none")
                .Attribute("stroke", Inks.Var(ink))
                .Attribute("stroke-width", 2 * radius)
                .Attribute("stroke-linecap", "round")
                .Close();
        }
    }

    public void Text(Pt at, string text, TextLook look, string? boldLead = null)
    {
        writer
            .Open("text")
            .Attribute("x", at.X)
            .Attribute("y", at.Y)
            .Attribute("font-size", look.Size)
            .Attribute("font-weight", look.Bold ? "700" : null)
            .Attribute(
                "text-anchor",
                look.Anchor == Anchor.Start ? null
                    : look.Anchor == Anchor.Middle ? "middle"
                    : "end"
            )
            .Attribute("fill", Inks.Var(look.Ink));
        if (look.Halo)
        {
            writer
                .Attribute("stroke", Inks.Var(Ink.Paper))
                .Attribute("stroke-width", look.Size * 0.34)
                .Attribute("stroke-linejoin", "round")
                .Attribute("paint-order", "stroke");
        }
        if (look.TurnDeg != 0)
        {
            writer.Attribute(
                "transform",
                $"rotate({SvgWriter.Number(look.TurnDeg)} {SvgWriter.Number(at.X)} {SvgWriter.Number(at.Y)})"
            );
        }
        if (boldLead is not null)
        {
            writer.Open("tspan").Attribute("font-weight", "700").Text(boldLead + " ").Close();
        }
        writer.Text(text).Close();
    }

    private static void Append(StringBuilder path, IReadOnlyList<Pt> points, bool closed)
    {
        for (int i = 0; i < points.Count; i++)
        {
            path.Append(i == 0 ? 'M' : 'L')
                .Append(SvgWriter.Number(points[i].X))
                .Append(' ')
                .Append(SvgWriter.Number(points[i].Y));
        }
        if (closed && points.Count > 0)
        {
            path.Append('Z');
        }
    }

    private void Path(StringBuilder path, Look look)
    {
        if (path.Length > 0)
        {
            writer.Open("path").Attribute("d", path.ToString());
            Paint(look);
            writer.Close();
        }
    }

    private void Paint(Look look)
    {
        writer.Attribute("fill", look.Fill is Ink fill ? Inks.Var(fill) : "none");
        if (look.Stroke is Ink stroke)
        {
            writer
                .Attribute("stroke", Inks.Var(stroke))
                .Attribute("stroke-width", look.Width)
                .Attribute("stroke-linejoin", "round");
            double w = Math.Max(0.6, look.Width);
            writer.Attribute(
                "stroke-dasharray",
                look.Dash switch
                {
                    Dash.Dashed => $"{SvgWriter.Number(w * 4)} {SvgWriter.Number(w * 2.5)}",
                    Dash.Dotted => $"{SvgWriter.Number(w)} {SvgWriter.Number(w * 2)}",
                    _ => null,
                }
            );
        }
        if (look.Opacity < 1)
        {
            writer.Attribute("opacity", look.Opacity);
        }
    }
}
