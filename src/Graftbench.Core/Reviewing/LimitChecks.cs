using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;

namespace Graftbench.Core.Reviewing;

/// <summary>Figures of a run held against the heat's limits and the classification's profile table.</summary>
internal static class LimitChecks
{
    /// <summary>Every limit of the heat with the run's figure.</summary>
    public static IEnumerable<ReviewCheck> Of(ReviewRequest request, ReviewBook book, string chip, bool believed)
    {
        double[]? planned = Planned(request);
        for (int i = 0; i < request.Limits.Count; i++)
        {
            HeatLimit limit = request.Limits[i];
            ReviewFigure figure = Figure(request, book, limit, chip, believed);
            Verdict verdict = ReviewVerdicts.Of(figure, limit.Value, limit.AtLeast, limit.Hard);
            bool solid =
                limit.Kind == HeatLimitKind.ColdestJointPeak && figure.High is double high && high < request.MoltenC;
            yield return new ReviewCheck(
                figure,
                limit.Value,
                limit.AtLeast,
                limit.Hard,
                planned?[i],
                limit.Source,
                limit.Why,
                solid ? Verdict.Blocker : verdict
            );
        }
    }

    /// <summary>What the classification table counts besides, at the body's top.</summary>
    public static IEnumerable<ReviewCheck> OfBody(ReviewRequest request, Track? body)
    {
        if (request.Process is not { } process || body is null || body.Curve.Count < 3)
        {
            yield break;
        }
        bool fromJob = request.Limits.Count > 0;
        if (!fromJob && request.ClassTemperatureC is double classC)
        {
            (Measure peak, _) = RunMeasures.Peak(body.Curve, body.OffDeltaK);
            ReviewFigure figure = body.Figure("peak", "peak", "°C", peak);
            yield return new ReviewCheck(
                figure,
                classC,
                false,
                true,
                null,
                "job-file",
                "The classification temperature as given.",
                ReviewVerdicts.Of(figure, classC, false, hard: true)
            );
        }
        foreach ((string item, ReviewFigure figure) in ReviewBook.Body(body, process, request.ClassTemperatureC))
        {
            // The heat's own limits hold these already.
            if (fromJob && item is "molten-most" or "to-peak-most")
            {
                continue;
            }
            ReflowProfileRow row = ReflowTables.Profiled(item, process);
            bool least = item.EndsWith("-least", StringComparison.Ordinal);
            // Too short a soak or melt is no harm to the body.
            bool hard =
                !least
                && (!fromJob || request.Limits.Any(limit => limit is { Kind: HeatLimitKind.BodyPeak, Hard: true }));
            yield return new ReviewCheck(
                figure,
                row.Value,
                least,
                hard,
                null,
                row.Source,
                $"{row.Title}: {ReviewWords.Digits(row.Value, row.Unit)} {row.Unit} (J-STD-020).",
                ReviewVerdicts.Of(figure, row.Value, least, hard)
            );
        }
    }

    /// <summary>A check as a finding.</summary>
    public static Finding Found(ReviewCheck check, ReviewRequest request)
    {
        ReviewFigure figure = check.Figure;
        string side = check.LimitIsLeast ? "at least" : "at most";
        string limit = $"{side} {ReviewWords.Digits(check.Limit, figure.Unit)} {figure.Unit}";
        string about = Capital(figure.Title);
        string what = check.Verdict switch
        {
            Verdict.Ok => $"{about}: inside the limit, {ReviewWords.Basis(figure)}.",
            Verdict.Blocker =>
                $"{about}: below full melt of {ReviewWords.Digits(request.MoltenC ?? 0, "°C")} °C, even at the upper end of its range.",
            Verdict.FixFirst => $"{about}: the limit was not kept, {ReviewWords.Basis(figure)}.",
            Verdict.Warning when Within(check) =>
                $"{about}: the limit lies within the uncertainty, so it cannot be said to be kept ({ReviewWords.Basis(figure)}).",
            Verdict.Warning => $"{about}: not as aimed at, {ReviewWords.Basis(figure)}.",
            _ when figure.Value is null => $"{about}: neither measured nor estimated, so it could not be checked.",
            _ => $"{about}: not all of it was seen, so it cannot be told.",
        };
        HeatLimit? own = request.Limits.FirstOrDefault(one => one.Why == check.Why && one.Value == check.Limit);
        return new Finding(
            check.Verdict,
            "review." + figure.Key,
            figure.Subject,
            what,
            figure.Value is null ? null : ReviewWords.Of(figure),
            limit,
            check.Source,
            check.Verdict >= Verdict.Unknown ? null
                : own is not null ? ReviewWords.Todo(own.Kind)
                : "Change the stage that it belongs to next time."
        );
    }

    private static bool Within(ReviewCheck check) =>
        (check.Figure.Low ?? double.NegativeInfinity) <= check.Limit
        && (check.Figure.High ?? double.PositiveInfinity) >= check.Limit;

    private static double[]? Planned(ReviewRequest request)
    {
        if (request.Planned is not { } trace || request.Estimate is not { } estimate || request.Limits.Count == 0)
        {
            return null;
        }
        double[] figures = new double[request.Limits.Count];
        new RunFigures(
            [.. estimate.Places.Select(place => place.Place)],
            request.Limits,
            request.MoltenC ?? 220
        ).Compute(trace, request.HeatingS ?? request.Plan?.DurationS ?? 0, smooth: false, figures);
        return figures;
    }

    private static ReviewFigure Figure(
        ReviewRequest request,
        ReviewBook book,
        HeatLimit limit,
        string chip,
        bool believed
    )
    {
        HeatPlace? place = request.Estimate?.Places.FirstOrDefault(one => one.Place.Name == limit.Place)?.Place;
        (HeatPlaceKind kind, string subject) = limit.Kind switch
        {
            HeatLimitKind.UndersidePeak => (HeatPlaceKind.Underside, "underside"),
            HeatLimitKind.NeighbourSolid => (
                HeatPlaceKind.NeighbourJoint,
                $"joints of {place?.Part ?? limit.Place ?? "a neighbour"}"
            ),
            _ when limit.OfNeighbour => (
                place?.Kind ?? HeatPlaceKind.NeighbourBody,
                place?.Part ?? limit.Place ?? "neighbour"
            ),
            _ => (HeatPlaceKind.BodyTop, chip),
        };
        string? part = limit.OfNeighbour ? place?.Part ?? limit.Place : null;
        Track? Here() => book.At(kind, part, place?.Name, subject, believed);
        switch (limit.Kind)
        {
            case HeatLimitKind.ColdestJointPeak or HeatLimitKind.HottestJointPeak:
                bool coldest = limit.Kind == HeatLimitKind.ColdestJointPeak;
                return believed
                    ? book.JointPeak(coldest)
                    : Missing("peak", coldest ? "coldest joint" : "hottest joint", "peak", "°C");
            case HeatLimitKind.MoltenTimeLeast:
                return believed && request.MoltenC is double moltenC
                    ? book.JointAbove(moltenC, least: true)
                    : Missing("above", "coldest joint", "time above full melt", "s");
            case HeatLimitKind.JointSpread:
                return believed
                    ? book.Spread()
                    : Missing("spread", "joints", "hottest less coldest joint at the coldest one's peak", "K");
            case HeatLimitKind.HeatingTime:
                return request.HeatingS is double heatingS
                    ? new ReviewFigure(
                        "heating",
                        "schedule",
                        "heating, up to switching off",
                        FigureBasis.Schedule,
                        "set points",
                        heatingS,
                        heatingS,
                        heatingS,
                        "s",
                        false
                    )
                    : Missing("heating", "schedule", "heating, up to switching off", "s");
            case HeatLimitKind.MoltenTimeMost or HeatLimitKind.NeighbourTime:
                double levelC = limit.AboveC ?? (request.Process == SolderProcess.TinLead ? 183 : 217);
                string above = $"time above {ReviewWords.Digits(levelC, "s")} °C";
                return Here() is { Curve.Count: > 2 } timed
                    ? timed.Figure("above", above, "s", RunMeasures.Above(timed.Curve, levelC, timed.OffDeltaK))
                    : Missing("above", subject, above, "s");
            case HeatLimitKind.BodyRise or HeatLimitKind.NeighbourRise:
                return Here() is { Curve.Count: > 2 } rising
                    ? rising.Figure(
                        "rise",
                        $"steepest rise over {RunMeasures.WindowS(rising.Curve):0.#} s",
                        "K/s",
                        RunMeasures.SteepestRise(rising.Curve, rising.SlopeOffFraction)
                    )
                    : Missing("rise", subject, "steepest rise over 10 s", "K/s");
            case HeatLimitKind.BodyFall:
                return Here() is { Curve.Count: > 2 } falling
                    ? falling.Figure(
                        "fall",
                        $"steepest fall over {RunMeasures.WindowS(falling.Curve):0.#} s",
                        "K/s",
                        RunMeasures.SteepestFall(falling.Curve, limit.AboveC ?? 183, falling.SlopeOffFraction)
                    )
                    : Missing("fall", subject, "steepest fall over 10 s", "K/s");
            case HeatLimitKind.TimeToPeak:
                return Here() is { Curve.Count: > 2 } peaking
                    ? peaking.Figure(
                        "to-peak",
                        "from 25 °C to the peak",
                        "s",
                        RunMeasures.ToPeak(peaking.Curve, 25, peaking.OffDeltaK)
                    )
                    : Missing("to-peak", subject, "from 25 °C to the peak", "s");
            default:
                return Here() is { Curve.Count: > 2 } here
                    ? here.Figure("peak", "peak", "°C", RunMeasures.Peak(here.Curve, here.OffDeltaK).Peak)
                    : Missing("peak", subject, "peak", "°C");
        }
    }

    private static ReviewFigure Missing(string key, string subject, string title, string unit) =>
        new(key, subject, title, FigureBasis.Estimated, "nothing", null, null, null, unit, false);

    private static string Capital(string words) => char.ToUpperInvariant(words[0]) + words[1..];
}
