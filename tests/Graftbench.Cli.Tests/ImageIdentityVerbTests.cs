using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using Graftbench.Tests.Shared.Firmware;

namespace Graftbench.Cli.Tests;

/// <summary><c>graftbench image trust, identity, combine, check</c>: files in and out, exit codes, what bad input is told.</summary>
public sealed class ImageIdentityVerbTests : IDisposable
{
    private const string Authority = "owner's order of 3 March 2026";
    private readonly TemporaryFolder folder = new();

    public ImageIdentityVerbTests()
    {
        byte[] own = Image(
            1,
            StoreBuilder.Record("SystemSerialNumber", Encoding.ASCII.GetBytes("GB-2203-77A41"), authenticated: true)
        );
        File.WriteAllBytes(Own, own);
        File.WriteAllBytes(Again, own);
        File.WriteAllBytes(Newer, Image(2));
    }

    private string Own => folder.File("own.bin");

    private string Again => folder.File("again.bin");

    private string Newer => folder.File("newer.bin");

    private string Out => folder.File("out.bin");

    public void Dispose() => folder.Dispose();

    // A variable volume, erased space, and a volume of code at the top: 256 KiB.
    private static byte[] Image(int version, params byte[][] records)
    {
        byte[] image = Bytes.Filled(0x40000, 0xFF);
        StoreBuilder.Volume(true, records).CopyTo(image, 0);
        byte[] top = Bytes.Filled(0x10000, 0xFF);
        VolumeBuilder.Header(VolumeBuilder.SmallFiles, top.Length).CopyTo(top, 0);
        byte[] code = VolumeBuilder.File("11111111-2222-4333-8444-555555555555", 0x01, Bytes.Noise(0x4000, version));
        code.CopyTo(top, 0x48);
        int at = (0x48 + code.Length + 7) & ~7;
        VolumeBuilder.Top(top.Length - at).CopyTo(top, at);
        top.CopyTo(image, 0x30000);
        return image;
    }

    private Task<Run> CombineAsync(params string[] more) =>
        Bench.RunAsync(["image", "combine", "--newer", Newer, "--out", Out, "--authority", Authority, .. more]);

    private Task<Run> CombineBothAsync(params string[] more) =>
        CombineAsync(["--own", Own, "--own", Again, "--accept-proposals", .. more]);

    [Fact]
    public async Task Two_equal_reads_of_the_right_size_are_trusted()
    {
        Run run = (await Bench.RunAsync("image", "trust", Own, Again, "--capacity-mib", "0.25")).AssertFits();
        Assert.Equal((0, ""), (run.Code, run.Error));
        Assert.StartsWith("Trusted: 2 reads of 256 KiB are equal.", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task One_read_or_unlike_reads_or_no_capacity_end_with_one()
    {
        Assert.Equal(1, (await Bench.RunAsync("image", "trust", Own, "--capacity-mib", "0.25")).Code);
        Assert.Equal(1, (await Bench.RunAsync("image", "trust", Own, Again)).Code);
        Run unlike = await Bench.RunAsync("image", "trust", Own, Newer, "--capacity-mib", "0.25", "--json");
        Assert.Equal(1, unlike.Code);
        using JsonDocument json = JsonDocument.Parse(unlike.Out);
        Assert.Equal("not-trusted", json.RootElement.GetProperty("state").GetString());
        Assert.Equal(64, json.RootElement.GetProperty("map").GetProperty("signs").GetString()!.Length);
        Assert.Equal(1, json.RootElement.GetProperty("pairs").GetArrayLength());
    }

    [Fact]
    public async Task Bad_input_is_told_all_at_once_and_writes_nothing()
    {
        Run twice = await Bench.RunAsync("image", "trust", Own, Own, folder.File("nothing.bin"), folder.Path);
        Assert.Equal(2, twice.Code);
        Assert.Contains("the same file as", twice.Says, StringComparison.Ordinal);
        Assert.Contains("there is no such file", twice.Says, StringComparison.Ordinal);
        Assert.Contains("this is a folder", twice.Says, StringComparison.Ordinal);
        if (File.Exists("/dev/zero"))
        {
            // A device has no length to ask for, and no end.
            Run endless = await Bench.RunAsync("image", "trust", "/dev/zero", Own);
            Assert.Equal(2, endless.Code);
            Assert.Contains("256 MiB", endless.Says, StringComparison.Ordinal);
        }
        Assert.Equal(2, (await Bench.RunAsync("image", "trust", Own, Again, "--capacity-mib", "-1")).Code);
        Assert.Equal(2, (await CombineBothAsync("--serial", "AB")).Code);
        Assert.Equal(2, (await CombineBothAsync("--uuid", "1234")).Code);
        Assert.Equal(2, (await CombineBothAsync("--mac", "FF:FF:FF:FF:FF:FF")).Code);
        Run unknown = await CombineBothAsync("--take", "variable-Nothing");
        Assert.Equal(2, unknown.Code);
        Assert.Contains("variable-SystemSerialNumber", unknown.Says, StringComparison.Ordinal);
        Assert.False(File.Exists(Out));
    }

    [Fact]
    public async Task A_combination_is_written_with_its_hashes_and_origin()
    {
        string map = folder.File("origin.json");
        Run run = (await CombineBothAsync("--origin", map)).AssertFits();
        Assert.True(run.Code == 0, run.Out + run.Error);
        Assert.StartsWith("Made: 1 of 1 proposals carried, every check holds.", run.Out, StringComparison.Ordinal);
        Assert.Contains(Authority, run.Out, StringComparison.Ordinal);
        byte[] made = await File.ReadAllBytesAsync(Out);
        Assert.Contains(Convert.ToHexStringLower(SHA256.HashData(made)), run.Out, StringComparison.Ordinal);
        using JsonDocument origin = JsonDocument.Parse(await File.ReadAllTextAsync(map));
        Assert.Equal(Authority, origin.RootElement.GetProperty("authority").GetString());
        Assert.Equal(
            made.Length,
            origin.RootElement.GetProperty("runs").EnumerateArray().Sum(one => one.GetProperty("length").GetInt32())
        );
        Assert.True(made.AsSpan().IndexOf("GB-2203-77A41"u8) > 0);
        // The inputs stay as they were, and no part of a file is left.
        Assert.Equal(await File.ReadAllBytesAsync(Own), await File.ReadAllBytesAsync(Again));
        Assert.Equal(
            ["again.bin", "newer.bin", "origin.json", "out.bin", "own.bin"],
            Directory.EnumerateFiles(folder.Path).Select(Path.GetFileName).Order()
        );
    }

    [Fact]
    public async Task Nothing_that_exists_is_written_over()
    {
        byte[] before = await File.ReadAllBytesAsync(Newer);
        foreach (string target in new[] { Own, Newer })
        {
            Run run = await Bench.RunAsync([
                "image",
                "combine",
                "--own",
                Own,
                "--own",
                Again,
                "--newer",
                Newer,
                "--out",
                target,
                "--accept-proposals",
                "--authority",
                Authority,
            ]);
            Assert.Equal(2, run.Code);
            Assert.Contains("exists already", run.Says, StringComparison.Ordinal);
        }
        Assert.Equal(before, await File.ReadAllBytesAsync(Newer));
        Run both = await CombineBothAsync("--origin", Out);
        Assert.Equal(2, both.Code);
        Assert.Contains("named twice", both.Says, StringComparison.Ordinal);
    }

    [Fact]
    public async Task One_read_ends_with_one_and_says_to_read_again()
    {
        Run run = await CombineAsync("--own", Own, "--accept-proposals");
        Assert.Equal(1, run.Code);
        Assert.Contains("One read of the board was given", run.Out, StringComparison.Ordinal);
        Assert.True(File.Exists(Out));
    }

    [Fact]
    public async Task A_refusal_writes_nothing()
    {
        byte[] unlike = await File.ReadAllBytesAsync(Own);
        unlike[0x31000] ^= 1;
        await File.WriteAllBytesAsync(Again, unlike);
        Run run = (await CombineBothAsync()).AssertFits();
        Assert.Equal(1, run.Code);
        Assert.StartsWith("Refused, nothing was made:", run.Out, StringComparison.Ordinal);
        Assert.False(File.Exists(Out));
    }

    [Fact]
    public async Task Without_authority_nothing_is_made()
    {
        Run blank = await Bench.RunAsync([
            "image",
            "combine",
            "--own",
            Own,
            "--newer",
            Newer,
            "--out",
            Out,
            "--accept-proposals",
            "--authority",
            " ",
        ]);
        Assert.Equal(2, blank.Code);
        Run none = await Bench.RunAsync([
            "image",
            "combine",
            "--own",
            Own,
            "--newer",
            Newer,
            "--out",
            Out,
            "--accept-proposals",
        ]);
        Assert.Equal(2, none.Code);
        Assert.Contains("--authority", none.Says, StringComparison.Ordinal);
        Assert.False(File.Exists(Out));
    }

    [Fact]
    public async Task Proposals_are_listed_and_written_as_data()
    {
        Run words = (await Bench.RunAsync("image", "identity", "--own", Own, "--newer", Newer)).AssertFits();
        Assert.Equal(0, words.Code);
        Assert.Contains("variable-SystemSerialNumber, confidence 0.92", words.Out, StringComparison.Ordinal);
        Run data = await Bench.RunAsync("image", "identity", "--own", Own, "--newer", Newer, "--json");
        using JsonDocument json = JsonDocument.Parse(data.Out);
        Assert.Equal("GB-2203-77A41", json.RootElement.GetProperty("proposals")[0].GetProperty("looks").GetString());
    }

    [Fact]
    public async Task A_read_back_is_exact_or_not()
    {
        Run exact = (await Bench.RunAsync("image", "check", "--intended", Own, "--readback", Again)).AssertFits();
        Assert.Equal(0, exact.Code);
        Assert.StartsWith("Exact", exact.Out, StringComparison.Ordinal);
        Run not = (
            await Bench.RunAsync("image", "check", "--intended", Newer, "--readback", Own, "--before", Again)
        ).AssertFits();
        Assert.Equal(1, not.Code);
        Assert.Contains("nothing was written", not.Out, StringComparison.Ordinal);
    }
}
