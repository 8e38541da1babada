using System.Diagnostics;
using System.Globalization;
using System.Text;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Bench;

/// <summary>A heat case on the model's own grid as input of CalculiX: 8-node bricks, backward Euler of fixed step.</summary>
/// <remarks>Convection only; films of one face are put together into one film to one amplitude.</remarks>
internal static class CalculixDeck
{
    private const string Job = "case";

    /// <summary>Whether the program is installed.</summary>
    public static bool Installed =>
        (Environment.GetEnvironmentVariable("PATH") ?? "")
            .Split(Path.PathSeparator)
            .Any(folder => folder.Length > 0 && File.Exists(Path.Combine(folder, "ccx")));

    /// <summary>Runs a case and reads its probes.</summary>
    /// <param name="heat">The case; each probe must lie on a grid point.</param>
    /// <param name="network">The case laid out.</param>
    /// <param name="stepS">Step [s]; the case's moments must be whole multiples.</param>
    /// <param name="wallS">Seconds that it took.</param>
    /// <returns>Temperatures by probe, then moment [°C].</returns>
    public static double[][] Run(HeatCase heat, HeatNetwork network, double stepS, out double wallS)
    {
        string folder = Directory.CreateTempSubdirectory("graftbench-bench-").FullName;
        try
        {
            File.WriteAllText(Path.Combine(folder, Job + ".inp"), Write(heat, network, stepS));
            Stopwatch clock = Stopwatch.StartNew();
            ProcessStartInfo start = new("ccx", [Job])
            {
                WorkingDirectory = folder,
                RedirectStandardOutput = true,
                UseShellExecute = false,
            };
            start.Environment["OMP_NUM_THREADS"] = "1";
            using Process process = Process.Start(start)!;
            string said = process.StandardOutput.ReadToEnd();
            process.WaitForExit();
            wallS = clock.Elapsed.TotalSeconds;
            string printed = Path.Combine(folder, Job + ".dat");
            return process.ExitCode == 0 && File.Exists(printed)
                ? Read(heat, network, File.ReadAllLines(printed))
                : throw new InvalidOperationException(
                    said[Math.Max(0, said.IndexOf("*ERROR", StringComparison.Ordinal))..]
                );
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    private static int NodeOf(HeatNetwork network, HeatProbe probe)
    {
        static int Line(double[] lines, double at) =>
            Enumerable.Range(0, lines.Length).MinBy(i => Math.Abs(lines[i] - at));
        return network.NodeAt(
                Line(network.Grid.XMm, probe.XMm),
                Line(network.Grid.YMm, probe.YMm),
                Line(network.Grid.ZMm, probe.ZMm)
            ) + 1;
    }

    private static string Write(HeatCase heat, HeatNetwork network, double stepS)
    {
        double[] x = network.Grid.XMm;
        double[] y = network.Grid.YMm;
        double[] z = network.Grid.ZMm;
        int cx = x.Length - 1;
        int cy = y.Length - 1;
        int cz = z.Length - 1;
        StringBuilder nodes = new("*NODE, NSET=ALL\n");
        for (int k = 0; k <= cz; k++)
        {
            for (int j = 0; j <= cy; j++)
            {
                for (int i = 0; i <= cx; i++)
                {
                    if (network.NodeAt(i, j, k) is >= 0 and int node)
                    {
                        Line(
                            nodes,
                            $"{node + 1},{x[i] / 1000:0.##########},{y[j] / 1000:0.##########},{z[k] / 1000:0.##########}"
                        );
                    }
                }
            }
        }
        StringBuilder[] elements =
        [
            .. heat.Boxes.Select((_, b) => new StringBuilder($"*ELEMENT, TYPE=DC3D8, ELSET=E{b}\n")),
        ];
        Dictionary<string, (SortedDictionary<string, double> Shares, StringBuilder Faces)> films = new(
            StringComparer.Ordinal
        );
        int Box(int i, int j, int k) =>
            i < 0 || j < 0 || k < 0 || i >= cx || j >= cy || k >= cz ? -1 : network.BoxAt[(k * cy + j) * cx + i];
        int element = 0;
        for (int k = 0; k < cz; k++)
        {
            for (int j = 0; j < cy; j++)
            {
                for (int i = 0; i < cx; i++)
                {
                    int box = Box(i, j, k);
                    if (box < 0)
                    {
                        continue;
                    }
                    element++;
                    int At(int a, int b, int c) => network.NodeAt(i + a, j + b, k + c) + 1;
                    Line(
                        elements[box],
                        $"{element},{At(0, 0, 0)},{At(1, 0, 0)},{At(1, 1, 0)},{At(0, 1, 0)},{At(0, 0, 1)},{At(1, 0, 1)},{At(1, 1, 1)},{At(0, 1, 1)}"
                    );
                    double xMm = (x[i] + x[i + 1]) / 2;
                    double yMm = (y[j] + y[j + 1]) / 2;
                    void Face(int number, Faces faces, int beside)
                    {
                        if (beside < 0)
                        {
                            Expose(heat, films, element, number, faces, heat.Boxes[box].Name, xMm, yMm);
                        }
                    }
                    Face(1, Faces.Bottom, Box(i, j, k - 1));
                    Face(2, Faces.Top, Box(i, j, k + 1));
                    Face(3, Faces.Side, Box(i, j - 1, k));
                    Face(4, Faces.Side, Box(i + 1, j, k));
                    Face(5, Faces.Side, Box(i, j + 1, k));
                    Face(6, Faces.Side, Box(i - 1, j, k));
                }
            }
        }
        StringBuilder deck = new(nodes.ToString());
        for (int b = 0; b < heat.Boxes.Count; b++)
        {
            HeatBox box = heat.Boxes[b];
            deck.Append(elements[b]);
            Line(deck, $"*MATERIAL, NAME=M{b}\n*CONDUCTIVITY, TYPE=ORTHO");
            Line(deck, $"{box.InPlaneWPerMK:R},{box.InPlaneWPerMK:R},{box.ThroughWPerMK:R}");
            Line(deck, $"*DENSITY\n{box.DensityKgPerM3:R}\n*SPECIFIC HEAT\n{box.SpecificHeatJPerKgK:R}");
            Line(deck, $"*SOLID SECTION, ELSET=E{b}, MATERIAL=M{b}");
        }
        Line(deck, $"*INITIAL CONDITIONS, TYPE=TEMPERATURE\nALL,{heat.StartC:R}");
        foreach ((string key, (SortedDictionary<string, double> shares, _)) in films)
        {
            Line(deck, $"*AMPLITUDE, NAME={key}");
            double[] times =
            [
                .. heat.Signals.SelectMany(signal => signal.Points.Select(point => point.TimeS)).Distinct().Order(),
            ];
            foreach (double time in times)
            {
                double sink = shares.Sum(share =>
                    share.Value * At(heat.Signals.Single(s => s.Name == share.Key), time)
                );
                Line(deck, $"{time:0.####},{sink:0.######}");
            }
        }
        Line(deck, $"*NSET, NSET=PROBES");
        foreach (HeatProbe probe in heat.Probes)
        {
            Line(deck, $"{NodeOf(network, probe)},");
        }
        Line(
            deck,
            $"*STEP, INC=1000000\n*HEAT TRANSFER, DIRECT, SOLVER=ITERATIVE CHOLESKY\n{stepS:R},{heat.DurationS:R}"
        );
        foreach ((string key, (_, StringBuilder faces)) in films)
        {
            Line(deck, $"*FILM, AMPLITUDE={key}");
            deck.Append(faces);
        }
        int every = (int)Math.Round((heat.TimesS[1] - heat.TimesS[0]) / stepS);
        Line(deck, $"*NODE PRINT, NSET=PROBES, FREQUENCY={every}\nNT\n*END STEP");
        return deck.ToString();
    }

    // All films of a face: one coefficient, and the mean of their sinks weighted by their coefficients.
    private static void Expose(
        HeatCase heat,
        Dictionary<string, (SortedDictionary<string, double> Shares, StringBuilder Faces)> films,
        int element,
        int number,
        Faces faces,
        string box,
        double xMm,
        double yMm
    )
    {
        double sum = 0;
        SortedDictionary<string, double> shares = new(StringComparer.Ordinal);
        foreach (HeatFilm film in heat.Films)
        {
            if (
                film.Faces != faces
                || film.Inside?.Contains(xMm, yMm) == false
                || film.Outside?.Contains(xMm, yMm) == true
                || (film.OnlyBoxes.Count > 0 && !film.OnlyBoxes.Contains(box))
            )
            {
                continue;
            }
            sum += film.FilmWPerM2K;
            foreach (SignalShare share in film.Sink)
            {
                shares[share.Signal] = shares.GetValueOrDefault(share.Signal) + film.FilmWPerM2K * share.ShareFraction;
            }
        }
        if (sum <= 0)
        {
            return;
        }
        foreach (string signal in shares.Keys.ToList())
        {
            shares[signal] /= sum;
        }
        string same = string.Join(';', shares.Select(s => FormattableString.Invariant($"{s.Key}={s.Value:0.000000}")));
        string key = films.FirstOrDefault(f => Same(f.Value.Shares) == same).Key ?? $"A{films.Count}";
        if (!films.TryGetValue(key, out (SortedDictionary<string, double> Shares, StringBuilder Faces) entry))
        {
            entry = (shares, new StringBuilder());
            films[key] = entry;
        }
        Line(entry.Faces, $"{element},F{number},1.0,{sum:0.######}");

        static string Same(SortedDictionary<string, double> shares) =>
            string.Join(';', shares.Select(s => FormattableString.Invariant($"{s.Key}={s.Value:0.000000}")));
    }

    private static double At(HeatSignal signal, double timeS)
    {
        for (int p = 1; p < signal.Points.Count; p++)
        {
            SignalPoint a = signal.Points[p - 1];
            SignalPoint b = signal.Points[p];
            if (timeS <= b.TimeS)
            {
                return a.TemperatureC + (b.TemperatureC - a.TemperatureC) * (timeS - a.TimeS) / (b.TimeS - a.TimeS);
            }
        }
        return signal.Points[^1].TemperatureC;
    }

    private static double[][] Read(HeatCase heat, HeatNetwork network, string[] lines)
    {
        Dictionary<int, int> probeOf = heat
            .Probes.Select((probe, p) => (NodeOf(network, probe), p))
            .ToDictionary(entry => entry.Item1, entry => entry.p);
        double[][] read = [.. heat.Probes.Select(_ => new double[heat.TimesS.Count])];
        int moment = -1;
        foreach (string line in lines)
        {
            if (line.Contains("time", StringComparison.Ordinal))
            {
                double time = double.Parse(line.Split(' ')[^1], CultureInfo.InvariantCulture);
                moment = Enumerable.Range(0, heat.TimesS.Count).MinBy(t => Math.Abs(heat.TimesS[t] - time));
                continue;
            }
            string[] words = line.Split(' ', StringSplitOptions.RemoveEmptyEntries);
            if (words.Length == 2 && moment >= 0)
            {
                read[probeOf[int.Parse(words[0], CultureInfo.InvariantCulture)]][moment] = double.Parse(
                    words[1],
                    CultureInfo.InvariantCulture
                );
            }
        }
        return read;
    }

    private static void Line(StringBuilder text, FormattableString line) =>
        text.Append(line.ToString(CultureInfo.InvariantCulture)).Append('\n');
}
