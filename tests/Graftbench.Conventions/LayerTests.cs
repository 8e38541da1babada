using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;
using System.Xml.Linq;

namespace Graftbench.Conventions;

/// <summary>What each part may lean on, read from the built assemblies and the project files.</summary>
public class LayerTests
{
    // Every iterator asks for its thread; the compiler writes that, not we.
    private const string WrittenByTheCompiler = "System.Environment:get_CurrentManagedThreadId";

    // Core is pure. A type with a colon is forbidden for that member only.
    private static readonly string[] ForbiddenInCore =
    [
        "System.IO.File",
        "System.IO.FileInfo",
        "System.IO.FileStream",
        "System.IO.Directory",
        "System.IO.DirectoryInfo",
        "System.IO.Path",
        "System.IO.StreamWriter",
        "System.Console",
        "System.Random",
        "System.Environment",
        "System.TimeProvider",
        "System.Diagnostics.Process",
        "System.Diagnostics.Stopwatch",
        "System.Security.Cryptography.RandomNumberGenerator",
        "System.Threading.Thread",
        "System.Threading.Timer",
        "System.DateTime:get_Now",
        "System.DateTime:get_UtcNow",
        "System.DateTime:get_Today",
        "System.DateTimeOffset:get_Now",
        "System.DateTimeOffset:get_UtcNow",
        "System.Guid:NewGuid",
        "System.Guid:CreateVersion7",
    ];

    // Assembly -> what it may reference of ours, and of others beyond the base library.
    private static readonly Dictionary<string, (string[] Ours, string[] Others)> MayReference = new(
        StringComparer.Ordinal
    )
    {
        ["Graftbench.Core"] = ([], []),
        ["Graftbench.Store"] = (["Graftbench.Core"], ["Microsoft.Data.Sqlite", "SQLitePCLRaw", "Npgsql"]),
        ["Graftbench.Firmware"] = (["Graftbench.Core"], ["SharpCompress"]),
        ["Graftbench.Vision"] = (["Graftbench.Core"], ["SkiaSharp"]),
        ["Graftbench.Probes"] = (["Graftbench.Core"], ["System.IO.Ports"]),
        ["Graftbench.Watch"] = (["Graftbench.Core", "Graftbench.Probes", "Graftbench.Store"], []),
        ["Graftbench.Sheets"] = (["Graftbench.Core"], ["PdfSharp"]),
        ["Graftbench.Web"] = (
            [
                "Graftbench.Core",
                "Graftbench.Firmware",
                "Graftbench.Probes",
                "Graftbench.Sheets",
                "Graftbench.Store",
                "Graftbench.Vision",
                "Graftbench.Watch",
            ],
            ["Microsoft.AspNetCore", "Microsoft.Extensions", "Microsoft.Net.Http.Headers", "QRCoder", "SkiaSharp"]
        ),
        ["graftbench"] = (
            [
                "Graftbench.Core",
                "Graftbench.Firmware",
                "Graftbench.Probes",
                "Graftbench.Sheets",
                "Graftbench.Store",
                "Graftbench.Vision",
                "Graftbench.Watch",
                "Graftbench.Web",
            ],
            ["Microsoft.AspNetCore", "Microsoft.Extensions", "System.CommandLine"]
        ),
    };

    public static TheoryData<string> Assemblies => [.. MayReference.Keys];

    [Fact]
    public void Core_uses_no_files_clock_network_randomness_or_console()
    {
        List<string> used = [.. ReferencedMembers("Graftbench.Core")];
        Assert.Contains("System.Math:Exp", used);
        List<string> broken =
        [
            .. used.Where(member =>
                    member.Contains(':', StringComparison.Ordinal)
                    && member != WrittenByTheCompiler
                    && (
                        ForbiddenInCore.Contains(member)
                        || ForbiddenInCore.Contains(member.Split(':')[0])
                        || member.StartsWith("System.Net.", StringComparison.Ordinal)
                    )
                )
                .Distinct(),
        ];
        Assert.True(broken.Count == 0, "Core is pure, but uses " + string.Join(", ", broken));
    }

    [Fact]
    public void The_reader_of_assemblies_would_see_what_is_forbidden()
    {
        // This test assembly does use files; if the reader missed them here it would miss them in Core.
        List<string> own = [.. ReferencedMembers("Graftbench.Conventions")];
        Assert.Contains("System.IO.File:ReadAllText", own);
        Assert.Contains("System.IO.Path:Combine", own);
    }

    [Theory, MemberData(nameof(Assemblies))]
    public void An_assembly_references_only_what_its_layer_may(string assembly)
    {
        (string[] ours, string[] others) = MayReference[assembly];
        foreach (
            string reference in ReferencedAssemblies(assembly)
                .Where(name => name != "netstandard" && name != "mscorlib")
        )
        {
            bool allowed = reference.StartsWith("Graftbench.", StringComparison.Ordinal)
                ? ours.Contains(reference)
                : others.Any(other => reference.StartsWith(other, StringComparison.OrdinalIgnoreCase))
                    || IsBaseLibrary(reference);
            Assert.True(allowed, $"{assembly} references {reference}");
        }
    }

    [Theory, MemberData(nameof(Assemblies))]
    public void A_project_file_references_only_what_its_layer_may(string assembly)
    {
        string folder = assembly == "graftbench" ? "Graftbench.Cli" : assembly;
        XDocument project = XDocument.Load(Repository.PathOf($"src/{folder}/{folder}.csproj"));
        foreach (XElement reference in project.Descendants("ProjectReference"))
        {
            string name = Path.GetFileNameWithoutExtension(reference.Attribute("Include")!.Value.Replace('\\', '/'));
            Assert.Contains(name, MayReference[assembly].Ours);
        }
        if (assembly == "Graftbench.Core")
        {
            Assert.Empty(project.Descendants("PackageReference"));
        }
    }

    [Theory]
    [InlineData("Graftbench.Web")]
    [InlineData("Graftbench.Sheets")]
    [InlineData("graftbench")]
    public void The_shells_compute_nothing(string assembly)
    {
        string[] kernels = ["Graftbench.Core.Physics", "Graftbench.Core.Numerics"];
        // A rectangle in mm, by which answers say where nozzle, chip and pictures lie: it holds four numbers.
        const string Rectangle = "Graftbench.Core.Physics.Heat.RectMm";
        List<string> broken =
        [
            .. ReferencedMembers(assembly)
                .Where(member => kernels.Any(kernel => member.StartsWith(kernel, StringComparison.Ordinal)))
                .Where(member => member.Split(':')[0] != Rectangle),
        ];
        Assert.True(broken.Count == 0, $"{assembly} shows answers, but uses {string.Join(", ", broken)}");
    }

    private static bool IsBaseLibrary(string reference) =>
        (reference.StartsWith("System.", StringComparison.Ordinal) && reference != "System.CommandLine")
        || reference is "System" or "Microsoft.Win32.Primitives";

    private static List<string> ReferencedAssemblies(string assembly)
    {
        using PEReader file = Open(assembly);
        MetadataReader metadata = file.GetMetadataReader();
        return
        [
            .. metadata.AssemblyReferences.Select(handle =>
                metadata.GetString(metadata.GetAssemblyReference(handle).Name)
            ),
        ];
    }

    /// <summary>Types and members that an assembly names: <c>System.IO.File</c> and <c>System.IO.File:Delete</c>.</summary>
    private static List<string> ReferencedMembers(string assembly)
    {
        using PEReader file = Open(assembly);
        MetadataReader metadata = file.GetMetadataReader();
        List<string> names = [.. metadata.TypeReferences.Select(handle => NameOf(metadata, handle))];
        foreach (MemberReferenceHandle handle in metadata.MemberReferences)
        {
            MemberReference member = metadata.GetMemberReference(handle);
            if (member.Parent.Kind == HandleKind.TypeReference)
            {
                names.Add($"{NameOf(metadata, (TypeReferenceHandle)member.Parent)}:{metadata.GetString(member.Name)}");
            }
        }
        return names;
    }

    private static string NameOf(MetadataReader metadata, TypeReferenceHandle handle)
    {
        TypeReference type = metadata.GetTypeReference(handle);
        string name = metadata.GetString(type.Name);
        return type.ResolutionScope.Kind == HandleKind.TypeReference
            ? $"{NameOf(metadata, (TypeReferenceHandle)type.ResolutionScope)}+{name}"
            : $"{metadata.GetString(type.Namespace)}.{name}";
    }

    private static PEReader Open(string assembly) =>
        new(File.OpenRead(Path.Combine(AppContext.BaseDirectory, assembly + ".dll")));
}
