using System.Text.Json;
using Graftbench.Core.Drying;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Web.JobScreen;

/// <summary>Pictures of a job, as the sheets draw them.</summary>
internal static class Pictures
{
    /// <summary>The host board with the chips that sit on it or go to it.</summary>
    public static string Board(JobPlan plan) =>
        BoardPicture.Svg(
            plan.Job.Host,
            ChipSites.Drawn(plan.Job, ChipPlace.Host),
            new BoardPictureOptions
            {
                Title = "Host board, seen from the top",
                WidthPx = 470,
                Heater =
                    HeaterPlaces.AreDescribed(plan.Job.Bench.Heat)
                    && plan.Job.Bench.Heat.Preheater.Kind != PreheaterKind.None
                        ? plan.Job.Bench.Heat.Preheater
                        : null,
                Nozzle = Nozzle(plan),
                RemoveFirst =
                [
                    .. plan
                        .Drying.Subjects.Where(subject => subject.Id == "host")
                        .SelectMany(subject => subject.RemoveFirst)
                        .Select(part => part.Ref),
                ],
            }
        );

    /// <summary>The calendar of the drying.</summary>
    public static string Calendar(JobPlan plan) =>
        CalendarPicture.Svg(
            plan.Drying.Calendar,
            plan.ComputedAt,
            plan.ComputedAt.Offset,
            plan.Drying.Subjects.ToDictionary(subject => subject.Id, subject => subject.Title, StringComparer.Ordinal)
        );

    /// <summary>Moisture through a body.</summary>
    public static string Moisture(MoistureProfile profile, BodyDrying body) =>
        MoisturePicture.Svg(profile, body.IfHeatedNow.TargetFraction, $"Moisture through {body.Ref}");

    /// <summary>The profile for the time slider: depths, times and fractions as they were computed, rounded for the wire.</summary>
    public static string ProfileData(MoistureProfile profile) =>
        JsonSerializer.Serialize(
            new
            {
                depthMm = profile.DepthMm.Select(depth => Math.Round(depth, 4)),
                timeH = profile.TimeH.Select(time => Math.Round(time, 4)),
                fraction = profile.Fraction.Select(fraction => Math.Round(fraction, 3)),
                meanFraction = profile.MeanFraction.Select(fraction => Math.Round(fraction, 3)),
            }
        );

    // Over the host alone: the picture shows no other board.
    private static NozzleOutline? Nozzle(JobPlan plan) =>
        plan.Heat is { Subject: "host board", Nozzle: { } nozzle }
            ? new NozzleOutline(
                nozzle.XMm,
                nozzle.YMm,
                nozzle.LengthMm,
                nozzle.WidthMm,
                plan.Job.Bench.Heat.Gas.Nozzles.Any(one => one.Name == nozzle.Name && one.Round)
            )
            : null;
}
