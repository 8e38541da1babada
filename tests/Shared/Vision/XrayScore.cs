using Graftbench.Core.Facts;
using Graftbench.Core.Inspection;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Xray;

namespace Graftbench.Shared.Vision;

/// <summary>A reading held against what is true of a made picture.</summary>
internal sealed class XrayScore
{
    public List<double> OffPercent { get; } = [];
    public int Joints { get; private set; }
    public int NotJudged { get; private set; }
    public int Covered { get; private set; }
    public int Missing { get; private set; }
    public int MissingFound { get; private set; }
    public int MissingFalse { get; private set; }
    public int Joined { get; private set; }
    public int JoinedFound { get; private set; }
    public int JoinedFalse { get; private set; }
    public int Odd { get; private set; }
    public int Strays { get; private set; }
    public int Refused { get; private set; }
    public double PitchOff { get; private set; }
    public List<string> Worst { get; } = [];
    public Dictionary<string, int> Why { get; } = [];

    public double Median => At(0.5);
    public double P95 => At(0.95);
    public double Largest => At(1);
    public double Within3 =>
        OffPercent.Count == 0 ? 1 : OffPercent.Count(e => Math.Abs(e) <= 3) / (double)OffPercent.Count;
    public double Bias => OffPercent.Count == 0 ? 0 : OffPercent.Average();

    private double At(double share)
    {
        double[] sorted = [.. OffPercent.Select(Math.Abs).Order()];
        return sorted.Length == 0 ? double.NaN : sorted[Math.Min(sorted.Length - 1, (int)(share * sorted.Length))];
    }

    public static XrayRequest Request(MadeXray made, double pitchMm = 1)
    {
        int rows = made.Joints.Max(j => j.Row) + 1;
        int columns = made.Joints.Max(j => j.Column) + 1;
        bool[] has = new bool[rows * columns];
        foreach (MadeJoint joint in made.Joints)
        {
            has[joint.Row * columns + joint.Column] = true;
        }
        return new XrayRequest(
            new Picture(made.WidthPx, made.HeightPx, made.Grey),
            "picture",
            new BallField(rows, columns, pitchMm, has),
            BallView.Top,
            InspectionFacts.FindVoidLimit(InspectionFacts.UsualVoidLimit)!,
            PictureCorner.UpperLeft
        );
    }

    public void Add(MadeXray made, double pitchMm = 1)
    {
        Add(made, XrayReader.Read(Request(made, pitchMm)));
    }

    public void Add(MadeXray made, XrayReading reading)
    {
        Joints += made.Joints.Count;
        if (!reading.Judged)
        {
            Refused++;
            NotJudged += made.Joints.Count;
            Why[reading.Answer] = Why.GetValueOrDefault(reading.Answer) + 1;
            return;
        }
        Dictionary<(int, int), JointReading> got = reading.Joints.ToDictionary(j => (j.Row, j.Column));
        HashSet<(int, int)> bridged = [.. made.Bridges.SelectMany(b => new[] { b.A, b.B })];
        Strays += reading.Strays.Count;
        foreach (MadeJoint truth in made.Joints)
        {
            JointReading joint = got[(truth.Row, truth.Column)];
            bool joined = bridged.Contains((truth.Row, truth.Column));
            Missing += truth.Missing ? 1 : 0;
            MissingFound += truth.Missing && joint.State == JointSight.Missing ? 1 : 0;
            MissingFalse += !truth.Missing && joint.State == JointSight.Missing ? 1 : 0;
            Joined += joined ? 1 : 0;
            JoinedFound += joined && joint.State == JointSight.Joined ? 1 : 0;
            JoinedFalse += !joined && joint.State == JointSight.Joined ? 1 : 0;
            Odd += joint.State == JointSight.Odd ? 1 : 0;
            if (joint.WhyNot is { } why)
            {
                Why[why] = Why.GetValueOrDefault(why) + 1;
            }
            if (truth.Missing)
            {
                continue;
            }
            if (joint.VoidPercent is not { } share)
            {
                NotJudged++;
                continue;
            }
            double off = share - 100 * truth.VoidFraction;
            OffPercent.Add(off);
            Covered += Math.Abs(off) <= joint.VoidUncertaintyPercent ? 1 : 0;
            if (Math.Abs(off) > 4 && Worst.Count < 6)
            {
                Worst.Add(
                    FormattableString.Invariant(
                        $"{joint.Name} at {joint.XPx:0},{joint.YPx:0}: {share:0.0} ± {joint.VoidUncertaintyPercent:0.0}, true {100 * truth.VoidFraction:0.0}; read {string.Join(' ', joint.Voids.Select(v => FormattableString.Invariant($"{v.AreaPercent:0.0}/{v.DepthRatio:0.00}")))}, true {string.Join(' ', truth.Voids.Select(v => FormattableString.Invariant($"{100.0 * v.Rays / truth.JointRays:0.0}")))}"
                    )
                );
            }
        }
    }

    public string Line(string name) =>
        FormattableString.Invariant(
            $"{name, -22} {Joints, 5} {NotJudged, 4} {Median, 6:0.00} {P95, 6:0.00} {Largest, 6:0.00} {Bias, 6:0.00} {100 * Within3, 5:0.0} {100.0 * Covered / Math.Max(1, OffPercent.Count), 5:0.0} {MissingFound}/{Missing} +{MissingFalse} {JoinedFound}/{Joined} +{JoinedFalse} odd {Odd} strays {Strays}"
        );
}
