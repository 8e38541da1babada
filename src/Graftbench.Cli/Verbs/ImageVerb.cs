using System.CommandLine;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench image</c>: what concerns the boot memory.</summary>
internal static class ImageVerb
{
    /// <summary>The group of verbs.</summary>
    public static Command Create() =>
        new Command("image", "Reads flash images: what is where, what is damaged, whether the firmware knows the chip.")
        {
            ImageShowVerb.Create(),
            ImageKnowsVerb.Create(),
        }.WithExample(
            "graftbench image show dump.bin",
            "every part of the image with its place, and all findings; image knows tells whether it lists a processor"
        );

    /// <summary>The argument FILE.</summary>
    public static Argument<string> File() => new("FILE") { Description = "The flash image; - for standard input." };
}
