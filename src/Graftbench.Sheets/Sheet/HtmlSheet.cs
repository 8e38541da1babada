using System.Text;
using Graftbench.Sheets.Drawing;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Sheets.Sheet;

/// <summary>Sets a sheet as one HTML file: style and pictures inside, no script, nothing fetched.</summary>
internal static class HtmlSheet
{
    public static string Write(SheetDocument document)
    {
        StringBuilder html = new();
        html.Append("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
        html.Append("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n");
        html.Append("<meta name=\"color-scheme\" content=\"light dark\">\n");
        html.Append("<title>")
            .Append(Escape(document.Title))
            .Append("</title>\n<style>")
            .Append(SheetStyle.Css)
            .Append("</style>\n</head>\n<body>\n");
        html.Append("<p class=\"running\">").Append(Escape(document.RunningHead)).Append("</p>\n<main>\n");
        foreach (Block block in document.Blocks)
        {
            Write(html, block);
        }
        return html.Append("</main>\n</body>\n</html>\n").ToString();
    }

    /// <summary>Escapes a text for content and attribute values alike.</summary>
    public static string Escape(string? text)
    {
        StringBuilder safe = new();
        foreach (char c in SheetText.Clean(text))
        {
            _ = c switch
            {
                '&' => safe.Append("&amp;"),
                '<' => safe.Append("&lt;"),
                '>' => safe.Append("&gt;"),
                '"' => safe.Append("&quot;"),
                '\'' => safe.Append("&#39;"),
                _ => safe.Append(c),
            };
        }
        return safe.ToString();
    }

    private static void Write(StringBuilder html, Block block)
    {
        switch (block)
        {
            case Heading heading:
                html.Append($"<h{heading.Level} dir=\"auto\">")
                    .Append(Escape(heading.Text))
                    .Append($"</h{heading.Level}>\n");
                break;
            case Paragraph paragraph:
                string kind = (paragraph.Bold, paragraph.Small) switch
                {
                    (true, _) => " class=\"strong\"",
                    (_, true) => " class=\"small\"",
                    _ => "",
                };
                html.Append($"<p{kind} dir=\"auto\">").Append(Escape(paragraph.Text)).Append("</p>\n");
                break;
            case Banner banner:
                html.Append($"<p class=\"banner {banner.Verdict.ToString().ToLowerInvariant()}\">")
                    .Append(VerdictSign.Svg(banner.Verdict));
                html.Append("<strong>")
                    .Append(Escape(TradeWords.Of(banner.Verdict)))
                    .Append("</strong> <span>")
                    .Append(Escape(banner.Text))
                    .Append("</span></p>\n");
                break;
            case Facts facts:
                html.Append("<dl>\n");
                foreach (Fact fact in facts.Items)
                {
                    html.Append(fact.Missing ? "<div class=\"missing\"><dt>" : "<div><dt>").Append(Escape(fact.Name));
                    html.Append("</dt><dd dir=\"auto\">").Append(Escape(fact.Value)).Append("</dd></div>\n");
                }
                html.Append("</dl>\n");
                break;
            case TickList list:
                html.Append("<ul class=\"ticks\">\n");
                foreach (string item in list.Items)
                {
                    html.Append("<li><span class=\"box\" aria-hidden=\"true\"></span><span dir=\"auto\">")
                        .Append(Escape(item))
                        .Append("</span></li>\n");
                }
                html.Append("</ul>\n");
                break;
            case Bullets bullets:
                html.Append("<ul>\n");
                foreach (string item in bullets.Items)
                {
                    html.Append("<li dir=\"auto\">").Append(Escape(item)).Append("</li>\n");
                }
                html.Append("</ul>\n");
                break;
            case PictureRow pictures:
                string row = pictures.Items.Count > 1 ? " row" : "";
                html.Append($"<div class=\"pictures w{(int)Math.Round(pictures.WidthShare * 100)}{row}\">\n");
                foreach (Figure figure in pictures.Items)
                {
                    html.Append("<figure>").Append(figure.Picture.Svg());
                    if (figure.Caption is not null)
                    {
                        html.Append("<figcaption dir=\"auto\">").Append(Escape(figure.Caption)).Append("</figcaption>");
                    }
                    html.Append("</figure>\n");
                }
                html.Append("</div>\n");
                break;
            case Table table:
                Write(html, table);
                break;
            case SignLines lines:
                html.Append("<div class=\"sign\">");
                foreach (string name in lines.Names)
                {
                    html.Append("<p>").Append(Escape(name)).Append("</p>");
                }
                html.Append("</div>\n");
                break;
        }
    }

    private static void Write(StringBuilder html, Table table)
    {
        html.Append(table.ForPen ? "<table class=\"pen\">\n<caption dir=\"auto\">" : "<table>\n<caption dir=\"auto\">")
            .Append(Escape(table.Caption))
            .Append("</caption>\n<colgroup>");
        foreach (Column column in table.Columns)
        {
            // Shares are classes, not style attributes, so that the sheet also shows under a strict policy.
            html.Append($"<col class=\"w{(int)Math.Round(column.Share * 100)}\">");
        }
        html.Append("</colgroup>\n<thead><tr>");
        foreach (Column column in table.Columns)
        {
            html.Append("<th scope=\"col\">").Append(Escape(column.Head)).Append("</th>");
        }
        html.Append("</tr></thead>\n<tbody>\n");
        foreach (IReadOnlyList<Cell> row in table.Rows)
        {
            html.Append("<tr>");
            foreach (Cell cell in row)
            {
                html.Append(cell.Bold ? "<td class=\"strong\" dir=\"auto\">" : "<td dir=\"auto\">");
                if (cell.Sign is { } sign)
                {
                    html.Append(VerdictSign.Svg(sign));
                }
                if (cell.Tick)
                {
                    html.Append("<span class=\"box\" role=\"img\" aria-label=\"to tick\"></span>");
                }
                for (int i = 0; i < cell.Lines.Count; i++)
                {
                    html.Append(i == 0 ? "" : "<br>").Append(Escape(cell.Lines[i]));
                }
                html.Append("</td>");
            }
            html.Append("</tr>\n");
        }
        html.Append("</tbody>\n</table>\n");
    }
}
