using System.Globalization;
using System.Text;
using QRCoder;

namespace Graftbench.Web.Network;

/// <summary>A text as a square picture that a phone's camera reads.</summary>
public sealed record QrPicture
{
    private QrPicture(int cells, string path)
    {
        Cells = cells;
        Path = path;
    }

    /// <summary>Width and height with the quiet border [cells].</summary>
    public int Cells { get; }

    /// <summary>The dark cells as a path of an SVG picture, one unit a cell.</summary>
    public string Path { get; }

    /// <summary>Draws a text.</summary>
    public static QrPicture Of(string text)
    {
        using QRCodeData code = QRCodeGenerator.GenerateQrCode(text, QRCodeGenerator.ECCLevel.M);
        // The library puts the quiet border into the matrix: four cells on every side.
        int cells = code.ModuleMatrix.Count;
        StringBuilder path = new();
        for (int y = 0; y < cells; y++)
        {
            for (int x = 0; x < cells; x++)
            {
                if (code.ModuleMatrix[y][x])
                {
                    path.Append(CultureInfo.InvariantCulture, $"M{x} {y}h1v1h-1z");
                }
            }
        }
        return new QrPicture(cells, path.ToString());
    }
}
