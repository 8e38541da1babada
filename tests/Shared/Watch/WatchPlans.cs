using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Tests.Shared;

/// <summary>Plans with the real model of a job and set points of our own, for watches that take no minutes to plan.</summary>
internal static class WatchPlans
{
    /// <summary>When the heaters go off [s].</summary>
    public const double HeatingS = 480;

    /// <summary>A plan that melts every joint with room to spare.</summary>
    public static HeatPlan Of(Job job, HeatTask task, string chipId)
    {
        HeatModels models = new();
        BoardHeatModel model = models.Build(job, task, chipId, nozzle: null, flowPercent: null);
        HeatPlan plan = HeatJobs.Plan(job, task, chipId);
        HeatSchedule schedule = new(
            [new(0, 25), new(60, 100), new(200, 230), new(320, 330), new(HeatingS, 330), new(HeatingS + 1, 25)],
            [new(0, 25), new(100, 170), new(320, 220), new(HeatingS, 220), new(HeatingS + 1, 25)],
            HeatingS + 120
        );
        HeatPlace[] seats =
        [
            .. model.Places.Where(place => place.Kind == HeatPlaceKind.Underside).Take(1),
            .. model.Places.Where(place => place.Kind == HeatPlaceKind.Probe).Take(1),
        ];
        return plan with
        {
            Model = model,
            Schedule = schedule,
            // Nothing but the chip's own peak, far up: these runs are about the way of the readings.
            Figures = [],
            Curves = null,
            Probes =
            [
                .. seats.Select(
                    (seat, i) =>
                        new ProbeAdvice(i + 1, seat.Name, seat.Name, seat.XMm, seat.YMm, 220, 3, 3, 9, "for tests")
                ),
            ],
        };
    }
}
