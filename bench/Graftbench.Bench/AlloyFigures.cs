using System.Diagnostics;
using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Mixing;
using Graftbench.Core.Physics.Alloys;

namespace Graftbench.Bench;

/// <summary>
/// Times of the melting model over every alloy of the table that it knows and mixtures of them:
/// dotnet run -c Release --project bench/Graftbench.Bench -- alloy
/// </summary>
internal static class AlloyFigures
{
    /// <summary>Measures and prints.</summary>
    public static void Print()
    {
        (string Name, SolderMix Mix)[] mixes = [.. Mixes()];
        Stopwatch first = Stopwatch.StartNew();
        _ = new MeltingModel(mixes[0].Mix).Liquidus();
        Say($"first liquidus of the process, tables read and code compiled: {first.Elapsed.TotalMilliseconds:0} ms");
        foreach ((string _, SolderMix mix) in mixes)
        {
            _ = new MeltingModel(mix).FullMelt();
        }
        Table("liquidus", mixes, 10, model => model.Liquidus());
        Table("solidus", mixes, 5, model => model.Solidus());
        Table("T99", mixes, 5, model => model.FullMelt());
        Table("one balance at 200 °C", mixes, 10, model => model.At(200));
        Table("freezing, Scheil", mixes, 1, model => model.Freeze());
        Answers();
    }

    private static void Answers()
    {
        foreach (bool curves in new[] { false, true })
        {
            foreach ((string ball, string land) in new[] { ("Sn63Pb37", "SAC305"), ("Sn42Bi57Ag1", "Sn63Pb37") })
            {
                MixRequest request = new(
                    "bench",
                    [
                        MixPart.Ball(MixAlloys.Read(ball).Alloy!, 0.6),
                        MixPart.Layer(MixAlloys.Read(land).Alloy!, 0.5, 0.02),
                    ],
                    205,
                    WithCurves: curves
                );
                MixPlanner.Plan(request);
                Stopwatch clock = Stopwatch.StartNew();
                MixPlanner.Plan(request);
                Say(
                    $"whole answer{(curves ? " with curves and map" : "")}, {ball} on {land}: {clock.Elapsed.TotalMilliseconds:0} ms"
                );
            }
        }
    }

    private static IEnumerable<(string Name, SolderMix Mix)> Mixes()
    {
        foreach (Alloy alloy in Alloys.All)
        {
            if (MeltingModel.OutsideModel(SolderMix.Of(alloy)) is null)
            {
                yield return (alloy.Id, SolderMix.Of(alloy));
            }
        }
        foreach (string other in new[] { "SAC305", "SAC405", "Sn62Pb36Ag2", "Sn42Bi57Ag1" })
        {
            for (int share = 10; share < 100; share += 20)
            {
                yield return (
                    $"{other} + {share} % Sn63Pb37",
                    SolderMix.Blend(
                        (SolderMix.Of(Alloys.Find(other)!), 100 - share),
                        (SolderMix.Of(Alloys.Find("Sn63Pb37")!), share)
                    )
                );
            }
        }
    }

    private static void Table(
        string what,
        (string Name, SolderMix Mix)[] mixes,
        int times,
        Func<MeltingModel, object> work
    )
    {
        List<(double Ms, string Name)> took = [];
        foreach ((string name, SolderMix mix) in mixes)
        {
            double least = double.PositiveInfinity;
            for (int i = 0; i < times; i++)
            {
                MeltingModel model = new(mix);
                Stopwatch clock = Stopwatch.StartNew();
                work(model);
                least = Math.Min(least, clock.Elapsed.TotalMilliseconds);
            }
            took.Add((least, name));
        }
        took.Sort();
        Say(
            $"{what}: median {took[took.Count / 2].Ms:0.00} ms, slowest {took[^1].Ms:0.00} ms ({took[^1].Name}), best of {times}"
        );
    }

    private static void Say(FormattableString line) => Console.WriteLine(line.ToString(CultureInfo.InvariantCulture));
}
