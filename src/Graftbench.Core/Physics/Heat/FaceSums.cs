namespace Graftbench.Core.Physics.Heat;

/// <summary>Collects films and radiation of exposed faces at the nodes, grouped by factor and sink.</summary>
internal sealed class FaceSums
{
    private readonly HeatCase heat;
    private readonly int count;
    private readonly Dictionary<string, (FilmGroup Group, IReadOnlyList<SignalShare> Sink, double[] Sum)> films = new(
        StringComparer.Ordinal
    );
    private readonly Dictionary<string, (IReadOnlyList<SignalShare> Sink, double[] Sum)> radiation = new(
        StringComparer.Ordinal
    );
    private readonly double[][] filmSums;
    private readonly double[][] radiationSums;
    private readonly HashSet<int>?[] filmBoxes;
    private readonly HashSet<int>?[] radiationBoxes;

    public FaceSums(HeatCase heat, int count)
    {
        this.heat = heat;
        this.count = count;
        filmSums = [.. heat.Films.Select(film => Film(film.Group, film.Sink))];
        radiationSums = [.. heat.Radiation.Select(patch => Patch(patch.Sink))];
        filmBoxes = [.. heat.Films.Select(film => Named(film.OnlyBoxes))];
        radiationBoxes = [.. heat.Radiation.Select(patch => Named(patch.OnlyBoxes))];
    }

    public void Add(Faces faces, int box, double xMm, double yMm, double quarterM2, (int, int, int, int) corners)
    {
        for (int f = 0; f < filmSums.Length; f++)
        {
            HeatFilm film = heat.Films[f];
            if (film.Faces == faces && Covers(film.Inside, film.Outside, filmBoxes[f], box, xMm, yMm))
            {
                AddTo(filmSums[f], film.FilmWPerM2K * quarterM2, corners);
            }
        }
        for (int r = 0; r < radiationSums.Length; r++)
        {
            HeatRadiation patch = heat.Radiation[r];
            if (patch.Faces == faces && Covers(patch.Inside, patch.Outside, radiationBoxes[r], box, xMm, yMm))
            {
                AddTo(radiationSums[r], patch.EmissivityRatio * HeatNetwork.StefanBoltzmann * quarterM2, corners);
            }
        }
    }

    public void Into(HeatNetwork network)
    {
        foreach ((FilmGroup group, IReadOnlyList<SignalShare> sink, double[] sum) in films.Values)
        {
            (int[] nodes, double[] values) = Sparse(sum);
            network.Films.Add(new HeatNetwork.FilmTerm(group, sink, nodes, values));
        }
        foreach ((IReadOnlyList<SignalShare> sink, double[] sum) in radiation.Values)
        {
            (int[] nodes, double[] values) = Sparse(sum);
            network.Radiation.Add(new HeatNetwork.RadiationTerm(sink, nodes, values));
        }
    }

    private double[] Film(FilmGroup group, IReadOnlyList<SignalShare> sink)
    {
        string key = group + "|" + Key(sink);
        if (!films.TryGetValue(key, out (FilmGroup, IReadOnlyList<SignalShare>, double[] Sum) entry))
        {
            entry = (group, sink, new double[count]);
            films[key] = entry;
        }
        return entry.Sum;
    }

    private double[] Patch(IReadOnlyList<SignalShare> sink)
    {
        string key = Key(sink);
        if (!radiation.TryGetValue(key, out (IReadOnlyList<SignalShare>, double[] Sum) entry))
        {
            entry = (sink, new double[count]);
            radiation[key] = entry;
        }
        return entry.Sum;
    }

    private static string Key(IReadOnlyList<SignalShare> sink) =>
        string.Join(';', sink.Select(share => $"{share.Signal}={share.ShareFraction:R}"));

    private HashSet<int>? Named(IReadOnlyList<string> names) =>
        names.Count == 0
            ? null
            :
            [
                .. heat
                    .Boxes.Select((box, index) => (box, index))
                    .Where(e => names.Contains(e.box.Name))
                    .Select(e => e.index),
            ];

    private static bool Covers(RectMm? inside, RectMm? outside, HashSet<int>? boxes, int box, double xMm, double yMm) =>
        (inside is null || inside.Contains(xMm, yMm))
        && (outside is null || !outside.Contains(xMm, yMm))
        && (boxes is null || boxes.Contains(box));

    private static void AddTo(double[] sum, double value, (int A, int B, int C, int D) corners)
    {
        sum[corners.A] += value;
        sum[corners.B] += value;
        sum[corners.C] += value;
        sum[corners.D] += value;
    }

    private static (int[] Nodes, double[] Values) Sparse(double[] sum)
    {
        int[] nodes = [.. Enumerable.Range(0, sum.Length).Where(node => sum[node] != 0)];
        return (nodes, [.. nodes.Select(node => sum[node])]);
    }
}
