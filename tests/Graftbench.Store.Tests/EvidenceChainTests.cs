using System.Security.Cryptography;
using System.Text;
using CsCheck;

namespace Graftbench.Store.Tests;

public class EvidenceChainTests
{
    private static readonly EvidenceLine First = new(
        "arcade-7",
        1,
        new DateTimeOffset(2026, 1, 31, 9, 5, 0, TimeSpan.Zero).AddTicks(1),
        "Ada",
        "note",
        """{"note":"bag opened, 10 °C"}""",
        null,
        EvidenceChain.Start,
        ""
    );

    public static readonly TheoryData<EvidenceLine, string, string> Sourced = new()
    {
        {
            First,
            "c934853272daf1ef3aaaa0675581852526eed3aa347cc663ba0c91ee040f212a",
            "the program in docs/models/record.md, written from the layout alone in another language"
        },
        {
            new EvidenceLine(
                "arcade-7",
                2,
                new DateTimeOffset(2026, 1, 31, 10, 6, 0, TimeSpan.FromHours(1)),
                "Zoë",
                "picture",
                "{}",
                "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
                "c934853272daf1ef3aaaa0675581852526eed3aa347cc663ba0c91ee040f212a",
                "",
                "a.jpg",
                "image/jpeg"
            ),
            "12c5c55bcd620a6d8e1664a350ea958ca22765c096ca464781f1828fd3387224",
            "the same program"
        },
    };

    [Theory, MemberData(nameof(Sourced))]
    public void Hash_follows_the_documented_layout(EvidenceLine line, string expected, string source) =>
        Assert.True(EvidenceChain.Hash(line) == expected, source);

    [Fact]
    public void File_hash_is_the_published_one_of_abc() =>
        // FIPS 180-2, appendix B.1.
        Assert.Equal(
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
            EvidenceChain.FileHash("abc"u8)
        );

    [Fact]
    public void Text_moved_from_one_field_to_the_next_gives_another_hash() =>
        Gen.Select(Gen.String.AlphaNumeric, Gen.String.AlphaNumeric, Gen.Int[0, 20])
            .Sample(
                (who, kind, shift) =>
                {
                    string all = who + kind;
                    int cut = shift % (all.Length + 1);
                    EvidenceLine one = First with { Who = who, Kind = kind };
                    EvidenceLine other = First with { Who = all[..cut], Kind = all[cut..] };
                    return (one == other) == (EvidenceChain.Hash(one) == EvidenceChain.Hash(other));
                }
            );

    [Fact]
    public void A_name_that_is_empty_and_one_that_is_not_there_give_different_hashes() =>
        Assert.NotEqual(EvidenceChain.Hash(First), EvidenceChain.Hash(First with { FileName = "" }));

    [Fact]
    public void Every_field_is_in_the_hash()
    {
        EvidenceLine[] variants =
        [
            First with
            {
                RecordId = "arcade-8",
            },
            First with
            {
                Sequence = 2,
            },
            First with
            {
                At = First.At.AddTicks(1),
            },
            First with
            {
                Who = "Adb",
            },
            First with
            {
                Kind = "nota",
            },
            First with
            {
                PayloadJson = """{"note":"bag opened, 11 °C"}""",
            },
            First with
            {
                FileSha256 = EvidenceChain.Start,
            },
            First with
            {
                FileName = "a",
            },
            First with
            {
                FileMediaType = "a/b",
            },
            First with
            {
                PreviousSha256 = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes("x"))),
            },
        ];
        Assert.Equal(variants.Length + 1, variants.Append(First).Select(EvidenceChain.Hash).Distinct().Count());
    }

    [
        Theory,
        InlineData(""),
        InlineData("abc"),
        InlineData("BA7816BF8F01CFEA414140DE5DAE2223B00361A396177A9CB410FF61F20015AD")
    ]
    public void Only_64_small_digits_are_a_hash(string text) => Assert.False(EvidenceChain.IsHash(text));
}

public class StoreTimeTests
{
    [Fact]
    public void Time_survives_to_the_tick_and_text_order_is_time_order() =>
        Gen.Select(Gen.Long[0, DateTime.MaxValue.Ticks], Gen.Long[0, DateTime.MaxValue.Ticks])
            .Sample(
                (one, other) =>
                {
                    string text = StoreTime.Write(new DateTimeOffset(one, TimeSpan.Zero));
                    string next = StoreTime.Write(new DateTimeOffset(other, TimeSpan.Zero));
                    return text.Length == 28
                        && StoreTime.TryRead(text, out DateTimeOffset back)
                        && back.Ticks == one
                        && back.Offset == TimeSpan.Zero
                        && Math.Sign(string.CompareOrdinal(text, next)) == one.CompareTo(other);
                }
            );

    [Theory]
    [InlineData("2026-01-31T09:05:00Z")]
    [InlineData("2026-01-31T09:05:00.0000000+00:00")]
    [InlineData("2026-02-30T09:05:00.0000000Z")]
    [InlineData("2026-01-31 09:05:00.0000000Z")]
    [InlineData(" 2026-01-31T09:05:00.0000000Z")]
    [InlineData("")]
    public void Other_forms_are_not_read(string text) => Assert.False(StoreTime.TryRead(text, out _));
}
