using SkiaSharp;

namespace Graftbench.Vision.Marking;

/// <summary>The few letters that marks need, as strokes: no font has to be on the machine.</summary>
internal static class StrokeLetters
{
    // Points in a box 4 wide and 6 high, y down; strokes are parted by a space.
    private static readonly Dictionary<char, string> Strokes = new()
    {
        ['M'] = "0,6;0,0;2,3;4,0;4,6",
        ['U'] = "0,0;0,5;1,6;3,6;4,5;4,0",
        ['O'] = "1,0;3,0;4,1;4,5;3,6;1,6;0,5;0,1;1,0",
        ['J'] = "1,0;4,0 3,0;3,5;2,6;1,6;0,5",
        ['S'] = "4,1;3,0;1,0;0,1;0,2;1,3;3,3;4,4;4,5;3,6;1,6;0,5",
        ['?'] = "0,1;1,0;3,0;4,1;4,2;2,3.4;2,4.2 2,5.6;2,6",
        ['A'] = "0,6;2,0;4,6 0.8,4;3.2,4",
        ['1'] = "1,1;2,0;2,6 1,6;3,6",
        ['V'] = "0,0;2,6;4,0",
        ['X'] = "0,0;4,6 4,0;0,6",
        ['L'] = "0,0;0,6;4,6",
        ['.'] = "2,5.6;2,6",
    };

    /// <summary>Path of a text whose first letter's upper left corner is at a place.</summary>
    public static SKPath Path(string text, float x, float y, float heightPx)
    {
        using SKPathBuilder path = new();
        float unit = heightPx / 6;
        foreach (char letter in text)
        {
            foreach (
                string stroke in (Strokes.GetValueOrDefault(letter) ?? "").Split(
                    ' ',
                    StringSplitOptions.RemoveEmptyEntries
                )
            )
            {
                bool first = true;
                foreach (string point in stroke.Split(';'))
                {
                    string[] at = point.Split(',');
                    float px = x + unit * float.Parse(at[0], System.Globalization.CultureInfo.InvariantCulture);
                    float py = y + unit * float.Parse(at[1], System.Globalization.CultureInfo.InvariantCulture);
                    if (first)
                    {
                        path.MoveTo(px, py);
                    }
                    else
                    {
                        path.LineTo(px, py);
                    }
                    first = false;
                }
            }
            x += 5.4f * unit;
        }
        return path.Detach();
    }
}
