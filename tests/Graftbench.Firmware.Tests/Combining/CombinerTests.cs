using System.Security.Cryptography;
using System.Text.Json;
using CsCheck;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tests.Identity;
using Graftbench.Firmware.Variables;
using Graftbench.Tests.Shared.Firmware;
using static Graftbench.Tests.Shared.Firmware.Bytes;

namespace Graftbench.Firmware.Tests.Combining;

/// <summary>A newer image and a machine's own identity put together, on invented images.</summary>
public sealed class CombinerTests
{
    internal static CombineRequest Request(byte[] own, byte[] newer) =>
        new(
            [new DumpRead("own.bin", own), new DumpRead("own2.bin", own.ToArray())],
            new DumpRead("newer.bin", newer),
            [],
            KnownIdentity.None,
            "order of the owner",
            AcceptProposals: true,
            [],
            []
        );

    internal static CombineAnswer Combine(byte[] own, byte[] newer) => Combiner.Combine(Request(own, newer));

    private static string Codes(CombineAnswer answer) => string.Join(' ', answer.Findings.Select(one => one.Code));

    [Theory, MemberData(nameof(IdentityFinderTests.Cases), MemberType = typeof(IdentityFinderTests))]
    public void Every_constructed_pair_is_combined_and_every_check_holds(string name)
    {
        for (int seed = 1; seed <= 3; seed++)
        {
            IdentityFinderTests.Pair pair = IdentityFinderTests.Make(name, seed);
            CombineAnswer answer = Combiner.Combine(
                Request(pair.Own, pair.Newer) with
                {
                    Known = pair.Known,
                    Others = [.. pair.Others.Select(one => new DumpRead("other.bin", one))],
                }
            );
            Assert.True(answer.State == CombineState.Made, $"{answer.Summary} {Codes(answer)}");
            Assert.Equal(pair.Wanted.Order(), answer.Taken.Order());
            Assert.Equal(pair.Newer.Length, answer.Image!.Value.Length);
            Assert.Equal(13, answer.Checks.Count);
            Assert.All(answer.Checks, check => Assert.True(check.Passed, check.Name + check.Words));
            Assert.True(answer.Origin!.Tiles());
            Assert.Equal(
                answer.Hashes[^1].Sha256,
                Convert.ToHexStringLower(SHA256.HashData(answer.Origin.Rebuild(pair.Own, pair.Newer)!))
            );
        }
    }

    [Fact]
    public void Descriptor_engine_network_and_platform_data_are_the_boards_own_and_code_is_the_newer_images()
    {
        IdentityFinderTests.Pair pair = IdentityFinderTests.Make("everything", 5);
        byte[] image = Combine(pair.Own, pair.Newer).Image!.Value.ToArray();
        const int Firmware = MadeMachine.RegionAt;
        Assert.Equal(pair.Own[..Firmware], image[..Firmware]);
        int code = Firmware + MadeMachine.CodeAt;
        Assert.Equal(pair.Newer[code..], image[code..]);
        Assert.NotEqual(pair.Own[code..], image[code..]);
    }

    [Fact]
    public void Inputs_are_left_as_they_are()
    {
        IdentityFinderTests.Pair pair = IdentityFinderTests.Make("everything", 6);
        byte[] own = [.. pair.Own];
        byte[] newer = [.. pair.Newer];
        Combine(own, newer);
        Assert.Equal(pair.Own, own);
        Assert.Equal(pair.Newer, newer);
    }

    [Theory]
    [InlineData(false, true)]
    [InlineData(true, false)]
    [InlineData(false, false)]
    [InlineData(true, true)]
    public void Records_move_between_kinds_of_stores_by_a_new_header(bool ownAuthenticated, bool newerAuthenticated)
    {
        byte[] own = new MadeMachine(1, ownAuthenticated)
            .Add("SystemSerialNumber", Ascii("GB-2203-77A41"))
            .Add("BoardSku", Ascii("K1"))
            .Plain();
        byte[] newer = new MadeMachine(2, newerAuthenticated).Plain();
        CombineAnswer answer = Combine(own, newer);
        Assert.Equal(CombineState.Made, answer.State);
        VariableStore store = ImageReader.Read(answer.Image!.Value).VariableStores.Single();
        Assert.Equal(newerAuthenticated, store.Authenticated);
        VariableRecord record = store.Records.Single(one => one.Name == "SystemSerialNumber");
        Assert.True(record.IsLive);
        Assert.Equal("GB-2203-77A41"u8.ToArray(), IdentityFinder.Data(store, record).ToArray());
        Assert.Equal((7u, 0ul, 0u), (record.Attributes, record.MonotonicCount, record.PublicKeyIndex));
        if (newerAuthenticated)
        {
            // EDK II, VariableFormat.h: time stamp at 10h.
            Assert.All(
                answer.Image.Value.Slice(record.TimeStampRange.Start, 16).ToArray(),
                one => Assert.Equal(0, one)
            );
        }
        Assert.Equal(0, (record.Range.Start - store.Range.Start) % 4);
        Assert.Equal(0x3F, record.StateByte);
    }

    [Fact]
    public void The_written_record_is_the_one_that_the_layout_asks_for_byte_by_byte()
    {
        byte[] own = new MadeMachine(1, authenticated: false).Add("SystemSerialNumber", Ascii("GB-2203-77A41")).Plain();
        byte[] image = Combine(own, new MadeMachine(2).Plain()).Image!.Value.ToArray();
        byte[] expected = StoreBuilder.Record("SystemSerialNumber", Ascii("GB-2203-77A41"), authenticated: true);
        Assert.Equal(expected, image[0x64..(0x64 + expected.Length)]);
        Assert.All(image[(0x64 + expected.Length)..0xE000], one => Assert.Equal(0xFF, one));
    }

    [Fact]
    public void Deleted_and_replaced_records_of_the_newer_image_are_gone_and_its_live_ones_stay()
    {
        byte[] own = new MadeMachine(1).Add("SystemSerialNumber", Ascii("GB-2203-77A41")).Plain();
        byte[] newer = new MadeMachine(2)
            .Add("Fan", [1, 2, 3])
            .Add("SystemSerialNumber", Ascii("unset"))
            .Add("Old", Ascii("STALE"), state: 0x3C)
            .Add("Moving", [7], state: 0x3E)
            .Plain();
        CombineAnswer answer = Combine(own, newer);
        Assert.True(answer.State == CombineState.Made, Codes(answer));
        VariableStore store = ImageReader.Read(answer.Image!.Value).VariableStores.Single();
        Assert.Equal(["Fan", "Moving", "SystemSerialNumber"], store.Records.Select(one => one.Name));
        Assert.All(store.Records, one => Assert.Equal((true, (byte)0x3F), (one.IsLive, one.StateByte)));
        Assert.Equal(-1, answer.Image.Value.Span.IndexOf("STALE"u8));
        Assert.Contains(
            answer.Differences,
            one => one.Contains("2 deleted or replaced records", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void One_read_of_the_board_needs_a_person()
    {
        IdentityFinderTests.Pair pair = IdentityFinderTests.Make("serial in padding", 5);
        CombineAnswer answer = Combiner.Combine(
            Request(pair.Own, pair.Newer) with
            {
                Own = [new DumpRead("own.bin", pair.Own)],
            }
        );
        Assert.Equal(CombineState.NeedsPerson, answer.State);
        Assert.Single(answer.Findings, one => one.Code == "combine.one-read");
        Assert.NotNull(answer.Image);
    }

    [Fact]
    public void Reads_that_differ_are_refused()
    {
        IdentityFinderTests.Pair pair = IdentityFinderTests.Make("serial in padding", 5);
        byte[] second = [.. pair.Own];
        second[0x50000] ^= 4;
        CombineAnswer answer = Combiner.Combine(
            Request(pair.Own, pair.Newer) with
            {
                Own = [new DumpRead("a", pair.Own), new DumpRead("b", second)],
            }
        );
        Refused(answer, "dump.lone-bits");
    }

    [Fact]
    public void A_full_store_is_refused_with_the_name_of_the_largest()
    {
        byte[] own = new MadeMachine(1)
            .Add("SystemSerialNumber", Ascii("GB-2203-77A41"))
            .Add("PanelCalibration", Noise(3000, 1))
            .Plain();
        byte[] newer = new MadeMachine(2).Add("Filler", Noise(0xDFB8 - 0x1C - 0x3C - 14 - 2000, 1)).Plain();
        CombineAnswer answer = Combine(own, newer);
        Refused(answer, "combine.store-full");
        Assert.Contains("PanelCalibration", answer.Summary, StringComparison.Ordinal);
        // With the large one left it fits.
        Assert.Equal(
            CombineState.Made,
            Combiner.Combine(Request(own, newer) with { Leave = ["variable-PanelCalibration"] }).State
        );
    }

    [Theory]
    [InlineData("free space is not erased")]
    [InlineData("writing was interrupted")]
    public void A_store_that_cannot_take_records_is_refused(string why)
    {
        byte[] own = new MadeMachine(1).Add("SystemSerialNumber", Ascii("GB-2203-77A41")).Plain();
        MadeMachine newer = new(2);
        if (why.StartsWith("writing", StringComparison.Ordinal))
        {
            newer.Add("Half", [1], state: 0x7F);
        }
        byte[] bytes = newer.Plain();
        if (why.StartsWith("free", StringComparison.Ordinal))
        {
            bytes[0x8000] = 1;
        }
        CombineAnswer answer = Combine(own, bytes);
        Refused(answer, "combine.store");
        Assert.Contains(why, answer.Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void A_newer_image_that_is_damaged_is_refused()
    {
        byte[] newer = new MadeMachine(2).Plain();
        newer[0x2D] ^= 1;
        Assert.Equal(
            CombineState.Refused,
            Combine(new MadeMachine(1).Add("BoardSerial", Ascii("GB220377")).Plain(), newer).State
        );
        byte[] without = new MadeMachine(2).Plain();
        without[0x10] ^= 1;
        Refused(Combine(new MadeMachine(1).Add("BoardSerial", Ascii("GB220377")).Plain(), without), "combine.no-store");
        // An erased variable volume is no safe default.
        byte[] erased = new MadeMachine(2).Plain();
        erased.AsSpan(0x48, 0x1FFB8).Fill(0xFF);
        Assert.Equal(
            CombineState.Refused,
            Combine(new MadeMachine(1).Add("BoardSerial", Ascii("GB220377")).Plain(), erased).State
        );
    }

    [Fact]
    public void Another_chip_size_needs_a_person_until_it_is_given()
    {
        byte[] own = new MadeMachine(1).Add("SystemSerialNumber", Ascii("GB-2203-77A41")).Plain();
        byte[] newer = Join(new MadeMachine(2).Plain(), Filled(MadeMachine.Length, 0xFF));
        // The top of the larger image holds its code.
        newer
            .AsSpan(MadeMachine.CodeAt, MadeMachine.Length - MadeMachine.CodeAt)
            .CopyTo(newer.AsSpan(MadeMachine.Length + MadeMachine.CodeAt));
        CombineAnswer answer = Combine(own, newer);
        Assert.Equal(CombineState.NeedsPerson, answer.State);
        Finding finding = Assert.Single(answer.Findings, one => one.Code == "combine.chip-size");
        Assert.Equal(("2 MiB", "1 MiB"), (finding.Value, finding.Limit));
        Assert.Equal(newer.Length, answer.Image!.Value.Length);
        Assert.Equal(CombineState.Made, Combiner.Combine(Request(own, newer) with { ChipBytes = newer.Length }).State);
    }

    [Fact]
    public void Bytes_have_no_place_in_an_image_of_another_length()
    {
        IdentityFinderTests.Pair pair = IdentityFinderTests.Make("serial in padding", 5);
        byte[] own = new MadeMachine(1).Put(0x1000, Ascii("GBSERIAL004711")).Plain();
        byte[] newer = Join(pair.Newer, pair.Newer);
        CombineAnswer answer = Combiner.Combine(
            Request(own, newer) with
            {
                Known = IdentityFinderTests.Known("GBSERIAL004711"),
            }
        );
        Assert.Contains(
            "no place",
            Assert.Single(answer.Findings, one => one.Code == "combine.does-not-fit").What,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Passwords_and_the_network_block_cannot_be_left()
    {
        byte[] own = new MadeMachine(1) { Address = MachineValues.Of(1).Address }
            .Add("AdminPassword", Noise(32, 1))
            .Chip();
        byte[] newer = new MadeMachine(2).Chip();
        CombineAnswer made = Combine(own, newer);
        Assert.True(made.State == CombineState.Made, Codes(made));
        Assert.Contains("variable-AdminPassword", made.Taken);
        Refused(Combiner.Combine(Request(own, newer) with { Leave = ["variable-AdminPassword"] }), "combine.must-stay");
        Refused(Combiner.Combine(Request(own, newer) with { Leave = ["region-network"] }), "combine.must-stay");
        // Also without taking proposals a password stays.
        CombineAnswer none = Combiner.Combine(
            Request(own, newer) with
            {
                AcceptProposals = false,
                Take = ["region-network"],
            }
        );
        Assert.Contains("variable-AdminPassword", none.Taken);
    }

    [Fact]
    public void A_proposal_that_is_not_sure_needs_a_person_who_takes_or_leaves_it()
    {
        byte[] own = new MadeMachine(1).Add("Xyz", Ascii("GB220377A41")).Plain();
        byte[] newer = new MadeMachine(2).Plain();
        CombineAnswer asked = Combine(own, newer);
        Assert.Equal(CombineState.NeedsPerson, asked.State);
        Assert.Contains(
            "take it or leave it, by its name variable-Xyz",
            Assert.Single(asked.Findings, one => one.Code == "combine.person").Todo,
            StringComparison.Ordinal
        );
        Assert.Empty(asked.Taken);
        Assert.Equal(["variable-Xyz"], Combiner.Combine(Request(own, newer) with { Take = ["variable-Xyz"] }).Taken);
        Assert.Equal(CombineState.Made, Combiner.Combine(Request(own, newer) with { Leave = ["variable-Xyz"] }).State);
    }

    [Fact]
    public void An_unknown_id_and_a_missing_authority_are_the_callers_fault()
    {
        byte[] own = new MadeMachine(1).Plain();
        Assert.Contains(
            "variable-Nothing",
            Assert
                .Throws<ArgumentException>(() =>
                    Combiner.Combine(Request(own, own) with { Take = ["variable-Nothing"] })
                )
                .Message,
            StringComparison.Ordinal
        );
        Assert.Throws<ArgumentException>(() => Combiner.Combine(Request(own, own) with { Authority = "  " }));
        Assert.Throws<ArgumentException>(() => Combiner.Combine(Request(own, own) with { Own = [] }));
    }

    [Fact]
    public void Hostile_names_are_not_carried_and_said_by_name()
    {
        (string Name, byte[] Record)[] hostile =
        [
            ("control signs", StoreBuilder.Record("Serial\u0007\u001b[2J", Ascii("GB220377A41"), true)),
            ("is no text", StoreBuilder.Record("SerialX", Ascii("GB220377A41"), true)),
            ("more than 1024", StoreBuilder.Record("Serial" + new string('A', 600), Ascii("GB220377A41"), true)),
            ("does not end", StoreBuilder.Record("Serial\0hidden", Ascii("GB220377A41"), true)),
            ("does not end", StoreBuilder.Record("SerialOdd", Ascii("GB220377A41"), true)),
        ];
        // A lone half of a pair, and a name without its end mark.
        hostile[1].Record[0x3C + 12] = 0x00;
        hostile[1].Record[0x3C + 13] = 0xD8;
        hostile[4].Record[0x3C + 18] = 0x41;
        foreach ((string why, byte[] record) in hostile)
        {
            byte[] own = new MadeMachine(1).AddRecord(record).Plain();
            CombineAnswer answer = Combine(own, new MadeMachine(2).Plain());
            Assert.Equal(CombineState.NeedsPerson, answer.State);
            Finding finding = Assert.Single(answer.Findings, one => one.Code == "combine.does-not-fit");
            Assert.Contains(why, finding.What, StringComparison.Ordinal);
            Assert.DoesNotContain(finding.Where, char.IsControl);
            Assert.Empty(answer.Taken);
        }
    }

    [Fact]
    public void A_variable_that_stands_twice_is_not_guessed()
    {
        byte[] own = new MadeMachine(1)
            .Add("BoardSerial", Ascii("GB220377A41"))
            .Add("BoardSerial", Ascii("GB990377A42"))
            .Plain();
        CombineAnswer answer = Combine(own, new MadeMachine(2).Plain());
        Assert.Contains(
            "twice",
            Assert.Single(answer.Findings, one => one.Code == "combine.does-not-fit").What,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void The_origin_is_exported_whole()
    {
        IdentityFinderTests.Pair pair = IdentityFinderTests.Make("everything", 7);
        CombineAnswer answer = Combine(pair.Own, pair.Newer);
        using JsonDocument json = JsonDocument.Parse(answer.Origin!.ToJson());
        long next = 0;
        foreach (JsonElement run in json.RootElement.GetProperty("runs").EnumerateArray())
        {
            Assert.Equal(next, run.GetProperty("start").GetInt64());
            next += run.GetProperty("length").GetInt64();
        }
        Assert.Equal(pair.Newer.Length, next);
        Assert.Equal(answer.Hashes[^1].Sha256, json.RootElement.GetProperty("resultSha256").GetString());
        string[] lines = answer.Origin.ToCsv().TrimEnd('\n').Split('\n');
        Assert.Equal(answer.Origin.Runs.Count + 1, lines.Length);
        Assert.All(lines.Skip(1), line => Assert.Equal(6, line.Split(',', 6).Length));
    }

    [Fact]
    public void Any_set_of_variables_is_there_once_each() =>
        Gen.Select(Gen.Int[0, 12], Gen.Int[0, 6], Gen.Int[0, 100_000], Gen.Bool, Gen.Bool)
            .Sample(
                (mine, theirs, seed, ownKind, newerKind) =>
                {
                    Random random = new(seed);
                    MadeMachine own = new(1, ownKind);
                    MadeMachine newer = new(2, newerKind);
                    byte[] states = [0x3F, 0x3F, 0x3C, 0x3D, 0x3E];
                    for (int i = 0; i < mine; i++)
                    {
                        own.Add(
                            $"Serial{i}",
                            Noise(random.Next(1, 400), random.Next()),
                            states[random.Next(states.Length)]
                        );
                    }
                    for (int i = 0; i < theirs; i++)
                    {
                        newer.Add(
                            $"Serial{random.Next(20)}n",
                            Noise(random.Next(1, 90), random.Next()),
                            states[random.Next(states.Length)]
                        );
                    }
                    CombineAnswer answer = Combine(own.Plain(), newer.Plain());
                    Assert.NotEqual(CombineState.Refused, answer.State);
                    VariableStore was = ImageReader.Read(own.Plain()).VariableStores.Single();
                    VariableStore store = ImageReader.Read(answer.Image!.Value).VariableStores.Single();
                    foreach (VariableRecord record in was.Live)
                    {
                        VariableRecord there = Assert.Single(store.Records, one => one.Name == record.Name);
                        Assert.True(there.IsLive);
                        Assert.True(IdentityFinder.Data(store, there).SequenceEqual(IdentityFinder.Data(was, record)));
                    }
                    Assert.All(answer.Checks, check => Assert.True(check.Passed));
                },
                iter: 150
            );

    [Fact]
    public void Spoilt_images_never_crash_a_combination()
    {
        IdentityFinderTests.Pair pair = IdentityFinderTests.Make("everything", 8);
        int[] heads =
        [
            0,
            0x10,
            0x30,
            0x40,
            0x1000,
            0x3000,
            0x80000,
            0x80048,
            0x80064,
            0xA0000,
            0xB0000,
            0xC0000,
            0xC0048,
            0xF0000,
        ];
        int made = 0;
        for (int seed = 0; seed < 300; seed++)
        {
            Mutator mutator = new(seed);
            byte[] own = seed % 3 == 0 ? pair.Own : mutator.Mutate(pair.Own, heads);
            byte[] newer = seed % 3 == 1 ? pair.Newer : mutator.Mutate(pair.Newer, heads);
            CombineAnswer answer = Combine(own, newer);
            if (answer.Image is { } image)
            {
                made++;
                Assert.Equal(newer.Length, image.Length);
                Assert.True(answer.Origin!.Rebuild(own, newer).AsSpan().SequenceEqual(image.Span));
                Assert.All(answer.Checks, check => Assert.True(check.Passed));
            }
            else
            {
                Assert.Equal(Verdict.Blocker, answer.Findings[0].Verdict);
            }
        }
        Assert.InRange(made, 20, 299);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(4096)]
    public void Blank_and_tiny_images_are_refused(int length)
    {
        byte[] tiny = new byte[length];
        Assert.Equal(CombineState.Refused, Combine(tiny, tiny).State);
        Assert.Equal(CombineState.Refused, Combine(tiny, new MadeMachine(2).Plain()).State);
        Assert.NotEqual(CombineState.Made, Combine(new MadeMachine(1).Plain(), tiny).State);
    }

    private static void Refused(CombineAnswer answer, string code)
    {
        Assert.True(answer.State == CombineState.Refused, answer.Summary);
        Assert.Null(answer.Image);
        Assert.Contains(answer.Findings, one => one.Code == code && one.Verdict == Verdict.Blocker);
    }
}
