using Graftbench.Core.Facts;

namespace Graftbench.Conventions;

/// <summary>What stands in <c>data/</c> is what the program carries, and each row says how sure it is and where it comes from.</summary>
public class DataTests
{
    private static readonly string[] Marks = ["C", "M", "X", "P", "E"];

    public static TheoryData<string> Files =>
        [
            .. Repository
                .TextFiles.Where(path => path.StartsWith("data/", StringComparison.Ordinal))
                .Select(path => path["data/".Length..]),
        ];

    [Fact]
    public void Every_file_in_data_travels_inside_the_program() =>
        Assert.Equal(Files.Select(row => row.Data).Order(), CsvTable.Names.Select(name => name + ".csv").Order());

    [Theory, MemberData(nameof(Files))]
    public void Every_row_has_a_confidence_and_a_source_that_exists(string file)
    {
        CsvTable table = CsvTable.Parse(Path.GetFileNameWithoutExtension(file), Repository.Read("data/" + file));
        Assert.NotEmpty(table.Rows);
        if (table.Name == ReferenceShelf.SourceTableName)
        {
            Assert.All(table.Rows, row => Assert.NotEmpty(row["note"]));
            return;
        }
        Assert.All(
            table.Rows,
            row =>
            {
                Assert.Contains(row["confidence"], Marks);
                Assert.True(ReferenceShelf.FindSource(row["source"]) is not null, $"{row}: source '{row["source"]}'");
            }
        );
    }

    // Sources that answers and messages lean on without a table row.
    private static readonly string[] NamedByAnswers =
    [
        "iapws-steam",
        "slab-diffusion-textbook",
        "graftbench-computed",
        "graftbench-limit",
        "job-file",
        "solder-tension-values",
        "solder-density-rule",
        "seating-mechanics-sheet",
        "graftbench-joint-model",
        "flash-read-rules",
        "identity-practice",
        "jesd216",
        // Findings of a flash image.
        "uefi-pi-volumes",
        "edk-variables",
        "flash-descriptor",
        "network-nvm",
        "x86-updates",
        "smbios",
        "acpi",
        "pci-firmware",
        "legacy-anchors",
        // Findings of ball lists.
        "ball-map-rules",
        // Findings of the fit sheet.
        "fit-rules",
        "thermal-runaway",
        // Findings of pictures.
        "xray-limits-page",
        // Findings of readings.
        "power-up-pages",
        "parallel-opens-papers",
        "coverage-paper",
        "junction-law",
        "first-power-order",
        "pooled-deviation",
    ];

    [Fact]
    public void Every_source_is_used_by_a_row_or_by_an_answer()
    {
        HashSet<string> used =
        [
            .. NamedByAnswers,
            .. CsvTable
                .Names.Where(name => name != ReferenceShelf.SourceTableName)
                .SelectMany(name => CsvTable.Load(name).Rows)
                .Select(row => row["source"]),
        ];
        List<string> idle = [.. ReferenceShelf.Sources.Select(source => source.Id).Where(id => !used.Contains(id))];
        Assert.True(idle.Count == 0, "Nothing leans on: " + string.Join(", ", idle));
    }
}
