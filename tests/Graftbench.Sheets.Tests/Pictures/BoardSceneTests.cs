using Graftbench.Core.Jobs;
using Graftbench.Sheets.Drawing;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Sheets.Tests.Pictures;

public class BoardSceneTests
{
    private static readonly string[] First = ["C108", "J111", "U125", "C152"];

    [Theory, InlineData(400), InlineData(600), InlineData(1200)]
    public void No_label_lies_on_another_and_those_that_matter_are_there(int widthPx)
    {
        BoardScene scene = new(
            Boards.TwoHundred(),
            [Boards.Chip("U1", 120, 70)],
            new BoardPictureOptions { RemoveFirst = First, WidthPx = widthPx }
        );
        for (int i = 0; i < scene.Labels.Count; i++)
        {
            for (int j = 0; j < i; j++)
            {
                Assert.False(
                    scene.Labels[i].Placed.Box.Meets(scene.Labels[j].Placed.Box),
                    $"{scene.Labels[i].Text} on {scene.Labels[j].Text}"
                );
            }
        }
        Assert.All(
            First.Select(name => "× " + name).Append("U1"),
            name => Assert.Contains(scene.Labels, label => label.Text == name)
        );
        Assert.Equal(201, scene.Labels.Count + scene.LabelsLeftOut);
    }

    [Fact]
    public void A_wider_picture_names_more_parts()
    {
        int narrow = new BoardScene(Boards.TwoHundred(), [], new BoardPictureOptions { WidthPx = 400 }).Labels.Count;
        int wide = new BoardScene(Boards.TwoHundred(), [], new BoardPictureOptions { WidthPx = 1200 }).Labels.Count;
        Assert.True(narrow < wide, $"{narrow} {wide}");
    }

    [Fact]
    public void Corner_A1_is_upper_left_and_turns_with_the_body()
    {
        Assert.Equal((-1, -1), Side(0));
        Assert.Equal((-1, 1), Side(90));
        Assert.Equal((1, 1), Side(180));
        Assert.Equal((1, -1), Side(270));

        static (int X, int Y) Side(double turn)
        {
            Body body = new(new Pt(100, 100), 10, 10, turn);
            Pt corner = body.At(-1, 1);
            return (Math.Sign(corner.X - 100), Math.Sign(corner.Y - 100));
        }
    }

    [Fact]
    public void Up_on_the_board_is_up_on_the_picture()
    {
        Board board = Boards.OnePart() with
        {
            Parts =
            [
                Boards.Part("LOW", PartKind.Other, 10, 3, 2, 2),
                Boards.Part("HIGH", PartKind.Other, 10, 20, 2, 2),
            ],
        };
        BoardScene scene = new(board, [], new BoardPictureOptions());
        Assert.True(Y("HIGH") < Y("LOW"));

        double Y(string name) => scene.Parts.Find(part => part.Part.Ref == name)!.Body.Centre.Y;
    }

    [Fact]
    public void Neighbours_are_those_inside_the_dotted_line()
    {
        Board board = Boards.Arcade() with
        {
            Parts =
            [
                Boards.Part("NEAR", PartKind.Other, 82 + 13.5 + 9.5 + 1, 52, 2, 2),
                Boards.Part("FAR", PartKind.Other, 82 + 13.5 + 10.5 + 1, 52, 2, 2),
            ],
        };
        BoardScene scene = new(board, [Boards.Chip()], new BoardPictureOptions());
        Assert.True(scene.Parts.Find(part => part.Part.Ref == "NEAR")!.Neighbour);
        Assert.False(scene.Parts.Find(part => part.Part.Ref == "FAR")!.Neighbour);
    }

    [Fact]
    public void A_part_without_a_place_or_far_off_the_board_is_named_not_drawn()
    {
        Board board = Boards.OnePart() with
        {
            Parts =
            [
                Boards.Part("LOST", PartKind.Other, null, null, 2, 2),
                Boards.Part("OFF", PartKind.Other, 900, 900, 2, 2),
            ],
        };
        BoardScene scene = new(board, [Boards.Chip() with { XMm = null }], new BoardPictureOptions());
        Assert.Empty(scene.Parts);
        Assert.Equal(["chip U1", "LOST", "OFF"], scene.NotShown);
        Assert.Contains(
            "No place on the board given: chip U1, LOST, OFF.",
            BoardPicture.Svg(board, [Boards.Chip() with { XMm = null }]),
            StringComparison.Ordinal
        );
    }
}
