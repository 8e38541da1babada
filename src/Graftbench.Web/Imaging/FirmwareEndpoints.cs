using System.Globalization;
using System.Text.Json;
using Graftbench.Core.Planning;
using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Showing;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Updates;
using Graftbench.Store;
using Graftbench.Web.Hosting;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Imaging;

/// <summary>The screen of the firmware: looking. What changes the record is in <see cref="FirmwareActions"/>.</summary>
internal static class FirmwareEndpoints
{
    private const int MostHits = 200;

    /// <summary>What was just done, by the short name in the address: words never come from the address itself.</summary>
    private static readonly Dictionary<string, string> Done = new(StringComparer.Ordinal)
    {
        ["images"] = "Attached as evidence; the master copies are never written over.",
        ["role"] = "Corrected by a line in the record; the image itself stays.",
        ["processor"] = "Processor saved.",
        ["capacity"] = "Capacity saved.",
        ["combined"] = "Combined. Image, origins and report are in the record.",
    };

    public static void MapFirmware(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/firmware", Show);
        routes.MapFirmwareActions();
    }

    private static IResult Show(string id, HttpContext http, BenchStore store, FirmwareDesk desk)
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        IQueryCollection query = http.Request.Query;
        FirmwareView view = Opened(stored, desk, query["step"].ToString()) with
        {
            Done = Done.GetValueOrDefault(query["done"].ToString()),
        };
        return Page(Filled(view, store, desk, query), StatusCodes.Status200OK);
    }

    /// <summary>The page of a view.</summary>
    public static RazorComponentResult<FirmwarePage> Page(FirmwareView view, int status) =>
        Pages.Of<FirmwarePage>(status, (nameof(FirmwarePage.View), view));

    /// <summary>The screen of a job with one part open and nothing in it yet.</summary>
    public static FirmwareView Opened(StoredJob stored, FirmwareDesk desk, string tab)
    {
        FirmwareRecord record = desk.Record(stored.Job.Id);
        FirmwareTab open = FirmwareTab.All.FirstOrDefault(each => each.Id == tab) ?? FirmwareTab.All[0];
        return new FirmwareView(stored, record, desk.Answer(record), open);
    }

    private static FirmwareView Filled(
        FirmwareView view,
        BenchStore store,
        FirmwareDesk desk,
        IQueryCollection query
    ) =>
        view.Tab.Id switch
        {
            "trust" => view with { Trust = desk.Trust(view.Record) },
            "map" => WithLook(view, desk, query),
            "compare" => WithPair(view, desk, query),
            "knows" => view with
            {
                OwnKnows = desk.Knows(view.Record, view.Record.Reads.Count > 0 ? view.Record.Reads[0] : null),
                NewerKnows = desk.Knows(view.Record, view.Record.Newer),
                Signature = view.Record.Signature?.ToString() ?? "",
            },
            "identity" => WithIdentity(view, desk, Label(view, name => query[name])),
            "combined" => WithCombined(view, store, query),
            "read-back" => WithReadBack(view, desk, query),
            _ => view,
        };

    private static FirmwareView WithLook(FirmwareView view, FirmwareDesk desk, IQueryCollection query)
    {
        JobImage? image =
            view.Record.Find(Number(query["image"])) ?? (view.Record.Reads.Count > 0 ? view.Record.Reads[0] : null);
        image ??= view.Record.Images.Count > 0 ? view.Record.Images[^1] : null;
        if (image is null)
        {
            return view;
        }
        List<string> problems = [];
        ImageTree tree = desk.Tree(image);
        LookRequest asked = new(
            Typed(query["at"]),
            (int)(Number(query["space"]) is { } number && number < tree.Spaces.Count ? number : 0),
            Typed(query["find"]),
            Typed(query["text"])
        );
        PlaceInImage? place = null;
        if (asked.At is { } typed)
        {
            place = ShownText.Offset(typed) is { } at ? PlaceInImage.Of(tree, asked.Space, at) : null;
            if (place is null)
            {
                problems.Add(
                    $"Offset {ShownText.Of(typed)}: write a hexadecimal number below {tree.Spaces[asked.Space].Bytes.Length:X}h."
                );
            }
        }
        IReadOnlyList<SearchHit>? hits = null;
        if (asked.Find is { } hex)
        {
            hits = ShownText.Bytes(hex) is { } bytes ? ImageSearch.Bytes(tree, bytes, MostHits) : null;
            if (hits is null)
            {
                problems.Add(
                    $"Bytes {ShownText.Of(hex)}: write two hexadecimal digits for each byte, like 55AA or 02:00:5E."
                );
            }
        }
        else if (asked.Text is { } text)
        {
            hits = ImageSearch.Text(tree, text, MostHits);
        }
        return view with
        {
            Look = new ImageLook(
                image,
                tree,
                ImageParts.Of(tree),
                place,
                place is null ? [] : HexDump.Rows(place.Space.Bytes, place.At),
                hits,
                asked
            ),
            Problems = [.. view.Problems, .. problems],
        };
    }

    private static FirmwareView WithPair(FirmwareView view, FirmwareDesk desk, IQueryCollection query)
    {
        JobImage? first =
            view.Record.Find(Number(query["image"])) ?? (view.Record.Reads.Count > 0 ? view.Record.Reads[0] : null);
        JobImage? second = view.Record.Find(Number(query["beside"])) ?? view.Record.Combined ?? view.Record.Newer;
        if (second is null && view.Record.Reads.Count > 1)
        {
            second = view.Record.Reads[1];
        }
        if (first is null || second is null)
        {
            return view;
        }
        ImageTree a = desk.Tree(first);
        ImageTree b = desk.Tree(second);
        ImageLayout layout = ImageLayout.Of(a, b);
        int shift = layout.Shift ?? 0;
        ImageDifferences differences = ImageDifferences.Of(a.File.Bytes, b.File.Bytes, shift);
        int at =
            ShownText.Offset(query["at"].ToString()) is { } asked && asked < a.File.Bytes.Length ? asked
            : differences.Ranges.Count > 0 ? differences.Ranges[0].Start
            : 0;
        int there = at / HexDump.RowBytes * HexDump.RowBytes - shift;
        return view with
        {
            Pair = new PairLook(
                first,
                second,
                a,
                layout.Words,
                differences,
                at,
                HexDump.Rows(a.File.Bytes, at),
                there < 0 ? [] : HexDump.Rows(b.File.Bytes, there)
            ),
        };
    }

    /// <summary>What was typed of the label; the job's own serial where nothing was.</summary>
    public static LabelText Label(FirmwareView view, Func<string, string?> typed)
    {
        string own = view.Stored.Job.Machine.Serial?.Trim() ?? "";
        return new LabelText(
            typed("serial") ?? (KnownIdentityText.IsSerial(own) ? own : ""),
            typed("uuid") ?? "",
            typed("mac") ?? ""
        );
    }

    /// <summary>The screen with what belongs to the machine; sure proposals are ticked.</summary>
    public static FirmwareView WithIdentity(FirmwareView view, FirmwareDesk desk, LabelText label)
    {
        (KnownIdentity known, IReadOnlyList<string> problems) = KnownIdentityText.Read(
            label.Serial,
            label.Uuid,
            label.Mac
        );
        IdentityAnswer? answer = desk.Identity(view.Record, known, $"{label.Serial}\n{label.Uuid}\n{label.Mac}");
        HashSet<string> taken =
        [
            .. (answer?.Proposals ?? [])
                .Where(one => one.Obstacle is null && one.ConfidenceFraction >= IdentityAnswer.AcceptFraction)
                .Select(one => one.Id),
        ];
        return view with
        {
            Identity = new IdentityLook(
                answer,
                label,
                problems,
                taken,
                new HashSet<string>(StringComparer.Ordinal),
                "",
                null
            ),
        };
    }

    private static FirmwareView WithCombined(FirmwareView view, BenchStore store, IQueryCollection query)
    {
        JobImage? image = view.Record.Find(Number(query["image"])) is { Combined: not null } asked
            ? asked
            : view.Record.Combined;
        return view with { CombinedImage = image, Combined = Report(image, store) };
    }

    private static CombineAnswerView? Report(JobImage? image, BenchStore store)
    {
        if (image?.Combined is not { Report.Length: > 0 } note || store.FindFile(note.Report) is not { } file)
        {
            return null;
        }
        try
        {
            return JsonSerializer.Deserialize<CombineAnswerView>(file.Bytes, PlanJson.Options);
        }
        catch (JsonException)
        {
            // A report of another version: its file can still be fetched.
            return null;
        }
    }

    private static FirmwareView WithReadBack(FirmwareView view, FirmwareDesk desk, IQueryCollection query)
    {
        JobImage? intended = view.Record.Find(Number(query["image"])) ?? view.Record.Combined;
        JobImage? back =
            view.Record.Find(Number(query["beside"])) ?? view.Record.Of(ImageRole.ReadBack).LastOrDefault();
        return view with
        {
            Intended = intended,
            ReadBackImage = back,
            ReadBack = intended is not null && back is not null ? desk.ReadBackOf(view.Record, intended, back) : null,
        };
    }

    private static string? Typed(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();

    private static long? Number(string? text) =>
        long.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out long number) ? number : null;
}
