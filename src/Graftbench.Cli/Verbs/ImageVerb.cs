using System.CommandLine;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench image</c>: what concerns the boot memory.</summary>
internal static class ImageVerb
{
    /// <summary>The group of verbs.</summary>
    public static Command Create() =>
        new Command(
            "image",
            "Reads flash images: is a dump good, what is where, does the firmware know the chip, whose identity it is."
        )
        {
            ImageTrustVerb.Create(),
            ImageShowVerb.Create(),
            ImageKnowsVerb.Create(),
            ImageIdentityVerb.Create(),
            ImageCombineVerb.Create(),
            ImageCheckVerb.Create(),
        }.WithExample(
            "graftbench image show dump.bin",
            "every part of the image with its place, and all findings; image trust compares reads of a chip, image knows tells whether it lists a processor, image combine keeps a machine's identity with a newer image"
        );

    /// <summary>The argument FILE.</summary>
    public static Argument<string> File() => new("FILE") { Description = "The flash image; - for standard input." };
}
