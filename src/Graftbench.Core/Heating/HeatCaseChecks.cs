using System.Globalization;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Core.Heating;

/// <summary>What no single field of a heat case can show.</summary>
internal static class HeatCaseChecks
{
    private const string Whose = "Graftbench heat model";
    private const double ThinnestMm = 1e-3;
    private const double NarrowestMeltDeltaK = 0.5;

    /// <summary>Runs every check on a document whose fields are each in order.</summary>
    public static IEnumerable<JobCheck> Run(HeatCaseDocument document) =>
        Boxes(document)
            .Concat(Unique("boxes", document.Boxes.Select(box => box.Name)))
            .Concat(Unique("signals", document.Signals.Select(signal => signal.Name)))
            .Concat(Unique("probes", document.Probes.Select(probe => probe.Name)))
            .Concat(Signals(document))
            .Concat(
                document.Films.SelectMany(
                    (film, i) => Faces(document, $"films[{i}]", film.Sink, film.Inside, film.Outside, film.OnlyBoxes)
                )
            )
            .Concat(
                document.Radiation.SelectMany(
                    (patch, i) =>
                        Faces(document, $"radiation[{i}]", patch.Sink, patch.Inside, patch.Outside, patch.OnlyBoxes)
                )
            )
            .Concat(Probes(document))
            .Concat(Times(document));

    private static IEnumerable<JobCheck> Boxes(HeatCaseDocument document)
    {
        if (document.Boxes.Count == 0)
        {
            yield return Check(
                "boxes",
                "There is nothing to heat.",
                "0 boxes",
                "at least one",
                "Add the board as a box."
            );
        }
        for (int b = 0; b < document.Boxes.Count; b++)
        {
            CaseBox box = document.Boxes[b];
            foreach (
                (string axis, double from, double to) in new[]
                {
                    ("x", box.X0Mm, box.X1Mm),
                    ("y", box.Y0Mm, box.Y1Mm),
                    ("z", box.Z0Mm, box.Z1Mm),
                }
            )
            {
                if (to - from < ThinnestMm)
                {
                    yield return Check(
                        $"boxes[{b}].{axis}1Mm",
                        $"Box {box.Name} has no extent in {axis}.",
                        Invariant($"{from} to {to} mm"),
                        Invariant($"more than {ThinnestMm} mm"),
                        "Swap the ends, or give the box a thickness.",
                        $"boxes[{b}].{axis}0Mm"
                    );
                }
            }
            if (box.Melting is { } melting && melting.LiquidusC - melting.SolidusC < NarrowestMeltDeltaK)
            {
                yield return Check(
                    $"boxes[{b}].melting.liquidusC",
                    "The melting range is too narrow to be followed.",
                    Invariant($"{melting.SolidusC} to {melting.LiquidusC} °C"),
                    Invariant($"at least {NarrowestMeltDeltaK} K wide"),
                    "Put the liquidus at least half a kelvin above the solidus; a eutectic is followed as 1 K wide.",
                    $"boxes[{b}].melting.solidusC"
                );
            }
        }
    }

    private static IEnumerable<JobCheck> Unique(string list, IEnumerable<string> names)
    {
        HashSet<string> seen = new(StringComparer.Ordinal);
        int i = 0;
        foreach (string name in names)
        {
            if (!seen.Add(name))
            {
                yield return Check(
                    $"{list}[{i}].name",
                    $"The name {name} is there twice.",
                    name,
                    "each name once",
                    "Rename one of them."
                );
            }
            i++;
        }
    }

    private static IEnumerable<JobCheck> Signals(HeatCaseDocument document)
    {
        for (int s = 0; s < document.Signals.Count; s++)
        {
            CaseSignal signal = document.Signals[s];
            if (signal.Points.Count == 0)
            {
                yield return Check(
                    $"signals[{s}].points",
                    $"Signal {signal.Name} has no points.",
                    "0 points",
                    "at least one",
                    "Give its temperature at time 0."
                );
            }
            for (int p = 1; p < signal.Points.Count; p++)
            {
                if (signal.Points[p].TimeS < signal.Points[p - 1].TimeS)
                {
                    yield return Check(
                        $"signals[{s}].points[{p}].timeS",
                        $"The times of signal {signal.Name} go back.",
                        Invariant($"{signal.Points[p - 1].TimeS} s, then {signal.Points[p].TimeS} s"),
                        "times that do not fall",
                        "Sort the points by time.",
                        $"signals[{s}].points[{p - 1}].timeS"
                    );
                    break;
                }
            }
        }
    }

    private static IEnumerable<JobCheck> Faces(
        HeatCaseDocument document,
        string path,
        IReadOnlyList<CaseShare> sink,
        CaseRect? inside,
        CaseRect? outside,
        IReadOnlyList<string> onlyBoxes
    )
    {
        List<string> signals = [.. document.Signals.Select(signal => signal.Name)];
        for (int s = 0; s < sink.Count; s++)
        {
            if (!signals.Contains(sink[s].Signal))
            {
                yield return Check(
                    $"{path}.sink[{s}].signal",
                    "No signal bears this name.",
                    sink[s].Signal,
                    JobReaderNames.List(signals),
                    Nearest(sink[s].Signal, signals, "Add the signal."),
                    "signals"
                );
            }
        }
        double sum = sink.Sum(share => share.ShareFraction);
        if (Math.Abs(sum - 1) > 1e-6)
        {
            yield return Check(
                $"{path}.sink",
                "The shares of the sink do not add up to 1.",
                Invariant($"{sum}"),
                "1",
                "Correct the shares."
            );
        }
        foreach ((string name, CaseRect? rect) in new[] { ("inside", inside), ("outside", outside) })
        {
            if (rect is not null && (rect.X1Mm <= rect.X0Mm || rect.Y1Mm <= rect.Y0Mm))
            {
                yield return Check(
                    $"{path}.{name}",
                    "The rectangle has no area.",
                    Invariant($"x {rect.X0Mm} to {rect.X1Mm}, y {rect.Y0Mm} to {rect.Y1Mm} mm"),
                    "ends that rise",
                    "Swap its ends."
                );
            }
        }
        List<string> boxes = [.. document.Boxes.Select(box => box.Name)];
        for (int b = 0; b < onlyBoxes.Count; b++)
        {
            if (!boxes.Contains(onlyBoxes[b]))
            {
                yield return Check(
                    $"{path}.onlyBoxes[{b}]",
                    "No box bears this name.",
                    onlyBoxes[b],
                    JobReaderNames.List(boxes.Take(20)),
                    Nearest(onlyBoxes[b], boxes, "Add the box."),
                    "boxes"
                );
            }
        }
    }

    private static IEnumerable<JobCheck> Probes(HeatCaseDocument document)
    {
        const double TouchMm = 1e-6;
        for (int p = 0; p < document.Probes.Count; p++)
        {
            CaseProbe probe = document.Probes[p];
            bool held = document.Boxes.Any(box =>
                probe.XMm >= box.X0Mm - TouchMm
                && probe.XMm <= box.X1Mm + TouchMm
                && probe.YMm >= box.Y0Mm - TouchMm
                && probe.YMm <= box.Y1Mm + TouchMm
                && probe.ZMm >= box.Z0Mm - TouchMm
                && probe.ZMm <= box.Z1Mm + TouchMm
            );
            if (!held)
            {
                yield return Check(
                    $"probes[{p}]",
                    $"Probe {probe.Name} lies in the air.",
                    Invariant($"x {probe.XMm}, y {probe.YMm}, z {probe.ZMm} mm"),
                    "inside a box or on its face",
                    "Move it onto a box; heights count from the board's top face, downwards negative.",
                    "boxes"
                );
            }
        }
    }

    private static IEnumerable<JobCheck> Times(HeatCaseDocument document)
    {
        for (int t = 0; t < document.TimesS.Count; t++)
        {
            if (document.TimesS[t] > document.DurationS || (t > 0 && document.TimesS[t] <= document.TimesS[t - 1]))
            {
                yield return Check(
                    $"timesS[{t}]",
                    "The moments must rise and lie within the run.",
                    Invariant($"{document.TimesS[t]} s"),
                    Invariant($"up to {document.DurationS} s"),
                    "Sort the moments, or let the run last longer.",
                    "durationS"
                );
                break;
            }
        }
    }

    private static string Nearest(string given, IEnumerable<string> known, string otherwise) =>
        JobReaderNames.Nearest(given, known) is { } nearest ? $"Did you mean {nearest}?" : otherwise;

    private static JobCheck Check(
        string path,
        string what,
        string value,
        string allowed,
        string todo,
        params string[] also
    ) => new(new JobProblem(path, 0, 0, what, value, allowed, Whose, todo), [path, .. also]);
}
