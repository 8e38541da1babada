using System.Diagnostics;
using System.Text;
using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Variables;

namespace Graftbench.Firmware.Tests.Combining;

/// <summary>
/// Free firmware in a PC emulator, by software alone: an older image runs and gets variables of its own; they are carried into a
/// pristine image, which then starts, and its shell finds them. The store is read again from the flash that the emulator wrote.
/// </summary>
public sealed class BootTests
{
    private const string Vendor = "7d5f0c1e-2b7a-4b7e-9b8e-3f2a61d0c001";
    private const string Serial = "GB-2203-77A41";
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(120);
    private static readonly byte[] Uuid = Convert.FromHexString("4B1D8C0E7A3F4E5D9A6B0C1D2E3F4A5B");

    /// <summary>Images to carry the variables into: as long as the old one, and larger with another store.</summary>
    public static readonly TheoryData<string> Targets = ["same length", "larger"];

    [Theory, MemberData(nameof(Targets))]
    public async Task A_combined_image_starts_and_has_the_carried_variables_once_each(string target)
    {
        using Machine machine = new();
        byte[] pristine = Sample("usr/share/ovmf/OVMF.fd");
        // An older build where this Debian still has one.
        string older = Samples.PathOf("older/usr/share/ovmf/OVMF.fd");
        byte[] old = File.Exists(older) ? await File.ReadAllBytesAsync(older) : pristine;
        // The old machine: its firmware runs and writes its own variables; the shell adds two that are the machine's.
        byte[] own = await machine.RunAsync(
            old,
            $"setvar SystemSerialNumber -guid {Vendor} -nv -bs -rt =\"{Serial}\"",
            $"setvar BoardUuid -guid {Vendor} -nv -bs -rt ={Convert.ToHexString(Uuid)}"
        );
        byte[] newer =
            target == "larger"
                ? [.. Sample("usr/share/OVMF/OVMF_VARS_4M.fd"), .. Sample("usr/share/OVMF/OVMF_CODE_4M.fd")]
                : pristine;
        CombineAnswer answer = Combiner.Combine(
            CombinerTests.Request(own, newer) with
            {
                ChipBytes = newer.Length,
                Known = Known(),
            }
        );
        Assert.True(answer.State == CombineState.Made, answer.Summary);
        Assert.Equal(["variable-BoardUuid", "variable-SystemSerialNumber"], answer.Taken.Order());
        AssertCarried(answer.Image!.Value, records: 2);

        byte[] after = await machine.RunAsync(answer.Image.Value.ToArray());

        string listed = machine.Listed();
        Assert.Contains(
            $"'{Vendor.ToUpperInvariant()}:SystemSerialNumber' DataSize = 0x0D",
            listed,
            StringComparison.OrdinalIgnoreCase
        );
        Assert.Contains(Serial, listed, StringComparison.Ordinal);
        Assert.Contains(
            $"'{Vendor.ToUpperInvariant()}:BoardUuid' DataSize = 0x10",
            listed,
            StringComparison.OrdinalIgnoreCase
        );
        Assert.Equal(newer.Length, after.Length);
        // The firmware has added its own variables by now; the carried ones still stand once each.
        AssertCarried(after, records: null);
        Assert.NotEqual(answer.Image.Value.ToArray(), after);
    }

    private static KnownIdentity Known() => KnownIdentity.None with { Serials = [Serial] };

    private static void AssertCarried(ReadOnlyMemory<byte> image, int? records)
    {
        VariableStore store = ImageReader.Read(image).VariableStores.Single(one => one.Role == StoreRole.Main);
        foreach (
            (string name, byte[] value) in new[]
            {
                ("SystemSerialNumber", Encoding.ASCII.GetBytes(Serial)),
                ("BoardUuid", Uuid),
            }
        )
        {
            VariableRecord record = Assert.Single(
                store.Records,
                one => one.Name == name && one.Vendor == Guid.Parse(Vendor)
            );
            Assert.Equal((true, (byte)0x3F, 7u), (record.IsLive, record.StateByte, record.Attributes));
            Assert.Equal(value, IdentityFinder.Data(store, record).ToArray());
        }
        Assert.Equal(records ?? store.Records.Count, store.Records.Count);
    }

    private static byte[] Sample(string path) => File.ReadAllBytes(Samples.PathOf(path));

    /// <summary>An emulated PC with one flash chip and one small disk.</summary>
    private sealed class Machine : IDisposable
    {
        private readonly string folder = Directory.CreateTempSubdirectory("graftbench-boot-").FullName;

        /// <summary>Starts the firmware, lets its shell run lines, list the variables and switch off.</summary>
        /// <returns>The flash afterwards.</returns>
        public async Task<byte[]> RunAsync(byte[] flash, params string[] lines)
        {
            string chip = Path.Combine(folder, "flash.bin");
            string disk = Path.Combine(folder, "disk");
            Directory.CreateDirectory(disk);
            File.Delete(Path.Combine(disk, "vars.txt"));
            await File.WriteAllBytesAsync(chip, flash);
            await File.WriteAllTextAsync(
                Path.Combine(disk, "startup.nsh"),
                string.Join("\r\n", ["fs0:", .. lines, @"dmpstore -all > fs0:\vars.txt", "reset -s", ""])
            );
            ProcessStartInfo start = new(Program())
            {
                UseShellExecute = false,
                RedirectStandardOutput = true,
                RedirectStandardError = true,
                RedirectStandardInput = true,
            };
            string[] arguments =
            [
                "-machine",
                "pc,accel=tcg",
                "-m",
                "256",
                "-nographic",
                "-net",
                "none",
                "-no-reboot",
                "-drive",
                $"if=pflash,format=raw,file={chip}",
                "-drive",
                $"format=raw,file=fat:rw:{disk}",
            ];
            foreach (string argument in arguments)
            {
                start.ArgumentList.Add(argument);
            }
            using Process process = Process.Start(start)!;
            Task<string> output = process.StandardOutput.ReadToEndAsync();
            Task<string> error = process.StandardError.ReadToEndAsync();
            using CancellationTokenSource patience = new(Patience);
            try
            {
                await process.WaitForExitAsync(patience.Token);
            }
            catch (OperationCanceledException)
            {
                process.Kill(entireProcessTree: true);
                await process.WaitForExitAsync();
                string last = Tail(await output) + await error;
                Assert.Fail($"not done after {Patience.TotalSeconds} s; last words: {last}");
            }
            string words = Tail(await output) + await error;
            Assert.True(File.Exists(Path.Combine(disk, "vars.txt")), $"the shell did not run: {words}");
            return await File.ReadAllBytesAsync(chip);
        }

        /// <summary>What the shell listed.</summary>
        public string Listed() =>
            Encoding.Unicode.GetString(File.ReadAllBytes(Path.Combine(folder, "disk", "vars.txt")));

        public void Dispose() => Directory.Delete(folder, recursive: true);

        private static string Tail(string text) => text[Math.Max(0, text.Length - 500)..];

        private static string Program() =>
            Environment.GetEnvironmentVariable("GRAFTBENCH_QEMU") is { Length: > 0 } given
                ? given
                : "qemu-system-x86_64";
    }
}
