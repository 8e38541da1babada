using System.Globalization;
using System.IO.Ports;
using System.Text;
using Graftbench.Core.Inspection;
using Graftbench.Core.Jobs;
using Graftbench.Core.Proof;
using Graftbench.Probes;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Proving;

/// <summary>The screen of readings: entry at the bench, import, the meter on a serial port. Every reading is a line that is added.</summary>
internal static class ReadingEndpoints
{
    private static readonly Dictionary<string, string> Done = new(StringComparer.Ordinal)
    {
        ["taken"] = "Saved.",
        ["back"] = "Taken back by a line in the record; the reading itself stays there.",
        ["imported"] = "All readings of the list are saved.",
    };

    public static void MapReadings(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/readings", Show);
        routes.MapGet("/jobs/{id}/readings.csv", Csv);
        routes.MapPost("/jobs/{id}/readings/take", (Delegate)Take);
        routes.MapPost("/jobs/{id}/readings/import", (Delegate)Import);
        routes.MapPost("/jobs/{id}/readings/{line:long}/back", (Delegate)Back);
        routes.MapGet("/jobs/{id}/readings/meter.json", Meter);
        routes.MapPost("/jobs/{id}/readings/meter", (Delegate)UseMeter);
    }

    private static IResult Show(string id, HttpContext http, BenchStore store, ReadingDesk desk) =>
        store.FindJob(id) is { } stored
            ? Page(
                ReadingView.Of(
                    stored,
                    desk,
                    ReadingPlace.Read(name => http.Request.Query[name].ToString()),
                    ReadingPlace.Cut(http.Request.Query["net"].ToString())
                ) with
                {
                    Done = Done.GetValueOrDefault(http.Request.Query["done"].ToString()),
                }
            )
            : Pages.NoSuchJob(id);

    private static IResult Csv(string id, BenchStore store, ReadingDesk desk) =>
        store.FindJob(id) is null
            ? Pages.NoSuchJob(id)
            : Results.File(
                Encoding.UTF8.GetBytes(ReadingList.Write(desk.Record(id).All)),
                "text/csv",
                $"{id}-readings.csv"
            );

    private static async Task<IResult> Take(
        string id,
        HttpContext http,
        BenchStore store,
        ReadingDesk desk,
        MeterHost meter,
        BenchClock clock
    )
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        ReadingPlace place = ReadingPlace.Read(name => form[name].ToString());
        string net = ReadingPlace.Cut(form["net"].ToString());
        string typed = form["overload"].ToString() == "yes" ? "OL" : form["value"].ToString();
        List<string> problems = [];
        if (net.Length == 0)
        {
            problems.Add("Say which net or rail it is.");
        }
        ValueReading value = ReadingText.Parse(typed, place.Kind);
        if (value.Problem is { } problem)
        {
            problems.Add(problem);
        }
        double? boardC = Within(
            place.Board,
            "Board temperature",
            ReadingLimits.LeastBoardC,
            ReadingLimits.MostBoardC,
            "°C",
            problems
        );
        double? xMm = Within(
            form["x"].ToString(),
            "From the left edge",
            -ReadingLimits.MostPlaceMm,
            ReadingLimits.MostPlaceMm,
            "mm",
            problems
        );
        double? yMm = Within(
            form["y"].ToString(),
            "From the lower edge",
            -ReadingLimits.MostPlaceMm,
            ReadingLimits.MostPlaceMm,
            "mm",
            problems
        );
        string ball = form["ball"].ToString().Trim().ToUpperInvariant();
        if (ball.Length > 0 && BallNames.Parse(ball, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") is null)
        {
            problems.Add($"Ball '{FormText.Shown(ball)}': one or two letters and a number, like AB12, or empty.");
        }
        string junctions = form["junctions"].ToString().Trim();
        int? hang =
            int.TryParse(junctions, NumberStyles.None, CultureInfo.InvariantCulture, out int many)
            && many is >= 1 and <= 1000
                ? many
                : null;
        if (junctions.Length > 0 && hang is null)
        {
            problems.Add($"Like junctions '{ReadingPlace.Cut(junctions)}': a whole number from 1 to 1000, or empty.");
        }
        if (problems.Count > 0)
        {
            return Page(
                ReadingView.Of(stored, desk, place, net) with
                {
                    Typed = typed,
                    Problems = [.. problems, "Nothing was saved."],
                },
                StatusCodes.Status422UnprocessableEntity
            );
        }
        ReadingView view = ReadingView.Of(stored, desk, place, net);
        Reading reading = new()
        {
            Net = net,
            Kind = place.Kind,
            Value = value.Value!,
            State = place.State,
            Polarity = place.Polarity,
            Meter = place.Meter.Length > 0 ? place.Meter : null,
            Person = Saving.Who(stored.Job),
            Repeat = view.Nets.FirstOrDefault(one => ReadingView.Same(one.Name, net))?.Here.Count + 1,
            BoardC = boardC,
            At = clock.Now,
            XMm = xMm,
            YMm = yMm,
            Ball = ball.Length > 0 ? ball : null,
            Junctions = hang,
            Leads = place.Leads,
            Revision = place.Revision.Length > 0 ? place.Revision : null,
        };
        desk.Append(stored.Job, "reading", Words(reading), new ReadingNote { Csv = ReadingList.Write([reading]) });
        meter.Anew();
        string? next = form["again"].ToString() == "yes" ? net : view.After(net);
        return Results.LocalRedirect($"{view.Address}{place.Query(next)}&done=taken#take");
    }

    private static double? Within(
        string text,
        string what,
        double least,
        double most,
        string unit,
        List<string> problems
    )
    {
        if (text.Trim().Length == 0)
        {
            return null;
        }
        if (FormText.Number(text) is { } value && value >= least && value <= most)
        {
            return value;
        }
        problems.Add(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{what} '{FormText.Shown(text)}': from {least} to {most} {unit} (our limit), or empty."
            )
        );
        return null;
    }

    private static async Task<IResult> Import(string id, HttpContext http, BenchStore store, ReadingDesk desk)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        ReadingPlace place = ReadingPlace.Read(name => form[name].ToString());
        ReadingView view = ReadingView.Of(stored, desk, place, null);
        IFormFile? file = form.Files.FirstOrDefault(one => one.Name == "file" && one.Length > 0);
        if (file is null or { Length: > 4L * ReadingList.MostCharacters })
        {
            return Page(
                view with
                {
                    Problems =
                    [
                        file is null
                            ? "Choose the list first."
                            : string.Create(
                                CultureInfo.InvariantCulture,
                                $"{file.FileName}: {file.Length} bytes are more than a list may have (our limit). Split it."
                            ),
                        "Nothing was saved.",
                    ],
                },
                StatusCodes.Status422UnprocessableEntity
            );
        }
        byte[] bytes = new byte[file.Length];
        await using Stream stream = file.OpenReadStream();
        await stream.ReadExactlyAsync(bytes, http.RequestAborted);
        using StreamReader reader = new(new MemoryStream(bytes), Encoding.UTF8, true);
        ReadingListResult read = ReadingList.Read(await reader.ReadToEndAsync(http.RequestAborted), place.State);
        if (!read.Sound)
        {
            IEnumerable<string> problems = read.Problems.Select(one =>
                $"{(one.Line > 0 ? string.Create(CultureInfo.InvariantCulture, $"Line {one.Line}: ") : "")}{one.What} {one.Todo}"
            );
            string[] more = read.NotListed > 0 ? [$"{read.NotListed} further problems are not listed."] : [];
            return Page(
                view with
                {
                    Problems = [.. problems, .. more, "Nothing was saved."],
                },
                StatusCodes.Status422UnprocessableEntity
            );
        }
        string name = FileNames.Plain(file.FileName, "readings.csv");
        desk.Append(
            stored.Job,
            "reading",
            string.Create(CultureInfo.InvariantCulture, $"{read.Readings.Count} readings from {name}."),
            new ReadingNote { Csv = ReadingList.Write(read.Readings) },
            new StoredFile(name, "text/csv", bytes)
        );
        return Results.LocalRedirect($"{view.Address}{place.Query()}&done=imported");
    }

    private static async Task<IResult> Back(string id, long line, HttpContext http, BenchStore store, ReadingDesk desk)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        JobReading? reading = desk.Record(id).Readings.FirstOrDefault(one => one.Line == line);
        ReadingPlace place = ReadingPlace.Read(name => form[name].ToString());
        if (reading is not null)
        {
            desk.Append(
                stored.Job,
                "decision",
                reading.Alone
                    ? $"Taken back: {Words(reading.Reading)}"
                    : string.Create(CultureInfo.InvariantCulture, $"Taken back: all readings of line {line}."),
                new ReadingNote { TakesBack = line }
            );
        }
        return Results.LocalRedirect($"/jobs/{id}/readings{place.Query()}&done=back");
    }

    private static IResult Meter(string id, string? kind, BenchStore store, MeterHost meter)
    {
        if (store.FindJob(id) is null)
        {
            return Pages.NoSuchJob(id);
        }
        ReadingKind wanted = ReadingPlace.Named<ReadingKind>(kind ?? "") ?? ReadingKind.Diode;
        MeterState state = meter.State(wanted);
        return Results.Json(
            new
            {
                port = state.Port,
                told = state.Told,
                line = state.Shown?.Line,
                shows = state.Shown?.Value is { } value ? ReadingText.Of(wanted, value) : null,
                settled = state.Shown?.Settled is { } settled ? ReadingText.Of(wanted, settled) : null,
                problem = state.Shown?.Problem,
            }
        );
    }

    private static async Task<IResult> UseMeter(
        string id,
        HttpContext http,
        BenchStore store,
        ReadingDesk desk,
        MeterHost meter
    )
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        ReadingPlace place = ReadingPlace.Read(name => form[name].ToString());
        string net = ReadingPlace.Cut(form["net"].ToString());
        if (form["do"].ToString() == "stop")
        {
            meter.Stop();
        }
        else
        {
            string port = ReadingPlace.Cut(form["port"].ToString());
            List<string> problems = [];
            if (port.Length == 0)
            {
                problems.Add("Say which serial port the meter is on.");
            }
            if (
                !int.TryParse(form["baud"].ToString(), NumberStyles.None, CultureInfo.InvariantCulture, out int baud)
                || baud is < 50 or > 4_000_000
            )
            {
                problems.Add(
                    $"Signs a second '{ReadingPlace.Cut(form["baud"].ToString())}': a whole number from 50 to 4000000."
                );
            }
            if (problems.Count > 0)
            {
                return Page(
                    ReadingView.Of(stored, desk, place, net) with
                    {
                        Problems = problems,
                    },
                    StatusCodes.Status422UnprocessableEntity
                );
            }
            meter.Start(new SerialSource(port, new SerialSetting(baud)));
        }
        return Results.LocalRedirect($"/jobs/{id}/readings{place.Query(net)}#take");
    }

    /// <summary>A reading in words.</summary>
    public static string Words(Reading reading) =>
        $"{reading.Net}, {ProofWords.Of(reading.Kind)}: {ReadingText.Of(reading.Kind, reading.Value)} ({ReadingPlace.Words(reading.State).ToLowerInvariant()}).";

    private static RazorComponentResult<ReadingsPage> Page(ReadingView view, int status = StatusCodes.Status200OK) =>
        Pages.Of<ReadingsPage>(status, (nameof(ReadingsPage.View), view));
}
