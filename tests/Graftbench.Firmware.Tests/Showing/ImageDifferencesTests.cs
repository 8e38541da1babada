using CsCheck;
using Graftbench.Firmware.Showing;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Tests.Showing;

public sealed class ImageDifferencesTests
{
    [Fact]
    public void Every_byte_that_differs_lies_in_a_stretch_and_is_counted_once() =>
        Gen.Select(Gen.Byte.Array[0, 9000], Gen.Int[0, 8999].Array[0, 40], Gen.Int[0, 3])
            .Sample(
                (first, places, shift) =>
                {
                    byte[] second = first[Math.Min(shift, first.Length)..];
                    foreach (int place in places.Where(place => place < second.Length))
                    {
                        second[place] ^= 0x5A;
                    }
                    ImageDifferences found = ImageDifferences.Of(first, second, shift);
                    int wrong = 0;
                    for (int i = 0; i < second.Length; i++)
                    {
                        bool differs = first[i + shift] != second[i];
                        wrong += differs ? 1 : 0;
                        bool inside = found.Ranges.Any(range => range.Contains(i + shift));
                        if (differs && !inside)
                        {
                            return false;
                        }
                    }
                    // No stretch begins or ends with an equal byte.
                    bool tight = found.Ranges.All(range =>
                        first[range.Start] != second[range.Start - shift]
                        && first[range.End - 1] != second[range.End - 1 - shift]
                    );
                    return tight && found.DifferingBytes == wrong && found.RangesInAll == found.Ranges.Count;
                },
                iter: 300
            );

    [Fact]
    public void Blocks_are_told_by_sign()
    {
        byte[] first = new byte[3 * 4096];
        byte[] second = new byte[2 * 4096];
        second[4096] = 1;
        ImageDifferences found = ImageDifferences.Of(first, second);
        Assert.Equal("=d-", found.Signs);
        Assert.Equal([new ByteRange(4096, 1)], found.Ranges);
    }

    [Fact]
    public void Very_many_stretches_are_counted_and_only_the_first_are_listed()
    {
        byte[] second = new byte[4096];
        for (int i = 0; i < second.Length; i += 32)
        {
            second[i] = 1;
        }
        ImageDifferences found = ImageDifferences.Of(new byte[4096], second, most: 10);
        Assert.Equal((10, 128, 128L), (found.Ranges.Count, found.RangesInAll, found.DifferingBytes));
    }
}
