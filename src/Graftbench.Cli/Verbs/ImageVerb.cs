using System.CommandLine;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench image</c>: what concerns images of boot memory.</summary>
internal static class ImageVerb
{
    /// <summary>The group of verbs.</summary>
    public static Command Create() =>
        new Command(
            "image",
            "Reads images of boot memory: is a dump good, what is in it, and a newer image with this machine's identity."
        )
        {
            ImageTrustVerb.Create(),
        }.WithExample(
            "graftbench image trust first.bin second.bin --capacity-mib 16",
            "whether two reads of a chip can be worked with"
        );
}
