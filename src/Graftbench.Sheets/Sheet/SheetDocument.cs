using Graftbench.Core.Findings;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Sheet;

/// <summary>A sheet before it is set as HTML or PDF: content and order exist once.</summary>
/// <param name="Title">Title of the document.</param>
/// <param name="RunningHead">One line that every printed page carries.</param>
/// <param name="Blocks">Content in its order.</param>
internal sealed record SheetDocument(string Title, string RunningHead, IReadOnlyList<Block> Blocks);

/// <summary>A piece of a sheet.</summary>
internal abstract record Block;

/// <summary>A heading; level 1 is the title.</summary>
internal sealed record Heading(int Level, string Text) : Block;

/// <summary>A paragraph.</summary>
internal sealed record Paragraph(string Text, bool Bold = false, bool Small = false) : Block;

/// <summary>The verdict in one large line.</summary>
internal sealed record Banner(Verdict Verdict, string Text) : Block;

/// <summary>Names with their values.</summary>
internal sealed record Facts(IReadOnlyList<Fact> Items) : Block;

/// <summary>A name with its value; a missing one stands out.</summary>
internal sealed record Fact(string Name, string Value, bool Missing = false);

/// <summary>Items to tick with a pen.</summary>
internal sealed record TickList(IReadOnlyList<string> Items) : Block;

/// <summary>Short sentences one below the other.</summary>
internal sealed record Bullets(IReadOnlyList<string> Items) : Block;

/// <summary>Pictures side by side.</summary>
/// <param name="Items">The pictures.</param>
/// <param name="WidthShare">Share of the page's width that the row takes.</param>
internal sealed record PictureRow(IReadOnlyList<Figure> Items, double WidthShare = 1) : Block
{
    public PictureRow(Picture picture, double widthShare)
        : this([new Figure(picture)], widthShare) { }
}

/// <summary>A picture, with a line under it where the text around does not already name it.</summary>
internal sealed record Figure(Picture Picture, string? Caption = null);

/// <summary>A table.</summary>
/// <param name="Caption">What it holds.</param>
/// <param name="Columns">Heads with their shares of the width.</param>
/// <param name="Rows">Cells, as many a row as there are columns.</param>
/// <param name="ForPen">True where the rows are written by pen and need room.</param>
internal sealed record Table(
    string Caption,
    IReadOnlyList<Column> Columns,
    IReadOnlyList<IReadOnlyList<Cell>> Rows,
    bool ForPen = false
) : Block;

/// <summary>A column's head and its share of the width.</summary>
internal sealed record Column(string Head, double Share);

/// <summary>A cell: its lines, perhaps a verdict's sign before them, perhaps a box to tick.</summary>
internal sealed record Cell(IReadOnlyList<string> Lines, Verdict? Sign = null, bool Bold = false, bool Tick = false)
{
    public Cell(params string[] lines)
        : this((IReadOnlyList<string>)lines) { }
}

/// <summary>Lines to sign on.</summary>
internal sealed record SignLines(IReadOnlyList<string> Names) : Block;
