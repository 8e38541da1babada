using System.Globalization;
using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Tests.Jobs;

namespace Graftbench.Core.Tests.Physics.Heat;

/// <summary>Cases for the tests of the heat model: the documents under tests/corpus/heat, and slabs made in code.</summary>
internal static class HeatCases
{
    public const string BareBoard = "bare-board";
    public const string Centred = "centred-package";
    public const string Neighbours = "package-among-neighbours";
    public const string Misaligned = "misaligned-nozzle";

    /// <summary>Every box is one cell, lines stand at box edges and probes only.</summary>
    public static HeatMesh BoxByBox(double stepS) => new(1e9, 0, 1e9, 1e9, 1, 1e9, 0, stepS);

    public static string Folder { get; } = Path.Combine(Corpus.Root, "tests/corpus/heat");

    public static byte[] Bytes(string name) => File.ReadAllBytes(Path.Combine(Folder, name + ".json"));

    public static HeatCase Read(string name)
    {
        HeatCaseReading reading = HeatCaseReader.Read(Bytes(name));
        return reading.Case
            ?? throw new InvalidDataException($"corpus/heat/{name}.json: {string.Join("; ", reading.Problems)}");
    }

    /// <summary>The reference table of a case: columns by probe, and the moments [°C, s].</summary>
    public static (double[] TimesS, Dictionary<string, double[]> ColumnsC) Reference(string name)
    {
        string[][] lines =
        [
            .. File.ReadAllLines(Path.Combine(Folder, name + ".reference.csv"))
                .Where(line => line.Length > 0 && line[0] != '#')
                .Select(line => line.Split(',')),
        ];
        double At(int row, int column) => double.Parse(lines[row][column], CultureInfo.InvariantCulture);
        int rows = lines.Length - 1;
        return (
            [.. Enumerable.Range(1, rows).Select(row => At(row, 0))],
            Enumerable
                .Range(1, lines[0].Length - 1)
                .ToDictionary(
                    column => lines[0][column],
                    column => Enumerable.Range(1, rows).Select(row => At(row, column)).ToArray(),
                    StringComparer.Ordinal
                )
        );
    }

    /// <summary>The case with the planner's signal names, film groups and roles, and with or without melting balls.</summary>
    public static HeatCase Planned(string name, bool melts)
    {
        HeatCase heat = Read(name);
        SignalShare Share(SignalShare share) => share with { Signal = NameOf(share.Signal) };
        FilmGroup Group(HeatFilm film) =>
            film.Sink.Count > 1 ? FilmGroup.Spill
            : film.Sink[0].Signal == "top" ? FilmGroup.Top
            : film.Sink[0].Signal == "bot" ? FilmGroup.Bottom
            : FilmGroup.Ambient;
        return heat with
        {
            Boxes =
            [
                .. heat.Boxes.Select(box =>
                    box with
                    {
                        Role = box.Name switch
                        {
                            "board" or "poor" or "rich" => BoxRole.Board,
                            "substrate" => BoxRole.Substrate,
                            "balls" => BoxRole.Balls,
                            _ => BoxRole.Other,
                        },
                        // 59 J/g, tin (heat of fusion 7.03 kJ/mol): the melting range is that of SAC305.
                        Melting = melts && box.Name == "balls" ? new Melting(59_000, 217, 220) : null,
                    }
                ),
            ],
            Films =
            [
                .. heat.Films.Select(film => film with { Group = Group(film), Sink = [.. film.Sink.Select(Share)] }),
            ],
            Radiation = [.. heat.Radiation.Select(patch => patch with { Sink = [.. patch.Sink.Select(Share)] })],
            Signals =
            [
                .. heat.Signals.Select(signal =>
                    NameOf(signal.Name) == HeatSignals.Room
                        ? new HeatSignal(HeatSignals.Room, [new SignalPoint(0, heat.StartC)])
                        : signal with
                        {
                            Name = NameOf(signal.Name),
                        }
                ),
            ],
        };
    }

    public static FullRun Run(HeatCase heat, HeatMesh mesh, HeatFactors? factors = null)
    {
        HeatNetwork network = HeatNetwork.Of(heat, mesh, factors ?? HeatFactors.Nominal);
        return FullModel.Run(
            network,
            heat,
            factors ?? HeatFactors.Nominal,
            mesh.StepS,
            FieldSampler.Of(network, [.. heat.Probes.Select(p => (p.XMm, p.YMm, p.ZMm))]),
            null,
            null,
            CancellationToken.None
        );
    }

    /// <summary>A slab of one material as a pile of plates, each one cell of the grid; no films yet.</summary>
    public static HeatCase Slab(
        double startC,
        double durationS,
        double thicknessMm,
        int cells,
        double wPerMK,
        double jPerM3K,
        double bottomMm = 0
    ) =>
        new(
            "slab",
            startC,
            durationS,
            [
                .. Enumerable
                    .Range(0, cells)
                    .Select(i => new HeatBox(
                        FormattableString.Invariant($"plate {i}"),
                        0,
                        1,
                        0,
                        1,
                        bottomMm + thicknessMm * i / cells,
                        bottomMm + thicknessMm * (i + 1) / cells,
                        wPerMK,
                        wPerMK,
                        jPerM3K / 1000,
                        1000
                    )),
            ],
            [],
            [],
            [],
            [],
            []
        );

    public static HeatFilm Film(Faces faces, double wPerM2K, string signal, FilmGroup group = FilmGroup.Ambient) =>
        new(faces, wPerM2K, [new SignalShare(signal, 1)], group, null, null, []);

    public static HeatSignal Steady(string name, double temperatureC) => new(name, [new SignalPoint(0, temperatureC)]);

    /// <summary>Where a curve of equal steps first reaches a level on its way up, straight between steps [s]; null for never.</summary>
    public static double? ReachedS(double[] curveC, double stepS, double levelC)
    {
        for (int n = 1; n < curveC.Length; n++)
        {
            if (curveC[n - 1] < levelC && curveC[n] >= levelC)
            {
                return (n - 1 + (levelC - curveC[n - 1]) / (curveC[n] - curveC[n - 1])) * stepS;
            }
        }
        return null;
    }

    private static string NameOf(string signal) =>
        signal switch
        {
            "top" => HeatSignals.Gas,
            "bot" => HeatSignals.Preheater,
            _ => HeatSignals.Room,
        };
}
