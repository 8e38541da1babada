using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>What the films need to know of the board and bench.</summary>
/// <param name="Board">Outline of the board, or of the plate under a loose chip.</param>
/// <param name="BoardBoxes">Names of the board's boxes.</param>
/// <param name="Nozzle">Opening of the nozzle.</param>
/// <param name="Chip">The chip.</param>
/// <param name="Neighbours">Parts that stay.</param>
/// <param name="Boxes">All boxes.</param>
/// <param name="Tools">What the bench heats with.</param>
/// <param name="FlowFraction">Flow as share of the strongest.</param>
/// <param name="Support">What holds the board.</param>
internal sealed record FilmInputs(
    RectMm Board,
    IReadOnlyList<string> BoardBoxes,
    RectMm Nozzle,
    ChipBlocks Chip,
    IReadOnlyList<Neighbour> Neighbours,
    IReadOnlyList<HeatBox> Boxes,
    HeatTools Tools,
    double FlowFraction,
    BoardSupport Support
);

/// <summary>Lays films and radiation on the faces of board, chip and neighbours.</summary>
internal sealed class FilmLayout
{
    private static readonly SignalShare[] Gas = [new(HeatSignals.Gas, 1)];
    private static readonly SignalShare[] Room = [new(HeatSignals.Room, 1)];

    private readonly FilmInputs _in;
    private readonly ModelNotes _notes;
    private readonly List<string> _unshielded;
    private readonly List<string> _covered;
    private readonly List<string> _shiny;

    private FilmLayout(FilmInputs inputs, ModelNotes notes)
    {
        _in = inputs;
        _notes = notes;
        List<Neighbour> shielded =
        [
            .. inputs.Neighbours.Where(one =>
                one.Box is not null && one.Part.Shield is HeatShield.Foil or HeatShield.Cover
            ),
        ];
        List<string> shieldedNames = [.. shielded.Where(one => one.Box is not null).Select(one => one.Box!.Name)];
        _covered =
        [
            .. shielded
                .Where(one => one.Box is not null && one.Part.Shield == HeatShield.Cover)
                .Select(one => one.Box!.Name),
        ];
        _shiny = [.. shieldedNames, .. inputs.Chip.Shiny];
        _unshielded = shieldedNames.Count == 0 ? [] : AllBut(shieldedNames);
        if (shieldedNames.Count > 0)
        {
            notes.Add(
                "shields",
                $"Shielded parts get no gas that spills over and radiate like bare metal: {NeighbourBlocks.Some(shieldedNames)}.",
                null,
                0,
                false,
                "graftbench-estimate"
            );
        }
    }

    public List<HeatFilm> Films { get; } = [];

    public List<HeatRadiation> Radiation { get; } = [];

    public static FilmLayout Of(FilmInputs inputs, ModelNotes notes)
    {
        FilmLayout layout = new(inputs, notes);
        layout.AddGas();
        layout.AddRoom();
        layout.AddBottom();
        layout.AddEdges();
        return layout;
    }

    private void AddGas()
    {
        double fullFilm = TopFilm();
        RectMm nozzle = _in.Nozzle;
        RectMm near = nozzle.Grown(_notes.Use("film.spill-near-width"));
        RectMm far = nozzle.Grown(_notes.Use("film.spill-far-width"));
        Films.Add(new HeatFilm(Faces.Top, fullFilm, Gas, FilmGroup.Top, nozzle, null, _unshielded));
        double wallShare = _notes.Use("film.side-share");
        // Walls that stand outside the opening get what spills over, as the faces beside them do.
        RectMm? reached = Covers(nozzle, _in.Chip.Outline) ? null : nozzle;
        Films.Add(new HeatFilm(Faces.Side, wallShare * fullFilm, Gas, FilmGroup.Top, reached, null, _in.Chip.Walls));
        AddRing("film.spill-near", fullFilm, near, nozzle);
        AddRing("film.spill-far", fullFilm, far, near);
    }

    private void AddRing(string id, double fullFilm, RectMm inside, RectMm outside)
    {
        double gasShare = _notes.Use(id + "-gas");
        SignalShare[] sink = [new(HeatSignals.Gas, gasShare), new(HeatSignals.Room, 1 - gasShare)];
        double film = _notes.Use(id) * fullFilm;
        Films.Add(new HeatFilm(Faces.Top, film, sink, FilmGroup.Spill, inside, outside, _unshielded));
        if (!Covers(_in.Nozzle, _in.Chip.Outline))
        {
            double wallFilm = HeatFilms.Of("film.side-share").Value * film;
            Films.Add(new HeatFilm(Faces.Side, wallFilm, sink, FilmGroup.Spill, inside, outside, _in.Chip.Walls));
        }
    }

    private static bool Covers(RectMm opening, RectMm chip) => NozzleChooser.OverhangMm(opening, chip) >= 0;

    // A measured film is that of the strongest flow; weaker flows follow the exponent, whose own doubt is added.
    private double TopFilm()
    {
        HeatInput exponent = HeatFilms.Of("film.flow-exponent");
        double flow = _in.FlowFraction;
        double spread = (exponent.High!.Value - exponent.Low!.Value) / Math.Sqrt(12) * Math.Abs(Math.Log(flow));
        double film = _notes.Use("film.top", _in.Tools.Gas.FilmWPerM2K, spread);
        if (flow < 1)
        {
            _notes.Add(
                exponent.Id,
                $"At {ModelNotes.Show(100 * flow)} % flow the film is {ModelNotes.Show(Math.Round(film * Math.Pow(flow, exponent.Value), 1))} W/m²K: it falls with flow to the power of {ModelNotes.Show(exponent.Value)}.",
                null,
                0,
                false,
                exponent.Source
            );
        }
        return film * Math.Pow(flow, exponent.Value);
    }

    private void AddRoom()
    {
        double top = _notes.Use("film.room-top");
        double side = _notes.Use("film.room-side");
        double board = _notes.Use("emissivity.board");
        double metal = _shiny.Count > 0 ? _notes.Use("emissivity.metal") : 0;
        RectMm nozzle = _in.Nozzle;
        List<string> walls =
        [
            .. _in.Neighbours.Where(one => one is { Box: not null, OnTop: true }).Select(one => one.Box!.Name),
        ];
        List<string> bare = [.. walls.Where(name => !_covered.Contains(name))];
        Films.Add(
            new HeatFilm(
                Faces.Top,
                top,
                Room,
                FilmGroup.Ambient,
                null,
                nozzle,
                _covered.Count == 0 ? [] : AllBut(_covered)
            )
        );
        if (bare.Count > 0)
        {
            Films.Add(new HeatFilm(Faces.Side, side, Room, FilmGroup.Ambient, null, null, bare));
        }
        if (!Covers(nozzle, _in.Chip.Outline))
        {
            Films.Add(new HeatFilm(Faces.Side, side, Room, FilmGroup.Ambient, null, nozzle, _in.Chip.Walls));
        }
        if (_covered.Count > 0)
        {
            double share = _notes.Use("film.cover-share");
            Films.Add(new HeatFilm(Faces.Top, share * top, Room, FilmGroup.Ambient, null, null, _covered));
            Films.Add(new HeatFilm(Faces.Side, share * side, Room, FilmGroup.Ambient, null, null, _covered));
        }
        IReadOnlyList<string> dull = _shiny.Count == 0 ? [] : AllBut(_shiny);
        Radiation.Add(new HeatRadiation(Faces.Top, board, Room, null, nozzle, dull));
        Radiation.Add(new HeatRadiation(Faces.Top, _notes.Use("emissivity.hood"), Gas, nozzle, null, dull));
        if (_shiny.Count > 0)
        {
            Radiation.Add(new HeatRadiation(Faces.Top, metal, Room, null, nozzle, _shiny));
            Radiation.Add(new HeatRadiation(Faces.Top, metal, Gas, nozzle, null, _shiny));
        }
    }

    private void AddBottom()
    {
        BottomHeater heater = _in.Tools.Preheater;
        if (heater.Kind == PreheaterKind.None)
        {
            AddRoomBelow([]);
            return;
        }
        double film = _notes.Use(
            heater.Kind switch
            {
                PreheaterKind.HotAir => "film.bottom-hot-air",
                PreheaterKind.Infrared => "film.bottom-infrared",
                PreheaterKind.Plate => "film.bottom-plate",
                _ => "film.bottom-unknown",
            },
            heater.FilmWPerM2K
        );
        double emissivity = _notes.Use("emissivity.bottom");
        IReadOnlyList<(RectMm Field, double Share)> fields = Fields(heater);
        foreach ((RectMm field, double share) in fields)
        {
            SignalShare[] sink =
                Math.Abs(share - 1) < 1e-9
                    ? [new(HeatSignals.Preheater, 1)]
                    : [new(HeatSignals.Preheater, share), new(HeatSignals.Room, 1 - share)];
            Films.Add(new HeatFilm(Faces.Bottom, film, sink, FilmGroup.Bottom, field, null, []));
            Radiation.Add(new HeatRadiation(Faces.Bottom, emissivity, sink, field, null, []));
            AddBottomWalls(film, sink, field);
        }
        AddRoomBelow([.. fields.Select(one => one.Field)]);
    }

    private void AddRoomBelow(IReadOnlyList<RectMm> heated)
    {
        double room = _notes.Use("film.room-bottom");
        double board = HeatFilms.Of("emissivity.board").Value;
        foreach (RectMm rest in HeaterFields.Rest(_in.Board, heated))
        {
            Films.Add(new HeatFilm(Faces.Bottom, room, Room, FilmGroup.Ambient, rest, null, []));
            Radiation.Add(new HeatRadiation(Faces.Bottom, board, Room, rest, null, []));
        }
    }

    private void AddBottomWalls(double film, SignalShare[] sink, RectMm field)
    {
        List<string> walls =
        [
            .. _in.Neighbours.Where(one => one is { Box: not null, OnTop: false }).Select(one => one.Box!.Name),
        ];
        if (walls.Count > 0)
        {
            Films.Add(
                new HeatFilm(
                    Faces.Side,
                    HeatFilms.Of("film.side-share").Value * film,
                    sink,
                    FilmGroup.Bottom,
                    field,
                    null,
                    walls
                )
            );
        }
    }

    private IReadOnlyList<(RectMm Field, double Share)> Fields(BottomHeater heater)
    {
        IReadOnlyList<(RectMm Field, double Share)> fields = HeaterFields.Of(heater, _in.Board, _notes);
        if (fields.Count == 0)
        {
            _notes.Find(
                Verdict.FixFirst,
                "heat.heater-beside-board",
                "bench",
                "No switched-on field of the bottom heater lies under the board.",
                source: "job-file",
                todo: "Correct the heater's position and size, or switch a zone on."
            );
        }
        return fields;
    }

    private void AddEdges()
    {
        RectMm board = _in.Board;
        RectMm whole = board.Grown(1);
        const double StripMm = 10;
        bool alongX = board.X1Mm - board.X0Mm >= board.Y1Mm - board.Y0Mm;
        RectMm[] strips = alongX
            ? [whole with { Y1Mm = board.Y0Mm + StripMm }, whole with { Y0Mm = board.Y1Mm - StripMm }]
            : [whole with { X1Mm = board.X0Mm + StripMm }, whole with { X0Mm = board.X1Mm - StripMm }];
        switch (_in.Support)
        {
            case BoardSupport.EdgeClamps:
                double clamp = _notes.Use("film.edge-clamp");
                _notes.Add(
                    "board.clamps",
                    "The clamps hold the board along its two long edges, assumed.",
                    null,
                    0,
                    false,
                    "graftbench-estimate"
                );
                foreach (RectMm strip in strips)
                {
                    Films.Add(new HeatFilm(Faces.Side, clamp, Room, FilmGroup.Ambient, strip, null, _in.BoardBoxes));
                }
                break;
            case BoardSupport.Frame:
                Films.Add(
                    new HeatFilm(
                        Faces.Side,
                        _notes.Use("film.edge-clamp"),
                        Room,
                        FilmGroup.Ambient,
                        null,
                        null,
                        _in.BoardBoxes
                    )
                );
                break;
            case BoardSupport.Standoffs:
                Films.Add(
                    new HeatFilm(
                        Faces.Side,
                        _notes.Use("film.edge-standoff"),
                        Room,
                        FilmGroup.Ambient,
                        null,
                        null,
                        _in.BoardBoxes
                    )
                );
                break;
            default:
                _notes.Add(
                    "board.edge",
                    "No heat leaves through the board's edge, assumed.",
                    null,
                    0,
                    false,
                    "common-practice"
                );
                break;
        }
    }

    private List<string> AllBut(IReadOnlyCollection<string> names) =>
        [.. _in.Boxes.Select(box => box.Name).Where(name => !names.Contains(name))];
}
