using System.Globalization;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Http;

namespace Graftbench.Web.NewJob;

/// <summary>The whole job on one page: document fields by their path, and a few questions that fill several fields at once.</summary>
internal sealed partial class NewJobForm
{
    public const string BoardSizeField = "x.board-size";
    public const string OriginField = "x.origin";
    public const string OldChipField = "x.old-chip";
    public const string DonorPartsField = "x.donor-parts";
    public const string ClassField = "chips[0].packageClass";
    public const string HostExposure = "history.exposures[0]";
    public const string ChipExposure = "history.exposures[1]";
    public const string Nozzles = NozzleNames.List;
    private const string DefaultChipId = "U1";

    private readonly Dictionary<string, string> extra = new(StringComparer.Ordinal);
    private readonly BenchClock clock;

    private NewJobForm(JobDraft draft, ShelfChoice shelf, BenchChoice bench, BenchClock clock)
    {
        Draft = draft;
        Shelf = shelf;
        Bench = bench;
        this.clock = clock;
        if (shelf.Chip is not null)
        {
            extra[OriginField] = "shelf";
        }
    }

    /// <summary>What is taken from the shelf.</summary>
    public ShelfChoice Shelf { get; }

    /// <summary>The bench that is worked on.</summary>
    public BenchChoice Bench { get; }

    /// <summary>The document part of the form.</summary>
    public JobDraft Draft { get; }

    /// <summary>What is wrong with the questions that are no document fields, by field name.</summary>
    public Dictionary<string, string> ExtraProblems { get; } = new(StringComparer.Ordinal);

    /// <summary>An empty form; bench, dryer, shop and materials come from the job saved last.</summary>
    public static NewJobForm Empty(StoredJob? last, ShelfChoice shelf, BenchChoice bench, BenchClock clock)
    {
        JsonObject document = new()
        {
            ["format"] = JobFormat.Name,
            ["host"] = new JsonObject { ["thicknessMm"] = 1.6 },
            ["chips"] = new JsonArray(new JsonObject { ["id"] = DefaultChipId }),
            ["dryer"] = new JsonObject { ["setC"] = 70 },
            ["history"] = new JsonObject { ["exposures"] = new JsonArray(new JsonObject(), new JsonObject()) },
        };
        if (last is not null)
        {
            JsonObject earlier = JobDraft.ToDocument(last.Job);
            foreach (string part in (string[])["shop", "bench", "dryer", "materials"])
            {
                if (earlier[part] is { } known)
                {
                    document[part] = known.DeepClone();
                }
            }
        }
        if (bench.Known.Count == 0)
        {
            // The first bench is described here: one nozzle to begin with.
            JobPath.ListAt(document, Nozzles).Add(new JsonObject());
        }
        shelf.LayInto(document);
        return new NewJobForm(JobDraft.Of(document, 0, clock), shelf, bench, clock);
    }

    /// <summary>The form as it was posted.</summary>
    public static NewJobForm Posted(IFormCollection form, BenchStore store, BenchClock clock)
    {
        BenchChoice bench = BenchChoice.Of(store, form[BenchChoice.Field].ToString());
        NewJobForm posted = Empty(null, ShelfChoice.Of(form, store), bench, clock);
        foreach ((string key, Microsoft.Extensions.Primitives.StringValues values) in form)
        {
            if (key.StartsWith("x.", StringComparison.Ordinal))
            {
                posted.extra[key] = values.Contains("true") ? "true" : values.LastOrDefault() ?? "";
            }
        }
        posted.Draft.Take(form);
        return posted;
    }

    /// <summary>What an extra question holds.</summary>
    public string Extra(string name, string otherwise = "") => extra.GetValueOrDefault(name) ?? otherwise;

    /// <summary>Whether the chip comes from a donor board.</summary>
    public bool FromDonor => Extra(OriginField, "donor") == "donor";

    /// <summary>Fills sizes in from the chosen board size.</summary>
    public void TakeBoardSize()
    {
        if (BoardSize.All.FirstOrDefault(size => size.Id == Extra(BoardSizeField)) is { } chosen)
        {
            foreach ((string path, string text) in Filling(chosen))
            {
                Draft.Type(path, text);
            }
        }
    }

    /// <summary>Fills the donor in from the host: most donors are the same board.</summary>
    public void TakeHostForDonor()
    {
        foreach (
            string field in (string[])
                [
                    "lengthMm",
                    "widthMm",
                    "thicknessMm",
                    "copperLayers",
                    "copperThicknessMm",
                    "solidPlanes",
                    "laminate",
                    "support",
                ]
        )
        {
            Draft.Type("donor." + field, Draft.Text("host." + field));
        }
        Draft.Type("chips[0].xMm", Draft.Text("chips[0].hostXMm"));
        Draft.Type("chips[0].yMm", Draft.Text("chips[0].hostYMm"));
        if (Extra(DonorPartsField, "true") != "true")
        {
            return;
        }
        foreach (SensitivePart line in SensitivePart.All)
        {
            string typed = Extra(line.FieldOn("host")).Trim();
            int onShelf = OnDocument("host", line.Kind);
            // Parts that the host brings from the shelf are counted with those typed here.
            extra[line.FieldOn("donor")] =
                onShelf == 0 ? typed
                : int.TryParse(
                    typed.Length == 0 ? "0" : typed,
                    NumberStyles.None,
                    CultureInfo.InvariantCulture,
                    out int count
                )
                    ? (count + onShelf).ToString(CultureInfo.InvariantCulture)
                : typed;
        }
    }

    private int OnDocument(string board, PartKind kind) =>
        (JobPath.Find(Draft.Document, board + ".parts") as JsonArray)?.Count(part =>
            part?["kind"]?.ToString() == FieldWords.NameOf(kind) && part["takenOff"]?.ToString() != "true"
        )
        ?? 0;

    /// <summary>Fills sizes in from the chosen package class.</summary>
    public void TakePackageClass()
    {
        if (PackageLibrary.Classes.FirstOrDefault(each => each.Id == Draft.Text(ClassField)) is { } chosen)
        {
            foreach ((string path, string text) in Filling(chosen))
            {
                Draft.Type(path, text);
            }
        }
    }

    /// <summary>The fields that a board size fills, and what with.</summary>
    public static IReadOnlyDictionary<string, string> Filling(BoardSize size) =>
        new Dictionary<string, string>(StringComparer.Ordinal)
        {
            ["host.lengthMm"] = Number(size.LengthMm),
            ["host.widthMm"] = Number(size.WidthMm),
            ["host.thicknessMm"] = Number(size.ThicknessMm),
        };

    /// <summary>The fields that a package class fills, and what with.</summary>
    public static IReadOnlyDictionary<string, string> Filling(PackageClass chosen) =>
        new Dictionary<string, string>(StringComparer.Ordinal)
        {
            ["chips[0].bodyLengthMm"] = Number(chosen.BodyLengthMm),
            ["chips[0].bodyWidthMm"] = Number(chosen.BodyWidthMm),
            ["chips[0].bodyThicknessMm"] = Number(chosen.BodyThicknessMm),
            ["chips[0].substrateThicknessMm"] = Number(chosen.SubstrateThicknessMm),
            ["chips[0].pitchMm"] = Number(chosen.PitchMm),
            ["chips[0].rows"] = Number(chosen.Rows),
            ["chips[0].columns"] = Number(chosen.Columns),
            ["chips[0].ballCount"] = Number(chosen.BallCount),
            ["chips[0].ballDiameterMm"] = Number(chosen.BallDiameterMm),
            ["chips[0].internalPlanes"] = FieldWords.NameOf(chosen.InternalPlanes),
            ["chips[0].moistureLevel"] = FieldWords.NameOf(chosen.MoistureLevel),
        };

    /// <summary>Makes the job out of what was typed; null where something is wrong, which the draft and this form then say.</summary>
    /// <param name="idTaken">Whether a job of that id exists.</param>
    public Job? Build(Func<string, bool> idTaken)
    {
        JsonObject document = Draft.Document;
        document["id"] = FreeId(Draft.Text("title"), idTaken);
        document["openedAt"] = clock.Now.ToString("yyyy-MM-dd'T'HH:mm:sszzz", CultureInfo.InvariantCulture);
        JsonObject chip = (JsonObject)document["chips"]![0]!;
        chip["from"] = FromDonor ? "donor" : "shelf";
        chip["to"] = "host";
        if (!FromDonor)
        {
            document.Remove("donor");
            chip.Remove("xMm");
            chip.Remove("yMm");
        }
        NameNozzle(document);
        Bench.LayInto(document);
        AddOldChip(document, chip);
        AddSensitiveParts(document, "host");
        if (FromDonor)
        {
            AddSensitiveParts(document, "donor");
        }
        int[] kept = KeepKnownExposures(document, chip["id"]?.ToString() ?? DefaultChipId);
        Job? job = Draft.Check();
        // The old chip is a copy of the typed one: what is wrong with it is wrong with that.
        Draft.MovePaths(path =>
            path.StartsWith("chips[1]", StringComparison.Ordinal)
                ? OldChipOnPage(path[8..])
                : ExposureOnPage(path, kept)
        );
        return ExtraProblems.Count == 0 ? job : null;
    }

    /// <summary>The first nozzle is named by its opening where it has no name; without anything typed there is none.</summary>
    private static void NameNozzle(JsonObject document)
    {
        if (JobPath.Find(document, Nozzles) is not JsonArray { Count: 1 } list || list[0] is not JsonObject nozzle)
        {
            return;
        }
        if (!nozzle.Any(field => field.Key != "round"))
        {
            list.Clear();
        }
        else
        {
            NozzleNames.Fill(document);
        }
    }

    private void AddOldChip(JsonObject document, JsonObject chip)
    {
        if (Extra(OldChipField, "true") != "true")
        {
            return;
        }
        JsonObject old = (JsonObject)chip.DeepClone();
        if (chip["id"] is { } id)
        {
            old["id"] = id + "-old";
        }
        old.Remove("marking");
        // It sits where the other one goes.
        Move(old, "hostXMm", "xMm");
        Move(old, "hostYMm", "yMm");
        old["from"] = "host";
        old["to"] = "scrap";
        ((JsonArray)document["chips"]!).Add(old);
    }

    private static void Move(JsonObject of, string from, string to)
    {
        JsonNode? value = of[from]?.DeepClone();
        of.Remove(from);
        of.Remove(to);
        if (value is not null)
        {
            of[to] = value;
        }
    }

    private void AddSensitiveParts(JsonObject document, string board)
    {
        List<JsonNode> parts = [];
        foreach (SensitivePart line in SensitivePart.All)
        {
            string field = line.FieldOn(board);
            string text = Extra(field).Trim();
            if (text.Length == 0)
            {
                continue;
            }
            if (
                !int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out int count)
                || count > SensitivePart.Most
            )
            {
                ExtraProblems[field] =
                    $"'{text}' is no count from 0 to {SensitivePart.Most}. More parts of a kind are drawn on the board picture.";
                continue;
            }
            for (int i = 1; i <= count; i++)
            {
                parts.Add(
                    new JsonObject
                    {
                        ["ref"] = string.Create(CultureInfo.InvariantCulture, $"{line.Ref} {i}"),
                        ["kind"] = FieldWords.NameOf(line.Kind),
                    }
                );
            }
        }
        if (parts.Count > 0)
        {
            JsonArray list = JobPath.ListAt(document, board + ".parts");
            parts.ForEach(list.Add);
        }
    }

    /// <summary>Keeps the exposures whose place was said; the others stay unknown, which counts as saturated.</summary>
    /// <returns>For each kept exposure, its index on the page.</returns>
    private int[] KeepKnownExposures(JsonObject document, string chipId)
    {
        JsonArray exposures = (JsonArray)document["history"]!["exposures"]!;
        List<int> kept = [];
        List<JsonNode> known = [];
        for (int i = 0; i < exposures.Count; i++)
        {
            if (exposures[i] is JsonObject exposure && exposure["place"] is not null)
            {
                exposure["of"] =
                    i == 0 ? "host"
                    : FromDonor ? "donor"
                    : chipId;
                kept.Add(i);
                known.Add(exposure.DeepClone());
            }
        }
        exposures.Clear();
        known.ForEach(exposures.Add);
        return [.. kept];
    }

    private static string OldChipOnPage(string field) =>
        "chips[0]"
        + (
            field is ".xMm" ? ".hostXMm"
            : field is ".yMm" ? ".hostYMm"
            : field
        );

    private static string ExposureOnPage(string path, int[] kept) =>
        ExposureIndex()
            .Replace(
                path,
                match =>
                    int.Parse(match.Groups["index"].Value, CultureInfo.InvariantCulture) is var index
                    && index < kept.Length
                        ? string.Create(CultureInfo.InvariantCulture, $"history.exposures[{kept[index]}]")
                        : match.Value
            );

    /// <summary>A free id made from the title.</summary>
    private static string FreeId(string title, Func<string, bool> idTaken)
    {
        string plain = NotIdLetters().Replace(title.ToLowerInvariant(), "-").Trim('-');
        string stem = plain.Length == 0 ? "job" : plain[..Math.Min(plain.Length, 56)].TrimEnd('-');
        string id = stem;
        for (int i = 2; JobFormat.IsReservedId(id) || idTaken(id); i++)
        {
            id = string.Create(CultureInfo.InvariantCulture, $"{stem}-{i}");
        }
        return id;
    }

    private static string Number(double number) => number.ToString("0.####", CultureInfo.InvariantCulture);

    [GeneratedRegex("[^a-z0-9]+", RegexOptions.None, matchTimeoutMilliseconds: 1000)]
    private static partial Regex NotIdLetters();

    [GeneratedRegex(
        @"^history\.exposures\[(?<index>[0-9]+)\]",
        RegexOptions.ExplicitCapture,
        matchTimeoutMilliseconds: 1000
    )]
    private static partial Regex ExposureIndex();
}
