using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tree;
using Graftbench.Tests.Checks;
using static Graftbench.Tests.Shared.Firmware.Bytes;

namespace Graftbench.Firmware.Tests.Identity;

/// <summary>Pairs of invented images in which it is known what belongs to the machine: all of it is proposed and nothing else.</summary>
public sealed class IdentityFinderTests
{
    private const int Seeds = 25;

    /// <summary>One constructed pair.</summary>
    internal sealed record Pair(
        string Name,
        byte[] Own,
        byte[] Newer,
        string[] Wanted,
        KnownIdentity Known,
        byte[][] Others
    );

    public static readonly TheoryData<string> Cases =
    [
        "serial in padding",
        "serial in padding, UTF-16",
        "two serials and an address behind each other in padding",
        "UUID in padding",
        "UUID as text in padding",
        "address as text in padding",
        "serial in the system table",
        "UUID in the system table",
        "board serial in the system table",
        "serial in a variable",
        "UUID in a variable",
        "address in a variable",
        "text in a variable with a telling name",
        "address in the network block",
        "platform data",
        "licence table",
        "given mark of no known shape",
        "given serial in a variable with a name that says nothing",
        "other boards share what is no identity",
        "firmware region alone",
        "everything",
    ];

    [Theory, MemberData(nameof(Cases))]
    public void Every_value_is_found_and_nothing_else(string name)
    {
        int found = 0;
        int wanted = 0;
        List<string> wrong = [];
        for (int seed = 1; seed <= Seeds; seed++)
        {
            Pair pair = Make(name, seed);
            IdentityAnswer answer = Find(pair);
            string[] ids = [.. answer.Proposals.Select(one => one.Id)];
            wanted += pair.Wanted.Length;
            found += pair.Wanted.Count(id => ids.Contains(id));
            wrong.AddRange(ids.Except(pair.Wanted).Select(id => $"seed {seed}: false {id}"));
            wrong.AddRange(
                pair.Wanted.Except(ids).Select(id => $"seed {seed}: missed {id}, had {string.Join(' ', ids)}")
            );
        }
        Truth.Note("firmware.identity", wrong.Count, wanted);
        Assert.True(wrong.Count == 0, $"{found} of {wanted} found\n" + string.Join('\n', wrong.Take(10)));
        Assert.True(wanted >= Seeds);
    }

    [Theory, MemberData(nameof(Cases))]
    public void What_the_set_wants_is_sure_enough_to_be_taken(string name)
    {
        for (int seed = 1; seed <= Seeds; seed++)
        {
            Assert.All(
                Find(Make(name, seed)).Proposals,
                one =>
                    Assert.True(
                        one.ConfidenceFraction >= IdentityAnswer.AcceptFraction,
                        $"{one.Id} {one.ConfidenceFraction}"
                    )
            );
        }
    }

    [Fact]
    public void What_must_not_move_is_listed_with_the_reason()
    {
        IdentityAnswer answer = Find(Make("everything", 3));
        string[] said = [.. answer.NotProposed.Select(one => $"{one.What}: {one.Why}")];
        Assert.Contains(
            said,
            one => one.StartsWith("management engine: bound to the chipset", StringComparison.Ordinal)
        );
        Assert.Contains(said, one => one.StartsWith("variable PK: keys", StringComparison.Ordinal));
        Assert.Contains(said, one => one.StartsWith("variable db: keys", StringComparison.Ordinal));
        Assert.Contains(said, one => one.StartsWith("variable BootOrder: boot order", StringComparison.Ordinal));
        Assert.Contains(said, one => one.StartsWith("variable Setup: settings", StringComparison.Ordinal));
    }

    [Fact]
    public void Deleted_records_are_reported_and_never_proposed()
    {
        IdentityAnswer answer = Find(Make("serial in a variable", 3));
        Assert.Contains(answer.Stale, one => one.Why.Contains("GBOLDSERIAL99", StringComparison.Ordinal));
        Assert.Contains(answer.Stale, one => one.Why.Contains("GBSTALE000001", StringComparison.Ordinal));
        Assert.DoesNotContain(answer.Proposals, one => one.Looks.Contains("GBSTALE", StringComparison.Ordinal));
    }

    [Fact]
    public void A_given_serial_inside_code_is_not_proposed_and_said_why()
    {
        Pair pair = Make("serial in padding", 1);
        IdentityAnswer answer = Find(pair with { Known = Known("GBCODE1112345") });
        Assert.Contains(
            answer.NotProposed,
            one => one.What == "the given serial" && one.Why.Contains("volume of code", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Two_machines_are_told_apart_by_their_serials()
    {
        MachineValues mine = MachineValues.Of(1);
        MachineValues theirs = MachineValues.Of(2);
        byte[] own = new MadeMachine(1) { SystemSerial = mine.Serial }
            .Add("SystemSerialNumber", Ascii(mine.Serial))
            .Plain();
        byte[] newer = new MadeMachine(2) { SystemSerial = theirs.Serial }
            .Add("SystemSerialNumber", Ascii(theirs.Serial))
            .Plain();
        IdentityAnswer answer = Find(new Pair("", own, newer, [], KnownIdentity.None, []));
        Finding[] two = [.. answer.Findings.Where(one => one.Code == "identity.two-machines")];
        Assert.Equal(2, two.Length);
        Assert.All(two, one => Assert.Contains(theirs.Serial, one.Value, StringComparison.Ordinal));
        Assert.All(two, one => Assert.Equal(Verdict.FixFirst, one.Verdict));
    }

    [Fact]
    public void A_foreign_variable_that_nothing_replaces_is_told()
    {
        byte[] own = new MadeMachine(1).Plain();
        byte[] newer = new MadeMachine(2).Add("BoardSerial", Ascii("GBFOREIGN0042")).Plain();
        IdentityAnswer answer = Find(new Pair("", own, newer, [], KnownIdentity.None, []));
        Assert.Single(answer.Findings, one => one.Code == "identity.foreign-variable");
    }

    [Fact]
    public void Swapped_files_are_told_by_the_given_serial()
    {
        Pair pair = Make("serial in padding", 4);
        IdentityAnswer answer = Find(
            pair with
            {
                Own = pair.Newer,
                Newer = pair.Own,
                Known = Known(MachineValues.Of(4).Serial),
            }
        );
        Assert.Single(answer.Findings, one => one is { Code: "identity.swapped", Verdict: Verdict.Blocker });
    }

    [Fact]
    public void A_given_value_that_is_nowhere_is_said() =>
        Assert.Single(
            Find(Make("serial in padding", 4) with { Known = Known("NOWHERE-4711") }).Findings,
            one => one.Code == "identity.given-not-found"
        );

    [Fact]
    public void Where_reads_of_the_board_differ_nothing_is_carried()
    {
        Pair pair = Make("serial in padding", 4);
        byte[] second = [.. pair.Own];
        second[MadeMachine.RawAt + 0x1003] ^= 1;
        IdentityAnswer answer = IdentityFinder.Find(
            new IdentitySearch(
                ImageReader.Read(pair.Own),
                ImageReader.Read(pair.Newer),
                [second],
                [],
                KnownIdentity.None
            )
        );
        Assert.Contains(
            "reads of the board differ",
            Assert.Single(answer.Proposals).Obstacle,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Other_variants_of_the_board_do_not_belong_together()
    {
        byte[] own = new MadeMachine(1) { Address = MachineValues.Of(1).Address }.Chip();
        byte[] newer = new MadeMachine(2).Chip();
        newer[0x40 + (4 * 4)] ^= 0x10;
        IdentityAnswer answer = Find(new Pair("", own, newer, [], KnownIdentity.None, []));
        Assert.Equal(LayoutKind.Conflict, answer.Layout.Kind);
        Assert.Single(answer.Findings, one => one is { Code: "identity.layout", Verdict: Verdict.Blocker });
        Assert.Equal(
            LayoutKind.Conflict,
            Find(new Pair("", new MadeMachine(1).Plain(), newer, [], KnownIdentity.None, [])).Layout.Kind
        );
    }

    [Fact]
    public void Passwords_and_marks_of_ownership_stay_and_are_not_shown()
    {
        byte[] own = new MadeMachine(1).Add("SupervisorPassword", Ascii("SECRET-4711")).Plain();
        IdentityAnswer answer = Find(new Pair("", own, new MadeMachine(2).Plain(), [], KnownIdentity.None, []));
        IdentityProposal one = Assert.Single(answer.Proposals);
        Assert.True(one.Always);
        Assert.DoesNotContain("SECRET", one.Looks, StringComparison.Ordinal);
    }

    [Fact]
    public void A_table_field_of_another_length_is_proposed_and_said_not_to_fit()
    {
        byte[] own = new MadeMachine(1) { SystemSerial = "GB2203774101" }.Plain();
        byte[] newer = new MadeMachine(2) { SystemSerial = "Default string" }.Plain();
        IdentityProposal one = Assert.Single(
            Find(new Pair("", own, newer, [], KnownIdentity.None, [])).Proposals,
            one => one.Title == "system table, system serial number"
        );
        Assert.Contains("12 bytes", one.Obstacle, StringComparison.Ordinal);
    }

    internal static KnownIdentity Known(params string[] serials) => KnownIdentity.None with { Serials = serials };

    internal static IdentityAnswer Find(Pair pair) =>
        IdentityFinder.Find(
            new IdentitySearch(
                ImageReader.Read(pair.Own),
                ImageReader.Read(pair.Newer),
                [pair.Own],
                [.. pair.Others.Select(one => ImageReader.Read(one))],
                pair.Known
            )
        );

    internal static Pair Make(string name, int seed)
    {
        MachineValues mine = MachineValues.Of(seed);
        // A placeholder of the same length, as firmware that is built with a fixed table has.
        string blankSerial = new('0', mine.Serial.Length);
        string blankBoard = new('0', mine.BoardSerial.Length);
        MadeMachine own = Machine(1).AddDecoys(used: true);
        MadeMachine newer = Machine(2).AddDecoys(used: false);
        List<string> wanted = [];
        KnownIdentity known = KnownIdentity.None;
        byte[][] others = [];
        bool chip = false;
        bool region = false;
        bool all = name == "everything";
        if (name is "serial in padding" or "firmware region alone" || all)
        {
            own.Put(0x1000, Join(Ascii(mine.Serial), [0]));
            wanted.Add("range-21000");
            region = name == "firmware region alone";
        }
        if (name == "serial in padding, UTF-16")
        {
            own.Put(0x1000, Join(Wide(mine.Serial), [0, 0]));
            wanted.Add("range-21000");
        }
        if (name.StartsWith("two serials", StringComparison.Ordinal))
        {
            own.Put(
                0x1000,
                Join(
                    Ascii(mine.Serial),
                    [0],
                    Ascii(mine.BoardSerial),
                    [0],
                    Ascii(Convert.ToHexString(mine.Address)),
                    [0]
                )
            );
            int second = 0x21000 + mine.Serial.Length + 1;
            wanted.AddRange(["range-21000", $"range-{second:X}", $"range-{second + mine.BoardSerial.Length + 1:X}"]);
        }
        if (name == "UUID in padding" || all)
        {
            own.Put(0x1100, mine.Uuid.ToByteArray());
            wanted.Add("range-21100");
        }
        if (name == "UUID as text in padding")
        {
            own.Put(0x1100, Ascii(mine.Uuid.ToString()));
            wanted.Add("range-21100");
        }
        if (name == "address as text in padding" || all)
        {
            own.Put(0x1180, Ascii(Convert.ToHexString(mine.Address)));
            wanted.Add("range-21180");
        }
        if (name == "serial in the system table" || all)
        {
            own.SystemSerial = mine.Serial;
            newer.SystemSerial = blankSerial;
            wanted.Add($"range-{Place(own, mine.Serial):X}");
        }
        if (name == "board serial in the system table" || all)
        {
            own.BoardSerial = mine.BoardSerial;
            newer.BoardSerial = blankBoard;
            wanted.Add($"range-{Place(own, mine.BoardSerial):X}");
        }
        if (name == "UUID in the system table" || all)
        {
            own.SystemUuid = mine.Uuid;
            wanted.Add($"range-{MadeMachine.TableAt + 8:X}");
        }
        if (name == "serial in a variable" || all)
        {
            own.Add("SystemSerialNumber", Ascii(mine.Serial));
            wanted.Add("variable-SystemSerialNumber");
        }
        if (name == "UUID in a variable" || all)
        {
            own.Add("MachineUuid", mine.Uuid.ToByteArray());
            wanted.Add("variable-MachineUuid");
        }
        if (name == "address in a variable" || all)
        {
            own.Add("LanMacAddress", mine.Address);
            wanted.Add("variable-LanMacAddress");
        }
        if (name == "text in a variable with a telling name")
        {
            own.Add("BoardId", Ascii("Rev b")).Add("PanelCalibration", Noise(64, seed));
            wanted.AddRange(["variable-BoardId", "variable-PanelCalibration"]);
        }
        if (name == "address in the network block" || all)
        {
            chip = true;
            own.Address = mine.Address;
            wanted.Add("region-network");
        }
        if (name == "platform data" || all)
        {
            chip = true;
            own.PlatformData = Join(Ascii("SN=" + mine.Serial), new byte[5], Noise(40, seed));
            wanted.Add("region-platform-data");
        }
        if (name == "licence table" || all)
        {
            own.Put(
                0x1800,
                Graftbench.Tests.Shared.Firmware.BoardBuilder.AcpiTable("MSDM", Ascii(mine.Serial + "-XXXXX"))
            );
            wanted.Add("range-21800");
        }
        if (name == "given mark of no known shape")
        {
            own.Put(0x1400, Ascii("my.mark_" + seed));
            known = Known("my.mark_" + seed);
            wanted.Add("range-21400");
        }
        if (name == "given serial in a variable with a name that says nothing")
        {
            own.Add("Xyz", Join([1, 2], Ascii(mine.Serial), [9]));
            known = Known(mine.Serial);
            wanted.Add("variable-Xyz");
        }
        if (name == "other boards share what is no identity")
        {
            own.Put(0x1000, Ascii(mine.Serial)).Put(0x1200, Ascii("GBTYPE47110815")).Add("ModelSku", Ascii("SKU-44-1"));
            MadeMachine other = Machine(1).AddDecoys(used: true);
            other
                .Put(0x1000, Ascii(MachineValues.Of(seed + 1000).Serial))
                .Put(0x1200, Ascii("GBTYPE47110815"))
                .Add("ModelSku", Ascii("SKU-44-1"));
            others = [other.Plain()];
            wanted.Add("range-21000");
        }
        // In a chip all parts of the firmware region lie half a mebibyte further up.
        string[] ids = chip || region ? [.. wanted.Select(Moved)] : [.. wanted];
        return new Pair(
            name,
            chip || region ? own.Chip() : own.Plain(),
            region ? newer.Region()
                : chip ? newer.Chip()
                : newer.Plain(),
            ids,
            known,
            others
        );

        static MadeMachine Machine(int version) => new(version);
        static string Moved(string id) =>
            id.StartsWith("range-", StringComparison.Ordinal)
                ? $"range-{Convert.ToInt32(id[6..], 16) + MadeMachine.RegionAt:X}"
                : id;
    }

    private static int Place(MadeMachine machine, string text) =>
        MadeMachine.TableAt + machine.SystemTable().AsSpan().IndexOf(Encoding.ASCII.GetBytes(text));
}
