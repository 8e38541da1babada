using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>A chip as boxes, standing on z = 0 with its balls down, or lying on its back with its balls up.</summary>
/// <param name="Boxes">Boxes; later ones win.</param>
/// <param name="Walls">Names of the boxes whose side walls the gas reaches: all but the balls.</param>
/// <param name="Shiny">Names of boxes of bare metal.</param>
/// <param name="Outline">Outline on the board.</param>
/// <param name="JointZMm">Mid-height of the ball layer [mm].</param>
/// <param name="BodyTopZMm">Height of the body's top face: above the joints, or 0 for a chip on its back [mm].</param>
/// <param name="TopZMm">Highest face [mm].</param>
internal sealed record ChipBlocks(
    IReadOnlyList<HeatBox> Boxes,
    IReadOnlyList<string> Walls,
    IReadOnlyList<string> Shiny,
    RectMm Outline,
    double JointZMm,
    double BodyTopZMm,
    double TopZMm
)
{
    // Ball layers thinner or fuller than this do not exist: the sizes contradict each other.
    private const double LeastFill = 0.02;
    private const double MostFill = 0.6;

    public static ChipBlocks Of(Job job, HeatTask task, Chip chip, HeatSite site, JointAlloy alloy, ModelNotes notes)
    {
        bool turned = QuarterTurns(site.RotationDeg) % 2 == 1;
        (double length, double width) = turned
            ? (chip.BodyWidthMm, chip.BodyLengthMm)
            : (chip.BodyLengthMm, chip.BodyWidthMm);
        RectMm outline = Centred(site.XMm, site.YMm, length, width);
        Stack stack = new(outline);
        double gapMm = AddBalls(stack, job, task, chip, alloy, notes);
        AddBody(stack, chip, turned, gapMm, notes);
        double heightMm = gapMm + chip.BodyThicknessMm;
        bool onItsBack = task == HeatTask.AttachBalls;
        IReadOnlyList<HeatBox> boxes = onItsBack
            ? [.. stack.Boxes.Select(box => box with { Z0Mm = heightMm - box.Z1Mm, Z1Mm = heightMm - box.Z0Mm })]
            : stack.Boxes;
        return new ChipBlocks(
            boxes,
            [.. boxes.Where(box => box.Role != BoxRole.Balls).Select(box => box.Name)],
            [.. boxes.Where(box => box.Name == "lid").Select(box => box.Name)],
            outline,
            onItsBack ? heightMm - gapMm / 2 : gapMm / 2,
            onItsBack ? 0 : heightMm,
            heightMm
        );
    }

    /// <summary>Quarter turns nearest to a turn, 0 to 3.</summary>
    public static int QuarterTurns(double rotationDeg) =>
        (int)(((Math.Round(rotationDeg / 90, MidpointRounding.AwayFromZero) % 4) + 4) % 4);

    public static RectMm Centred(double xMm, double yMm, double lengthMm, double widthMm) =>
        new(xMm - lengthMm / 2, xMm + lengthMm / 2, yMm - widthMm / 2, yMm + widthMm / 2);

    private sealed class Stack(RectMm outline)
    {
        public List<HeatBox> Boxes { get; } = [];

        public RectMm Outline { get; } = outline;

        public void Add(
            string name,
            RectMm rect,
            double z0Mm,
            double z1Mm,
            string material,
            BoxRole role = BoxRole.Other
        )
        {
            HeatMaterial of = HeatMaterials.Of(material);
            Boxes.Add(
                new HeatBox(
                    name,
                    rect.X0Mm,
                    rect.X1Mm,
                    rect.Y0Mm,
                    rect.Y1Mm,
                    z0Mm,
                    z1Mm,
                    of.InPlaneWPerMK,
                    of.ThroughWPerMK,
                    of.DensityKgPerM3,
                    of.SpecificHeatJPerKgK,
                    role
                )
            );
        }
    }

    // The whole solder spread evenly under the body: its mass and melting heat count, its conduction hardly does.
    private static double AddBalls(Stack stack, Job job, HeatTask task, Chip chip, JointAlloy alloy, ModelNotes notes)
    {
        double pitchMm = notes.Use("joint.pitch", chip.PitchMm);
        double? newBallMm = task == HeatTask.Lift ? null : job.Materials.BallDiameterMm;
        double? knownMm = newBallMm ?? chip.BallDiameterMm;
        double diameterMm = knownMm ?? notes.Use("joint.ball-share") * pitchMm;
        double? givenGapMm = task == HeatTask.AttachBalls ? diameterMm : chip.StandoffMm;
        double gapMm = givenGapMm ?? notes.Use("joint.height-share") * diameterMm;
        double count =
            chip.BallCount
            ?? (
                chip.Rows is int rows && chip.Columns is int columns
                    ? rows * columns
                    : Math.Floor(chip.BodyLengthMm / pitchMm) * Math.Floor(chip.BodyWidthMm / pitchMm)
            );
        double areaMm2 = chip.BodyLengthMm * chip.BodyWidthMm;
        double fill = count * Math.PI * Math.Pow(diameterMm, 3) / 6 / (areaMm2 * gapMm);
        if (!(fill >= LeastFill && fill <= MostFill))
        {
            notes.Find(
                Verdict.FixFirst,
                "heat.balls-do-not-fit",
                $"chip {chip.Id}",
                $"{ModelNotes.Show(count)} balls of {ModelNotes.Millimetres(diameterMm)} fill {ModelNotes.Show(Math.Round(100 * fill))} % of the gap under the body, which no ball field does.",
                $"{ModelNotes.Show(Math.Round(100 * fill))} %",
                "2 to 60 %",
                "graftbench-limit",
                "Check ball diameter, number of balls, joint height and body size."
            );
            fill = Math.Clamp(double.IsNaN(fill) ? LeastFill : fill, LeastFill, MostFill);
        }
        HeatMaterial air = HeatMaterials.Of("air");
        Alloy solder = alloy.Main;
        stack.Boxes.Add(
            new HeatBox(
                "balls",
                stack.Outline.X0Mm,
                stack.Outline.X1Mm,
                stack.Outline.Y0Mm,
                stack.Outline.Y1Mm,
                0,
                gapMm,
                air.InPlaneWPerMK * (1 + fill) / (1 - fill),
                solder.ConductivityWPerMK * fill,
                solder.DensityKgPerM3 * fill,
                solder.SpecificHeatJPerKgK,
                BoxRole.Balls,
                new Melting(solder.MeltingHeatJPerKg, alloy.SolidusC, Math.Max(alloy.MoltenC, alloy.SolidusC + 0.5))
            )
        );
        notes.Add(
            "joint.layer",
            $"Ball layer {ModelNotes.Millimetres(gapMm)} high, {ModelNotes.Show(Math.Round(100 * fill))} % solder, spread evenly under the body.",
            null,
            0,
            chip.StandoffMm is not null && chip.BallCount is not null && knownMm is not null,
            "graftbench-computed"
        );
        return gapMm;
    }

    private static void AddBody(Stack stack, Chip chip, bool turned, double gapMm, ModelNotes notes)
    {
        double substrateMm = SubstrateMm(chip, notes);
        double z0 = gapMm;
        double z1 = gapMm + substrateMm;
        double top = gapMm + chip.BodyThicknessMm;
        double restMm = top - z1;
        HeatMaterial substrate = HeatMaterials.Of("substrate");
        notes.Add(
            "chip.substrate",
            $"Substrate conducts {ModelNotes.Show(substrate.InPlaneWPerMK)} W/(m K) along and {ModelNotes.Show(substrate.ThroughWPerMK)} through, assumed.",
            "SubstrateConductivityFactor",
            substrate.LogSdRatio,
            false,
            substrate.Source
        );
        stack.Add("substrate", stack.Outline, z0, z1, "substrate", BoxRole.Substrate);
        RectMm die = Die(stack.Outline, chip, turned, notes);
        BodyTop kind = chip.Top;
        if (kind == BodyTop.Unknown)
        {
            notes.Add(
                "chip.top",
                "The body is taken for moulded plastic, assumed.",
                null,
                0,
                false,
                "graftbench-estimate"
            );
            kind = BodyTop.Moulded;
        }
        double bumpsMm = Math.Min(notes.Use("chip.underfill"), restMm / 5);
        switch (kind)
        {
            case BodyTop.BareDie:
                stack.Add("underfill", die, z1, z1 + bumpsMm, "underfill");
                stack.Add("die", die, z1 + bumpsMm, top, "silicon");
                break;
            case BodyTop.Lid:
                AddLid(stack, die, z1, top, bumpsMm, notes);
                break;
            default:
                double dieMm = Math.Min(chip.DieThicknessMm ?? notes.Use("chip.moulded-die-thickness"), 0.7 * restMm);
                stack.Add("mould", stack.Outline, z1, top, "mould");
                stack.Add("die", die, z1, z1 + dieMm, "silicon");
                break;
        }
    }

    private static void AddLid(Stack stack, RectMm die, double z1, double top, double bumpsMm, ModelNotes notes)
    {
        double restMm = top - z1;
        double lidMm = Math.Min(notes.Use("chip.lid"), 0.45 * restMm);
        double attachMm = Math.Min(notes.Use("chip.die-attach"), restMm / 5);
        RectMm body = stack.Outline;
        double rimMm = notes.Use("chip.lid-rim") * Math.Min(body.X1Mm - body.X0Mm, body.Y1Mm - body.Y0Mm);
        double under = top - lidMm;
        stack.Add("lid", body, z1, top, "lid");
        stack.Add("air under the lid", body.Grown(-rimMm), z1, under, "air");
        stack.Add("underfill", die, z1, z1 + bumpsMm, "underfill");
        stack.Add("die", die, z1 + bumpsMm, under - attachMm, "silicon");
        stack.Add("die attach", die, under - attachMm, under, "die-attach");
    }

    private static double SubstrateMm(Chip chip, ModelNotes notes)
    {
        double assumedMm = HeatFilms.Of("chip.substrate-share").Value * chip.BodyThicknessMm;
        if (chip.SubstrateThicknessMm is not double givenMm)
        {
            notes.Add(
                "chip.substrate-thickness",
                $"Substrate {ModelNotes.Millimetres(assumedMm)} thick, assumed.",
                null,
                0,
                false,
                HeatFilms.Of("chip.substrate-share").Source
            );
            return assumedMm;
        }
        if (givenMm <= 0.95 * chip.BodyThicknessMm)
        {
            return givenMm;
        }
        notes.Find(
            Verdict.FixFirst,
            "heat.substrate-thicker-than-body",
            $"chip {chip.Id}",
            $"The substrate is as thick as the whole body; {ModelNotes.Millimetres(assumedMm)} is used instead.",
            ModelNotes.Millimetres(givenMm),
            ModelNotes.Millimetres(chip.BodyThicknessMm),
            "job-file",
            "The body's thickness includes the substrate: measure both again."
        );
        return assumedMm;
    }

    private static RectMm Die(RectMm body, Chip chip, bool turned, ModelNotes notes)
    {
        double share = chip.DieLengthMm is null || chip.DieWidthMm is null ? notes.Use("chip.die-share") : 0;
        double lengthMm = Math.Min(chip.DieLengthMm ?? share * chip.BodyLengthMm, 0.95 * chip.BodyLengthMm);
        double widthMm = Math.Min(chip.DieWidthMm ?? share * chip.BodyWidthMm, 0.95 * chip.BodyWidthMm);
        if (turned)
        {
            (lengthMm, widthMm) = (widthMm, lengthMm);
        }
        return Centred((body.X0Mm + body.X1Mm) / 2, (body.Y0Mm + body.Y1Mm) / 2, lengthMm, widthMm);
    }
}
