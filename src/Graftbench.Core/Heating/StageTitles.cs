namespace Graftbench.Core.Heating;

/// <summary>What a stage of a heat does, in a few words: from what happens in it, since a bench's stages are only numbers.</summary>
internal static class StageTitles
{
    // Shorter than this nothing evens out (common practice, no source).
    private const double LeastThroughS = 40;

    // What melts within the first seconds of a stage was melted by the one before.
    private const double SlackS = 5;

    /// <summary>Titles of the heated stages.</summary>
    /// <param name="task">What the heat is for.</param>
    /// <param name="durationsS">Durations of the stages [s].</param>
    /// <param name="moments">What happens when.</param>
    public static string[] Of(HeatTask task, IReadOnlyList<double> durationsS, IReadOnlyList<HeatMoment> moments)
    {
        double firstS = At(moments, HeatMoments.FirstMelts);
        double allS = At(moments, HeatMoments.AllMolten);
        string[] titles = new string[durationsS.Count];
        double startS = 0;
        for (int i = 0; i < titles.Length; i++)
        {
            double endS = startS + durationsS[i];
            bool last = i == titles.Length - 1;
            titles[i] =
                allS < startS + SlackS ? Molten(task)
                : allS <= endS ? Melting(task, last)
                : last ? "Hold: not everything melts"
                : firstS <= endS ? "Go on melting"
                : Before(task, i, durationsS[i], nearMelt: Math.Min(firstS, allS) <= endS + durationsS[i + 1]);
            startS = endS;
        }
        return titles;
    }

    private static double At(IReadOnlyList<HeatMoment> moments, string name) =>
        moments.FirstOrDefault(moment => moment.Name == name)?.TimeS ?? double.PositiveInfinity;

    private static string Molten(HeatTask task) =>
        task switch
        {
            HeatTask.Lift => "Every joint molten: lift",
            HeatTask.AttachBalls => "Hold, every ball molten",
            _ => "Hold, every joint molten",
        };

    private static string Melting(HeatTask task, bool last) =>
        (task, last) switch
        {
            (HeatTask.Lift, true) => "Melt the joints, then lift",
            (HeatTask.AttachBalls, true) => "Melt the balls, then hold",
            (_, true) => "Melt the joints, then hold",
            (HeatTask.AttachBalls, false) => "Melt the balls",
            _ => "Melt the joints",
        };

    private static string Before(HeatTask task, int stage, double durationS, bool nearMelt) =>
        stage == 0
            ? task == HeatTask.AttachBalls
                ? "Warm the chip"
                : "Warm the board"
            : nearMelt
                ? "Bring near melting"
                : durationS >= LeastThroughS
                    ? "Warm through"
                    : "Warm further";
}
