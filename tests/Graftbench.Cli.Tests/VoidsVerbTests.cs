using System.Buffers.Binary;
using System.Text.Json;
using Graftbench.Shared.Vision;

namespace Graftbench.Cli.Tests;

/// <summary><c>graftbench voids</c>: answers by ball name, exit codes, the marked picture, and what bad input is told.</summary>
public sealed class VoidsVerbTests : IDisposable
{
    private static readonly string[] Field = ["--rows", "5", "--columns", "6", "--pitch", "1", "--a1", "upper-left"];
    private static readonly XrayLook Look = new()
    {
        Rows = 5,
        Columns = 6,
        PxPerMm = 50,
    };
    private readonly string folder = Directory.CreateTempSubdirectory("graftbench-voids-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public async Task Whole_joints_end_with_zero_and_say_what_is_not_promised()
    {
        Run run = await Bench.RunAsync(["voids", Write(Look with { VoidShare = 0 }), .. Field]);
        Assert.Equal((0, ""), (run.Code, run.Error));
        Assert.Contains("30 joints: none missing, joined or over the limit", run.Out, StringComparison.Ordinal);
        Assert.Contains("IPC-A-610E", run.Out, StringComparison.Ordinal);
        Assert.Contains("cannot promise", run.Out.ReplaceLineEndings(" "), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_missing_and_a_joined_joint_end_with_one_and_are_marked()
    {
        string marked = Path.Combine(folder, "marked.png");
        Run run = await Bench.RunAsync([
            "voids",
            Write(Look with { MissingNumber = 1, BridgeNumber = 1 }),
            .. Field,
            "--criterion",
            "ipc-7095-class-3",
            "--json",
            "-o",
            marked,
        ]);
        Assert.Equal((1, ""), (run.Code, run.Error));
        using JsonDocument answer = JsonDocument.Parse(run.Out);
        JsonElement[] joints = [.. answer.RootElement.GetProperty("joints").EnumerateArray()];
        Assert.Equal(30, joints.Length);
        Assert.Single(joints, joint => joint.GetProperty("state").GetString() == "missing");
        Assert.Equal(2, joints.Count(joint => joint.GetProperty("state").GetString() == "joined"));
        Assert.Equal("E6", joints[^1].GetProperty("name").GetString());
        Assert.Equal(9, answer.RootElement.GetProperty("limit").GetProperty("areaPercent").GetDouble());
        byte[] png = await File.ReadAllBytesAsync(marked, TestContext.Current.CancellationToken);
        Assert.Equal([0x89, (byte)'P', (byte)'N', (byte)'G'], png[..4]);
    }

    [Theory]
    [InlineData("--rows 2 --columns 6 --pitch 1", "--rows 2: must be from 3 to 100")]
    [InlineData("--rows 5 --columns 6 --pitch 9", "--pitch 9: must be from 0.1 to 5 mm")]
    [InlineData("--rows 5 --columns 6", "--pitch is missing")]
    [InlineData("--rows 5 --pitch 1", "--columns")]
    [InlineData("--rows 5 --columns 6 --pitch 1 --empty-rows 2", "together")]
    [InlineData("--rows 5 --columns 6 --pitch 1 --criterion mine", "mine")]
    [InlineData("--rows 5 --columns 6 --pitch 1 --a1 north", "north")]
    public async Task Wrong_options_end_with_two(string options, string says)
    {
        Run run = await Bench.RunAsync(["voids", Write(Look), .. options.Split(' ')]);
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains(says, run.Error.ReplaceLineEndings(" "), StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_is_no_picture_ends_with_two()
    {
        string text = Path.Combine(folder, "joints.png");
        await File.WriteAllTextAsync(text, "rows of balls", TestContext.Current.CancellationToken);
        Run run = await Bench.RunAsync(["voids", text, .. Field]);
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains("joints.png: This is", run.Error, StringComparison.Ordinal);
        Run none = await Bench.RunAsync(["voids", Path.Combine(folder, "none.png"), .. Field]);
        Assert.Equal((2, ""), (none.Code, none.Out));
    }

    [Fact]
    public async Task The_picture_itself_is_never_written_over()
    {
        string picture = Write(Look);
        byte[] before = await File.ReadAllBytesAsync(picture, TestContext.Current.CancellationToken);
        Run run = await Bench.RunAsync(["voids", picture, .. Field, "-o", picture]);
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Equal(before, await File.ReadAllBytesAsync(picture, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task A_picture_without_joints_ends_with_one_and_says_what_to_change()
    {
        string blank = Path.Combine(folder, "blank.bmp");
        await File.WriteAllBytesAsync(
            blank,
            Bitmap(200, 150, new float[200 * 150]),
            TestContext.Current.CancellationToken
        );
        Run run = await Bench.RunAsync(["voids", blank, .. Field]);
        Assert.Equal((1, ""), (run.Code, run.Error));
        Assert.Contains("Cannot judge this picture", run.Out, StringComparison.Ordinal);
        Assert.Contains("whole ball field", run.Out.ReplaceLineEndings(" "), StringComparison.Ordinal);
    }

    private string Write(XrayLook look)
    {
        MadeXray made = XrayMaker.Make(look);
        string path = Path.Combine(folder, "joints.bmp");
        File.WriteAllBytes(path, Bitmap(made.WidthPx, made.HeightPx, made.Grey));
        return path;
    }

    // Eight bits with a grey palette, rows from the lowest.
    private static byte[] Bitmap(int width, int height, float[] grey)
    {
        const int Head = 14 + 40 + 1024;
        int stride = (width + 3) / 4 * 4;
        byte[] file = new byte[Head + stride * height];
        "BM"u8.CopyTo(file);
        BinaryPrimitives.WriteInt32LittleEndian(file.AsSpan(2), file.Length);
        BinaryPrimitives.WriteInt32LittleEndian(file.AsSpan(10), Head);
        BinaryPrimitives.WriteInt32LittleEndian(file.AsSpan(14), 40);
        BinaryPrimitives.WriteInt32LittleEndian(file.AsSpan(18), width);
        BinaryPrimitives.WriteInt32LittleEndian(file.AsSpan(22), height);
        file[26] = 1;
        file[28] = 8;
        for (int i = 0; i < 256; i++)
        {
            file.AsSpan(54 + 4 * i, 3).Fill((byte)i);
        }
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                file[Head + (height - 1 - y) * stride + x] = (byte)
                    Math.Clamp(Math.Round(255 * grey[y * width + x]), 0, 255);
            }
        }
        return file;
    }
}
