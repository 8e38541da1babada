using Graftbench.Vision.Pictures;

namespace Graftbench.Vision.Tests;

public class PictureTests
{
    [Theory]
    [InlineData(0, 1, 0, null)]
    [InlineData(2, 2, 3, null)]
    [InlineData(2, 2, 4, 4)]
    public void Refuses_buffers_of_another_size(int width, int height, int grey, int? rgb) =>
        Assert.ThrowsAny<ArgumentException>(() =>
            new Picture(width, height, new float[grey], rgb is { } length ? new byte[length] : null)
        );
}
