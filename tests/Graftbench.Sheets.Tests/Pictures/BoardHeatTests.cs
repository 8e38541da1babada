using System.Globalization;
using System.Xml.Linq;
using Graftbench.Core.Jobs;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Sheets.Tests.Pictures;

/// <summary>Copper, heater, nozzle and shields stand where the job says, and in words for those who cannot see them.</summary>
public class BoardHeatTests
{
    private static readonly XNamespace Ns = "http://www.w3.org/2000/svg";

    private static XElement Draw(Board board, BoardPictureOptions options) =>
        XElement.Parse(BoardPicture.Svg(board, [Boards.Chip("U1", 50, 30)], options));

    private static XElement[] Groups(XElement root, string name) =>
        [
            .. root.Descendants(Ns + "g")
                .Where(group => ((string?)group.Attribute("class"))?.Contains(name, StringComparison.Ordinal) == true),
        ];

    private static double Number(XElement element, string name) =>
        double.Parse((string)element.Attribute(name)!, CultureInfo.InvariantCulture);

    [Fact]
    public void Copper_regions_stand_at_their_edges()
    {
        Board board = Boards.Shielded();
        BoardScene scene = new(board, [], new BoardPictureOptions());
        XElement[] drawn = Groups(Draw(board, new BoardPictureOptions()), "copper");
        Assert.Equal(2, drawn.Length);
        XElement rich = drawn[0].Element(Ns + "rect")!;
        // The rich region begins in the board's lower left corner: 40 of 100 mm long, 20 of 60 mm wide.
        Assert.Equal(scene.Area.X, Number(rich, "x"), 0.1);
        Assert.Equal(scene.Area.Bottom, Number(rich, "y") + Number(rich, "height"), 0.1);
        Assert.Equal(scene.Area.Width * 0.4, Number(rich, "width"), 0.1);
        Assert.Equal(scene.Area.Height / 3, Number(rich, "height"), 0.1);
        Assert.Equal("More copper than elsewhere, 40 mm × 20 mm", (string?)drawn[0].Element(Ns + "title"));
    }

    [Fact]
    public void Heater_lines_end_where_the_picture_ends_and_the_rest_is_said()
    {
        XElement root = Draw(Boards.Shielded(), new BoardPictureOptions { Heater = Boards.Heater() });
        string words = (string)root.Element(Ns + "desc")!;
        Assert.Contains("Heater below, 90 mm × 120 mm, zones: left, right (off)", words, StringComparison.Ordinal);
        Assert.Contains("reaches beyond the picture", words, StringComparison.Ordinal);
        Assert.Single(Groups(root, "heater"));
        Assert.Empty(Groups(Draw(Boards.Shielded(), new BoardPictureOptions()), "heater"));
    }

    [Fact]
    public void A_heater_inside_the_board_is_not_said_to_reach_further()
    {
        BottomHeater small = new() { LengthMm = 60, WidthMm = 30 };
        XElement root = Draw(Boards.Shielded(), new BoardPictureOptions { Heater = small });
        Assert.DoesNotContain("beyond", (string)root.Element(Ns + "desc")!, StringComparison.Ordinal);
    }

    [Fact]
    public void Shields_are_in_the_words_of_their_part_and_in_the_key()
    {
        string svg = BoardPicture.Svg(Boards.Shielded(), []);
        Assert.Contains("C1: aluminium electrolytic", svg, StringComparison.Ordinal);
        foreach (string shield in (string[])["under metal foil", "under a metal cover", "under polyimide tape"])
        {
            // Once as the part's title, once in the key.
            Assert.Equal(2, svg.Split(shield).Length - 1);
        }
    }

    [Fact]
    public void A_round_nozzle_is_a_circle_of_its_diameter()
    {
        BoardPictureOptions options = new() { Nozzle = new NozzleOutline(50, 30, 24, 24, Round: true) };
        XElement circle = Assert.Single(Groups(Draw(Boards.Shielded(), options), "nozzle")).Element(Ns + "circle")!;
        BoardScene scene = new(Boards.Shielded(), [], options);
        Assert.Equal(12 * scene.PxPerMm, Number(circle, "r"), 0.1);
        Assert.Equal(scene.Area.X + (scene.Area.Width / 2), Number(circle, "cx"), 0.1);
    }
}
