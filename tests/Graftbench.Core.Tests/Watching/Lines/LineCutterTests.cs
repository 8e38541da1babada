using System.Text;
using CsCheck;
using Graftbench.Core.Watching.Lines;

namespace Graftbench.Core.Tests.Watching.Lines;

public class LineCutterTests
{
    private static List<string> Cut(LineCutter cutter, params byte[][] parts)
    {
        List<string> lines = [];
        foreach (byte[] part in parts)
        {
            cutter.Feed(part, lines.Add);
        }
        return lines;
    }

    private static byte[] B(string text) => Encoding.UTF8.GetBytes(text);

    [Fact]
    public void The_first_piece_may_be_half_a_line_and_is_left_out() =>
        Assert.Equal(
            ["22.1,22.2", "22.3,22.4"],
            Cut(new LineCutter(), B("2,19.9\r\n22.1,22.2\r\n22."), B("3,22.4\r\n22.5"))
        );

    [Fact]
    public void The_first_line_of_a_file_is_whole_and_so_is_its_last()
    {
        LineCutter cutter = LineCutter.OfFile();
        List<string> lines = Cut(cutter, B("a\nb\rc\r\n\r\nd"));
        cutter.Finish(lines.Add);
        Assert.Equal(["a", "b", "c", "d"], lines);
    }

    [Fact]
    public void A_megabyte_without_an_end_is_left_out_and_the_next_line_is_read()
    {
        LineCutter cutter = new();
        List<string> lines = Cut(
            cutter,
            B("\n"),
            new byte[1_000_000]
                .Select(_ => (byte)'9')
                .ToArray(),
            B("\n22.0\n")
        );
        Assert.Equal(["22.0"], lines);
        Assert.Equal(1, cutter.TooLongNumber);
    }

    [Fact]
    public void Nul_bytes_are_dropped_and_counted()
    {
        LineCutter cutter = new();
        Assert.Equal(["22.0"], Cut(cutter, [(byte)'\n', (byte)'2', 0, (byte)'2', 0, (byte)'.', (byte)'0', (byte)'\n']));
        Assert.Equal(2, cutter.NulNumber);
    }

    [Fact]
    public void Any_bytes_in_any_pieces_give_the_same_lines_as_in_one_piece() =>
        Gen
            .Byte.Array[0, 300]
            .Select(Gen.Int[1, 50])
            .Sample(
                (bytes, size) =>
                {
                    List<string> whole = Cut(new LineCutter(), bytes);
                    List<string> pieces = Cut(new LineCutter(), [.. bytes.Chunk(size)]);
                    Assert.Equal(whole, pieces);
                    // Whatever comes is read or refused, never thrown at.
                    ProbeFormat format = new(ProbeSeparator.Comma, false, [new(ProbeColumnRole.Temperature, "a")]);
                    Assert.All(
                        whole,
                        line =>
                            Assert.Equal(
                                ProbeLine.Read(line, format).Problem is null ? 1 : 0,
                                ProbeLine.Read(line, format).Readings.Count
                            )
                    );
                    FormatLearner.Learn(whole, 22);
                },
                iter: 500
            );
}
