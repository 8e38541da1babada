using System.Text.Json.Nodes;
using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;
using Graftbench.Store;
using Graftbench.Web.Shelf;

namespace Graftbench.Web.Seating;

/// <summary>Balls and stencils on the shelf, for the choice of balls.</summary>
/// <param name="store">The store.</param>
public sealed class JointShelf(BenchStore store)
{
    private const string Kind = "material";

    /// <summary>The answer with each ball marked by what lies on the shelf.</summary>
    /// <param name="job">The job.</param>
    /// <param name="chip">Its chip.</param>
    /// <param name="joints">The answer.</param>
    public JointPlan Mark(Job job, Chip chip, JointPlan joints)
    {
        ArgumentNullException.ThrowIfNull(job);
        ArgumentNullException.ThrowIfNull(chip);
        return BallShelves.Mark(joints, Stock(), job.Materials.BallAlloy ?? chip.BallAlloy);
    }

    // What says "balls" and has a diameter are balls; what has a hole is a stencil, whatever it is called.
    private JointStock Stock()
    {
        List<BallStock> balls = [];
        List<StencilStock> stencils = [];
        List<string> unmeasured = [];
        foreach (ShelfThing thing in store.Shelf(Kind).Select(ShelfThing.Of))
        {
            string name = thing.Item.Title;
            string what = thing.Words.GetValueOrDefault("what") ?? "";
            JsonObject materials = thing.Document["materials"] as JsonObject ?? [];
            if (what == "balls" && Number(materials, "ballDiameterMm") is { } ballMm)
            {
                balls.Add(new BallStock(name, ballMm, Text(materials, "ballAlloy")));
            }
            else if (Number(materials, "stencilHoleMm") is { } holeMm)
            {
                stencils.Add(new StencilStock(name, holeMm, Number(materials, "stencilPitchMm")));
            }
            else if (what is "balls" or "stencil")
            {
                unmeasured.Add(name);
            }
        }
        return new JointStock(balls, stencils, unmeasured);
    }

    private static double? Number(JsonObject of, string name) =>
        of[name] is JsonValue value && value.TryGetValue(out double number) ? number : null;

    private static string? Text(JsonObject of, string name) =>
        of[name] is JsonValue value && value.TryGetValue(out string? text) && text.Length > 0 ? text : null;
}
