using System.Text;
using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Showing;
using Graftbench.Firmware.Tests.Identity;
using Graftbench.Firmware.Tree;
using Graftbench.Tests.Shared.Firmware;

namespace Graftbench.Firmware.Tests.Showing;

public sealed class ShownTests
{
    public static TheoryData<string> Small => [.. SmallImages.All.Keys];

    [Theory, MemberData(nameof(Small))]
    public void Parts_cover_every_byte_once_whatever_the_image(string name)
    {
        byte[] image = SmallImages.All[name];
        AssertTiles(image);
        for (int seed = 0; seed < 40; seed++)
        {
            byte[] spoiled = [.. image];
            Random random = new(seed);
            for (int i = 0; i < 8; i++)
            {
                spoiled[random.Next(spoiled.Length)] = (byte)random.Next(256);
            }
            AssertTiles(spoiled[..random.Next(1, spoiled.Length + 1)]);
        }
    }

    private static void AssertTiles(byte[] image)
    {
        int next = 0;
        foreach (ImagePart part in ImageParts.Of(ImageReader.Read(image)))
        {
            Assert.Equal(next, part.Range.Start);
            Assert.False(part.Range.IsEmpty);
            next = part.Range.End;
        }
        Assert.Equal(image.Length, next);
    }

    [Fact]
    public void Parts_of_a_chip_are_told_apart()
    {
        ImageTree tree = ImageReader.Read(
            new MadeMachine(1) { Address = MachineValues.Of(1).Address }
                .AddDecoys(used: true)
                .Chip()
        );
        IReadOnlyList<ImagePart> parts = ImageParts.Of(tree);
        PartClass At(int offset) => parts.First(part => part.Range.Contains(offset)).Class;
        Assert.Equal(PartClass.Descriptor, At(0x20));
        Assert.Equal(PartClass.Machine, At(0x1000));
        Assert.Equal(PartClass.Machine, At(0x5000));
        Assert.Equal(PartClass.Variables, At(MadeMachine.RegionAt + 0x100));
        Assert.Equal(PartClass.Code, At(MadeMachine.RegionAt + MadeMachine.CodeAt + 0x1000));
        Assert.Equal(PartClass.Free, At(MadeMachine.RegionAt + MadeMachine.CodeAt + 0x1F000));
    }

    [Fact]
    public void A_place_in_unpacked_contents_has_the_path_of_its_packed_part_first()
    {
        ImageTree tree = ImageReader.Read(SmallImages.All["packed-lzma"]);
        Assert.True(tree.Spaces.Count > 1);
        PlaceInImage place = PlaceInImage.Of(tree, 1, 0)!;
        Assert.Same(tree.Root, place.Path[0]);
        Assert.Contains(place.Path, segment => segment.Kind == SegmentKind.Packed);
        Assert.Null(PlaceInImage.Of(tree, 0, tree.File.Bytes.Length));
        Assert.Null(PlaceInImage.Of(tree, tree.Spaces.Count, 0));
    }

    [Fact]
    public void Rows_of_a_dump_hold_the_bytes_from_the_row_of_the_offset()
    {
        byte[] bytes = [.. Enumerable.Range(0, 40).Select(i => (byte)(i + 0x20))];
        IReadOnlyList<HexRow> rows = HexDump.Rows(bytes, 17);
        Assert.Equal([16, 32], rows.Select(row => row.Start));
        Assert.Equal(("30", "0123456789:;<=>?"), (rows[0].Hex[0], rows[0].Text));
        Assert.Equal(8, rows[1].Hex.Count);
    }

    [Fact]
    public void Control_characters_are_shown_and_marks_of_direction_are_dots()
    {
        Assert.Equal("a␇b·c␡", ShownText.Of("a\u0007b\u202Ec\u007F"));
        Assert.Equal("", ShownText.Of((string?)null));
        Assert.Equal("variable store", ShownText.Of(SegmentKind.VariableStore));
    }

    [Theory]
    [InlineData("84000", 0x84000)]
    [InlineData(" 0x10 ", 0x10)]
    [InlineData("1000h", 0x1000)]
    [InlineData("FFFFFFFF", null)]
    [InlineData("xyz", null)]
    [InlineData("", null)]
    public void Offsets_are_read_as_typed(string text, int? wanted) => Assert.Equal(wanted, ShownText.Offset(text));

    [Fact]
    public void Files_that_are_no_raw_image_are_told()
    {
        Assert.NotNull(RawImage.Problem([]));
        Assert.NotNull(RawImage.Problem([(byte)'P', (byte)'K', 3, 4, 0]));
        Assert.NotNull(RawImage.Problem(Encoding.ASCII.GetBytes(":020000040000FA\n:00000001FF\n")));
        Assert.NotNull(RawImage.Problem(Encoding.ASCII.GetBytes("S00600004844521B\r\nS9030000FC\r\n")));
        Assert.Null(RawImage.Problem([0xFF]));
        Assert.Null(RawImage.Problem(Encoding.ASCII.GetBytes(":this is a byte image that begins with a colon")));
    }

    [Fact]
    public void Typed_marks_of_a_machine_are_read_and_what_is_none_is_named()
    {
        (KnownIdentity known, IReadOnlyList<string> none) = KnownIdentityText.Read(
            "GB-1234, MB-99887",
            "7D5F0C1E-2B7A-4B7E-9B8E-3F2A61D0C001",
            "02:00:5E:10:20:30"
        );
        Assert.Empty(none);
        Assert.Equal((2, 1, 1), (known.Serials.Count, known.Uuids.Count, known.Addresses.Count));
        (_, IReadOnlyList<string> problems) = KnownIdentityText.Read("abc", "no", "FF:FF:FF:FF:FF:FF");
        Assert.Equal(3, problems.Count);
    }
}
