using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>Turns a job into the boxes, films and places of one heat, and says what was assumed for it.</summary>
/// <remarks>
/// A chip on its board, or for attaching balls a loose chip on its back on a plate. Never throws on a job: what cannot be
/// modelled is a finding, and a model without boxes is no model.
/// </remarks>
public static class BoardModelBuilder
{
    /// <summary>Model of one heat.</summary>
    /// <param name="job">The job.</param>
    /// <param name="task">What the heat is for.</param>
    /// <param name="chipId">The chip.</param>
    /// <param name="nozzle">Nozzle; null for one that reaches beyond the chip by the usual overhang.</param>
    /// <param name="flowPercent">Flow as share of the strongest step; null for the strongest.</param>
    /// <returns>The model; without boxes where the job does not say enough, which its findings explain.</returns>
    public static BoardHeatModel Build(Job job, HeatTask task, string chipId, Nozzle? nozzle, double? flowPercent)
    {
        ModelNotes notes = new();
        Chip? chip = job.Chips.FirstOrDefault(one => one.Id == chipId);
        if (chip is null)
        {
            notes.Find(
                Verdict.FixFirst,
                "heat.no-such-chip",
                $"chip {chipId}",
                "The job has no chip of that name.",
                source: "job-file",
                todo: "Enter the chip, or name one of the job's chips."
            );
            return Nothing(job, notes);
        }
        if (!Sized(chip, notes))
        {
            return Nothing(job, notes);
        }
        JointAlloy alloy = JointAlloy.Of(job, task, chip, notes);
        HeatSite? site = task == HeatTask.AttachBalls ? Plate(chip, notes) : HeatSite.Of(job, task, chip, notes);
        if (site is null || !Sized(site, notes))
        {
            return Nothing(job, notes);
        }
        ChipBlocks blocks = ChipBlocks.Of(job, task, chip, site, alloy, notes);
        RectMm board = new(0, site.Board.LengthMm, 0, site.Board.WidthMm);
        if (!OnBoard(blocks.Outline, board, site, chip, notes))
        {
            return Nothing(job, notes);
        }
        TellOfTurn(site, chip, notes);
        BoardHeatModel model = Assemble(job, task, chip, nozzle, flowPercent, alloy, site, blocks, board, notes);
        return CalibrationUse.Apply(model, job.Bench, task, flowPercent);
    }

    private static BoardHeatModel Assemble(
        Job job,
        HeatTask task,
        Chip chip,
        Nozzle? nozzle,
        double? flowPercent,
        JointAlloy alloy,
        HeatSite site,
        ChipBlocks blocks,
        RectMm board,
        ModelNotes notes
    )
    {
        HeatTools tools = task == HeatTask.AttachBalls ? WithoutField(job.Bench.Heat) : job.Bench.Heat;
        NozzleLayout.TellOfHeaters(job.Bench.Heat, notes);
        double roomC = notes.Use("room.temperature", job.Bench.RoomC);
        RectMm opening = NozzleLayout.Opening(nozzle, blocks.Outline, board, task, notes);
        IReadOnlyList<HeatBox> boardBoxes =
            task == HeatTask.AttachBalls ? [PlateBox(site.Board)] : BoardBoxes.Of(site, notes);
        IReadOnlyList<Neighbour> neighbours =
            task == HeatTask.AttachBalls ? [] : NeighbourBlocks.Of(site, blocks.Outline, notes);
        NozzleLayout.TellOfParts(opening, blocks, neighbours, site, notes);
        NeighbourFindings.Tell(neighbours, site, roomC, notes);
        List<HeatBox> boxes = [.. boardBoxes, .. neighbours.Select(one => one.Box).OfType<HeatBox>(), .. blocks.Boxes];
        FilmLayout films = FilmLayout.Of(
            new FilmInputs(
                board,
                [.. boardBoxes.Select(box => box.Name)],
                opening,
                blocks,
                neighbours,
                boxes,
                tools,
                Math.Clamp((flowPercent is double flow && flow > 0 ? flow : 100) / 100, 0.01, 1),
                task == HeatTask.AttachBalls ? BoardSupport.Unknown : site.Board.Support
            ),
            notes
        );
        List<HeatPlace> places = HeatPlaceList.Of(
            chip,
            blocks,
            board,
            site.Board.ThicknessMm,
            site.RotationDeg,
            neighbours,
            notes
        );
        notes.Use("excess.gas");
        bool below = tools.Preheater.Kind != PreheaterKind.None;
        if (below)
        {
            notes.Use("excess.preheater");
        }
        double gasLagS = notes.Use("lag.gas", tools.Gas.LagS);
        double preheaterLagS = below ? notes.Use("lag.preheater", tools.Preheater.LagS) : 0;
        HeatCase run = new(
            $"{task} {chip.Id}",
            roomC,
            0,
            boxes,
            films.Films,
            films.Radiation,
            [Still(HeatSignals.Gas, roomC), Still(HeatSignals.Preheater, roomC), Still(HeatSignals.Room, roomC)],
            [.. places.Select(place => new HeatProbe(place.Name, place.XMm, place.YMm, place.ZMm))],
            []
        );
        return new BoardHeatModel(
            run,
            places,
            opening,
            blocks.Outline,
            roomC,
            gasLagS,
            preheaterLagS,
            alloy.SolidusC,
            alloy.MoltenC,
            notes.Assumptions,
            notes.Findings
        );
    }

    private static HeatSignal Still(string name, double roomC) => new(name, [new SignalPoint(0, roomC)]);

    // What was found last is what ended the attempt; what else is missing is told in the same go.
    private static BoardHeatModel Nothing(Job job, ModelNotes notes)
    {
        Finding? lacks = notes.Latest;
        NozzleLayout.TellOfHeaters(job.Bench.Heat, notes);
        double roomC = HeatFilms.Of("room.temperature").Value;
        return new BoardHeatModel(
            new HeatCase("no model", roomC, 0, [], [], [], [], [], []),
            [],
            new RectMm(0, 0, 0, 0),
            new RectMm(0, 0, 0, 0),
            roomC,
            0,
            0,
            0,
            0,
            notes.Assumptions,
            notes.Findings
        )
        {
            Lacks = lacks,
        };
    }

    // A loose chip lies on its back in the middle of a plate, with the whole plate over the heater.
    private static HeatSite Plate(Chip chip, ModelNotes notes)
    {
        double borderMm = notes.Use("carrier.border");
        double thicknessMm = notes.Use("carrier.thickness");
        double lengthMm = chip.BodyLengthMm + 2 * borderMm;
        double widthMm = chip.BodyWidthMm + 2 * borderMm;
        HeatMaterial plate = HeatMaterials.Of("carrier");
        notes.Add(
            "carrier",
            $"The loose chip lies on its back, balls up, on a plate of {ModelNotes.Show(lengthMm)} x {ModelNotes.Show(widthMm)} x {ModelNotes.Show(thicknessMm)} mm ({plate.Title}) over the bottom heater, assumed.",
            null,
            0,
            false,
            plate.Source
        );
        Board board = new()
        {
            LengthMm = lengthMm,
            WidthMm = widthMm,
            ThicknessMm = thicknessMm,
        };
        return new HeatSite(board, $"chip {chip.Id}", lengthMm / 2, widthMm / 2, 0);
    }

    private static HeatBox PlateBox(Board board)
    {
        HeatMaterial of = HeatMaterials.Of("carrier");
        return new HeatBox(
            "plate",
            0,
            board.LengthMm,
            0,
            board.WidthMm,
            -board.ThicknessMm,
            0,
            of.InPlaneWPerMK,
            of.ThroughWPerMK,
            of.DensityKgPerM3,
            of.SpecificHeatJPerKgK
        );
    }

    private static HeatTools WithoutField(HeatTools tools) =>
        tools with
        {
            Preheater = tools.Preheater with { LengthMm = null, WidthMm = null, XMm = null, YMm = null, Zones = [] },
        };

    private static bool Sized(Chip chip, ModelNotes notes) =>
        Sized([chip.BodyLengthMm, chip.BodyWidthMm, chip.BodyThicknessMm], $"chip {chip.Id}", notes);

    private static bool Sized(HeatSite site, ModelNotes notes) =>
        Sized([site.Board.LengthMm, site.Board.WidthMm, site.Board.ThicknessMm], site.Name, notes)
        && double.IsFinite(site.XMm)
        && double.IsFinite(site.YMm);

    private static bool Sized(double[] sizes, string where, ModelNotes notes)
    {
        if (sizes.All(size => size > 0 && double.IsFinite(size)))
        {
            return true;
        }
        notes.Find(
            Verdict.FixFirst,
            "heat.size-missing",
            where,
            "Length, width or thickness is not a number above 0.",
            source: "job-file",
            todo: "Measure it and enter all three."
        );
        return false;
    }

    private static bool OnBoard(RectMm chip, RectMm board, HeatSite site, Chip one, ModelNotes notes)
    {
        const double SlackMm = 0.05;
        RectMm within = board.Grown(SlackMm);
        if (within.Contains(chip.X0Mm, chip.Y0Mm) && within.Contains(chip.X1Mm, chip.Y1Mm))
        {
            return true;
        }
        notes.Find(
            Verdict.FixFirst,
            "heat.chip-off-board",
            $"{site.Name}, {one.Id}",
            "The chip reaches beyond the board.",
            string.Create(
                CultureInfo.InvariantCulture,
                $"x {chip.X0Mm:0.#} to {chip.X1Mm:0.#} mm, y {chip.Y0Mm:0.#} to {chip.Y1Mm:0.#} mm"
            ),
            string.Create(CultureInfo.InvariantCulture, $"{board.X1Mm:0.#} x {board.Y1Mm:0.#} mm"),
            "job-file",
            "Measure the chip's centre from the board's lower left corner again."
        );
        return false;
    }

    private static void TellOfTurn(HeatSite site, Chip chip, ModelNotes notes)
    {
        double offDeg = Math.Abs(site.RotationDeg - 90 * Math.Round(site.RotationDeg / 90));
        if (offDeg > 0.5)
        {
            notes.Add(
                "chip.turn",
                $"{chip.Id} is turned by {ModelNotes.Show(site.RotationDeg)}°; it is computed at the nearest quarter turn, with the same area.",
                null,
                0,
                false,
                "graftbench-computed"
            );
        }
    }
}
