using System.Text.Json;

namespace Graftbench.Cli.Tests;

/// <summary><c>graftbench image</c>: listing, searching, the question for a processor, exit codes, bad input.</summary>
public sealed class ImageVerbTests
{
    private static string Image(string name) => Path.Combine(Bench.Root, "tests/corpus/firmware", name + ".bin");

    [Fact]
    public async Task An_image_is_listed_with_its_parts_and_findings()
    {
        Run run = (await Bench.RunAsync("image", "show", Image("board"))).AssertFits();
        Assert.Equal((0, ""), (run.Code, run.Error));
        Assert.Contains("57344 bytes, SHA-256 ", run.Out, StringComparison.Ordinal);
        foreach (
            string part in (string[])
                ["flash descriptor", "platform data", "address 02:00:5E:10:20:30", "variable store", "BenchDriver"]
        )
        {
            Assert.Contains(part, run.Out, StringComparison.Ordinal);
        }
        Assert.Contains("unpacked", run.Out, StringComparison.Ordinal);
        Assert.DoesNotContain("section header", run.Out, StringComparison.Ordinal);
        Run all = (await Bench.RunAsync("image", "show", Image("board"), "--all")).AssertFits();
        Assert.Contains("section header", all.Out, StringComparison.Ordinal);
        Assert.Contains("live, added (3Fh)", all.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_tree_as_data_covers_the_file_once()
    {
        Run run = await Bench.RunAsync("image", "show", Image("board"), "--json");
        using JsonDocument document = JsonDocument.Parse(run.Out);
        JsonElement space = document.RootElement.GetProperty("spaces")[0];
        Assert.Equal(57344, Leaves(space.GetProperty("root")).Sum());
        Assert.Equal(2, document.RootElement.GetProperty("spaces").GetArrayLength());
        Assert.Equal(64, document.RootElement.GetProperty("sha256").GetString()!.Length);
    }

    [Fact]
    public async Task Damage_ends_with_one()
    {
        byte[] image = await File.ReadAllBytesAsync(Image("files"));
        image[0x32] ^= 1;
        Run run = (await Bench.RunAsync(image, ["image", "show", "-"])).AssertFits();
        Assert.Equal(1, run.Code);
        Assert.Contains(
            "fix first  0x00000000  The header of a firmware volume does not sum to 0.",
            run.Out,
            StringComparison.Ordinal
        );
        Assert.Contains("[uefi-pi-volumes]", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Text_and_bytes_are_found_with_their_places()
    {
        Run text = (await Bench.RunAsync("image", "show", Image("board"), "--text", "SN=BENCH00012345")).AssertFits();
        Assert.Equal(0, text.Code);
        Assert.Contains("1 place", text.Out, StringComparison.Ordinal);
        Assert.Contains("0x00003010  ASCII   of the file: platform data", text.Out, StringComparison.Ordinal);
        Run bytes = await Bench.RunAsync("image", "show", Image("board"), "--find", "02:00:5E:10:20:30");
        Assert.Contains("2 places", bytes.Out, StringComparison.Ordinal);
        Run none = await Bench.RunAsync("image", "show", Image("board"), "--text", "not in there");
        Assert.Equal(1, none.Code);
    }

    [Theory]
    [InlineData(0, "YES", "updates", "906EA")]
    [InlineData(0, "YES", "packed-lzma", "0x000906EA")]
    [InlineData(1, "UNKNOWN", "tables", "906EA")]
    public async Task The_question_for_a_processor_has_three_answers(
        int code,
        string answer,
        string image,
        string signature
    )
    {
        Run run = (await Bench.RunAsync("image", "knows", Image(image), "--signature", signature)).AssertFits();
        Assert.Equal((code, ""), (run.Code, run.Error));
        Assert.StartsWith(answer + "  processor 000906EA, family 6h, model 9Eh", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_no_names_other_steppings_and_goes_out_as_data_too()
    {
        byte[] image = new byte[0x10000];
        byte[] update = (await File.ReadAllBytesAsync(Image("updates")))[0x100..0x900];
        byte[] top = await File.ReadAllBytesAsync(Image("tables"));
        update.CopyTo(image, 0);
        top.CopyTo(image, image.Length - top.Length);
        Run run = (await Bench.RunAsync(image, ["image", "knows", "-", "--signature", "906E9"])).AssertFits();
        Assert.Equal(1, run.Code);
        Assert.StartsWith("NO  ", run.Out, StringComparison.Ordinal);
        Run data = await Bench.RunAsync(image, ["image", "knows", "-", "--signature", "906E9", "--json"]);
        using JsonDocument document = JsonDocument.Parse(data.Out);
        Assert.Equal("no", document.RootElement.GetProperty("answer").GetString());
        Assert.Equal(1, document.RootElement.GetProperty("otherSteppings").GetArrayLength());
    }

    [Theory]
    [InlineData("this is no signature", "image", "knows", "x.bin", "--signature", "hello")]
    [InlineData("platforms have numbers 0 to 7", "image", "knows", "x.bin", "--signature", "906EA", "--platform", "8")]
    [InlineData("no such file", "image", "show", "not-there.bin")]
    [InlineData("these are no bytes", "image", "show", "x.bin", "--find", "5")]
    [InlineData("either --text or --find", "image", "show", "x.bin", "--find", "55", "--text", "a")]
    [InlineData("leave out --text and --find", "image", "show", "x.bin", "--find", "55", "--json")]
    [InlineData("is required", "image", "knows", "x.bin")]
    public async Task Bad_input_ends_with_two_and_says_what_to_write(string says, params string[] arguments)
    {
        Run run = (await Bench.RunAsync(arguments)).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains(says, run.Says, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_gigabyte_is_refused_before_it_is_read()
    {
        using TemporaryFolder folder = new();
        string path = folder.File("large.bin");
        await using (FileStream stream = File.Create(path))
        {
            stream.SetLength(1L << 30);
        }
        Run run = (await Bench.RunAsync("image", "show", path)).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains(
            "1073741824 bytes are more than an image may have (256 MiB",
            run.Says,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task An_image_without_bytes_is_answered()
    {
        Run run = (await Bench.RunAsync([], ["image", "show", "-"])).AssertFits();
        Assert.Equal(1, run.Code);
        Assert.Contains("The image has no bytes.", run.Out, StringComparison.Ordinal);
    }

    private static IEnumerable<int> Leaves(JsonElement segment) =>
        segment.TryGetProperty("parts", out JsonElement parts)
            ? parts.EnumerateArray().SelectMany(Leaves)
            : [segment.GetProperty("length").GetInt32()];
}
