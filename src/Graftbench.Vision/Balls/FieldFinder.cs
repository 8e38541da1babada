using Graftbench.Core.Inspection;
using Graftbench.Vision.Lattice;

namespace Graftbench.Vision.Balls;

/// <summary>Finds the lattice of a ball field in a picture: round spots of several sizes, and the best lattice among them.</summary>
internal static class FieldFinder
{
    // Largest level that is searched [px]; balls too small for it are too small to judge.
    private const long MaxSearchedPixels = 3_200_000;
    private const int LevelsSearched = 3;
    private static readonly double[] RadiiPx = [3, 4.2, 5.9];

    /// <summary>Finds it.</summary>
    /// <param name="levels">The picture.</param>
    /// <param name="field">What is looked for: says when enough was found.</param>
    /// <returns>The best lattice; null where there is none.</returns>
    public static PointLattice? Find(List<GreyLevel> levels, BallField field)
    {
        int first = levels.FindIndex(level => (long)level.WidthPx * level.HeightPx <= MaxSearchedPixels);
        first = first < 0 ? levels.Count - 1 : first;
        int last = Math.Min(first + LevelsSearched - 1, levels.Count - 1);
        int most = Math.Clamp(3 * field.Count, 300, 4000);
        PointLattice? best = null;
        double bestScore = 0;
        // The small levels first: quick, and most pictures show balls of a handy size there.
        for (int k = last; k >= first; k--)
        {
            RoundSpots.Edges edges = RoundSpots.EdgesOf(levels[k]);
            foreach (double radius in RadiiPx)
            {
                List<LatticePoint> spots = RoundSpots.Find(levels[k], edges, radius, most);
                // A step is longer than the diameter of the spots.
                PointLattice? found = LatticeFinder.Find(spots, 1.8 * radius * levels[k].ScaleNumber);
                found = found is null ? null : LatticeThinning.Strong(found, spots);
                double score = found is null ? 0 : Score(found, field);
                if (score > bestScore * 1.03)
                {
                    best = found;
                    bestScore = score;
                }
                if (best is not null && IsWhole(best, field))
                {
                    return best;
                }
            }
        }
        return best;
    }

    // Of two lattices about as well filled the one counts more that is not larger than the field.
    private static double Score(PointLattice lattice, BallField field)
    {
        int shorter = Math.Min(lattice.RowCount, lattice.ColumnCount);
        int longer = Math.Max(lattice.RowCount, lattice.ColumnCount);
        double over =
            Math.Max(0, shorter - Math.Min(field.Rows, field.Columns) - 1)
            + Math.Max(0, longer - Math.Max(field.Rows, field.Columns) - 1);
        return lattice.ScoreNumber / (1 + 0.15 * over);
    }

    private static bool IsWhole(PointLattice lattice, BallField field)
    {
        int shorter = Math.Min(lattice.RowCount, lattice.ColumnCount);
        int longer = Math.Max(lattice.RowCount, lattice.ColumnCount);
        return shorter == Math.Min(field.Rows, field.Columns)
            && longer == Math.Max(field.Rows, field.Columns)
            && lattice.Nodes.Count >= 0.96 * field.Count
            && lattice.ResidualPx < 0.06 * lattice.PitchPx;
    }
}
