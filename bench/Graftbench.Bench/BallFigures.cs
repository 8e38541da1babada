using System.Diagnostics;
using Graftbench.Core.Numerics;
using Graftbench.Scenes;
using Graftbench.Vision.Balls;
using Graftbench.Vision.Marking;
using Graftbench.Vision.Pictures;

namespace Graftbench.Bench;

/// <summary>The table of the ball check: each difficulty alone and all together, on rendered pictures that nothing was tuned on.</summary>
internal static class BallFigures
{
    // Seeds below 100 were looked at while the check was written.
    private const ulong FirstHeldOut = 1001;

    public static void Print(int scenes)
    {
        Console.WriteLine(
            $"{scenes} scenes of 16 x 16 from seed {FirstHeldOut} on, each by both renderers (A rays, B paint)"
        );
        Console.WriteLine(
            "| difficulty | pictures | refused | sites | not judged | missing recall | passed | sound called missing | missing precision | undersized recall / precision | off-centre recall / precision | joined recall / precision | strays |"
        );
        Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
        foreach (string name in (string[])["none", .. Difficulty.Names, "all, to half", "all, to full"])
        {
            foreach (char renderer in "AB")
            {
                Row(name, renderer, scenes);
            }
        }
    }

    private static void Row(string name, char renderer, int scenes)
    {
        BallScore score = new();
        Lock held = new();
        Parallel.For(
            0,
            scenes,
            new ParallelOptions { MaxDegreeOfParallelism = 2 },
            k =>
            {
                ulong seed = FirstHeldOut + (ulong)k;
                Dice dice = new(seed);
                Difficulty difficulty = name switch
                {
                    "none" => new Difficulty(),
                    "all, to half" => Difficulty.Mixed(dice, 0.5),
                    "all, to full" => Difficulty.Mixed(dice, 1),
                    _ => Difficulty.Only(name, 1),
                };
                BallScene scene = BallScene.Make(seed, difficulty);
                byte[] jpeg = renderer == 'A' ? RayRender.Jpeg(scene) : PaintRender.Jpeg(scene);
                BallReport report = BallCheck.Check(
                    PictureReader.Read(jpeg, "p").Picture!,
                    "p",
                    BallScore.Request(scene)
                );
                lock (held)
                {
                    score.Add(scene, report, $"{name} {renderer}{seed}");
                }
            }
        );
        static string Share((int Hit, int Of) part) =>
            part.Of == 0 ? "-" : $"{100.0 * part.Hit / part.Of:0.0} ({part.Hit}/{part.Of})";
        (int falseMissing, int sound) = (
            score.Sum((t, s) => t == SiteClass.Present && s == SiteClass.Missing),
            score.Sum((t, s) => t == SiteClass.Present && s != SiteClass.CannotJudge)
        );
        Console.WriteLine(
            $"| {name} {renderer} | {score.Pictures} | {score.Refused}{(score.WrongPlace > 0 ? $", {score.WrongPlace} misplaced" : "")} | {score.Sites} | {100.0 * score.NotJudged / Math.Max(1, score.Sites):0.0} % | {Share(score.Recall(SiteClass.Missing))} | {score.Passed} | {falseMissing} of {sound} | {Share(score.Precision(SiteClass.Missing))} | {Share(score.Recall(SiteClass.Undersized))} / {Share(score.Precision(SiteClass.Undersized))} | {Share(score.Recall(SiteClass.OffCentre))} / {Share(score.Precision(SiteClass.OffCentre))} | {Share(score.Recall(SiteClass.Joined))} / {Share(score.Precision(SiteClass.Joined))} | {score.StraysFound}/{score.StraysTrue}, {score.StraysFalse} false |"
        );
    }

    /// <summary>Against the plain circle transform, paired on the same decoded pictures; and one picture of 12 megapixels.</summary>
    public static void Compare(int scenes)
    {
        (int noticed, int missing, int wrong, int sound) = (0, 0, 0, 0);
        BallScore score = new();
        TimeSpan own = TimeSpan.Zero;
        TimeSpan plain = TimeSpan.Zero;
        for (int k = 0; k < scenes; k++)
        {
            ulong seed = FirstHeldOut + 500 + (ulong)k;
            BallScene scene = BallScene.Make(seed, Difficulty.Mixed(new Dice(seed), 0.5));
            byte[] jpeg = k % 2 == 0 ? RayRender.Jpeg(scene) : PaintRender.Jpeg(scene);
            Picture picture = PictureReader.Read(jpeg, "p").Picture!;
            Stopwatch watch = Stopwatch.StartNew();
            BallReport report = BallCheck.Check(picture, "p", BallScore.Request(scene));
            own += watch.Elapsed;
            score.Add(scene, report, "p");
            watch.Restart();
            double radius = scene.BallSteps * scene.PitchPx;
            (int n, int m, int f, int s) = CircleVotes.Score(
                scene,
                CircleVotes.Find(picture, 0.75 * radius, 1.2 * radius)
            );
            plain += watch.Elapsed;
            (noticed, missing, wrong, sound) = (noticed + n, missing + m, wrong + f, sound + s);
        }
        Console.WriteLine($"{scenes} pictures, all difficulties to half");
        Console.WriteLine(
            $"circle transform: {noticed} of {missing} missing noticed, {wrong} of {sound} sound called missing, {plain.TotalMilliseconds / scenes:0} ms a picture"
        );
        Console.WriteLine(
            $"ball check: {score.Recall(SiteClass.Missing)} missing of those judged, {score.Sum((t, s) => t == SiteClass.Present && s == SiteClass.Missing)} sound called missing of {score.Sum((t, _) => t == SiteClass.Present)}, {score.NotJudged} of {score.Sites} not judged, {score.Refused} refused, {own.TotalMilliseconds / scenes:0} ms a picture"
        );
        Large();
    }

    private static void Large()
    {
        // 4000 x 3480, 25 x 25 with an empty middle: about 600 balls.
        BallScene scene = BallScene.Make(FirstHeldOut + 7, new Difficulty { Parts = 0.5 }, 25, 25, 116);
        byte[] jpeg = PaintRender.Jpeg(scene);
        GC.Collect();
        for (int k = 0; k < 4; k++)
        {
            Stopwatch watch = Stopwatch.StartNew();
            Picture picture = PictureReader.Read(jpeg, "large").Picture!;
            double read = watch.Elapsed.TotalMilliseconds;
            watch.Restart();
            BallReport report = BallCheck.Check(picture, "large", BallScore.Request(scene));
            double check = watch.Elapsed.TotalMilliseconds;
            watch.Restart();
            int bytes = BallMarking.Png(picture, report).Length;
            double mark = watch.Elapsed.TotalMilliseconds;
            watch.Restart();
            double radius = scene.BallSteps * scene.PitchPx;
            int circles = k == 3 ? CircleVotes.Find(picture, 0.75 * radius, 1.2 * radius).Count : 0;
            Console.WriteLine(
                $"{picture.WidthPx} x {picture.HeightPx}, {scene.Field.Count} balls: read {read:0} ms, check {check:0} ms, mark {mark:0} ms ({bytes} bytes); judged {report.Judged}, {report.CountOf(SiteClass.CannotJudge)} not judged; circle transform {watch.Elapsed.TotalMilliseconds:0} ms, {circles} circles"
            );
        }
    }

    /// <summary>Reads and checks one picture and tells the most memory that this process had.</summary>
    public static void Memory(string path)
    {
        BallScene scene = BallScene.Make(FirstHeldOut + 7, new Difficulty { Parts = 0.5 }, 25, 25, 116);
        if (!File.Exists(path))
        {
            File.WriteAllBytes(path, PaintRender.Jpeg(scene));
            Console.WriteLine("Picture written; run again.");
            return;
        }
        Stopwatch watch = Stopwatch.StartNew();
        Picture picture = PictureReader.Read(File.ReadAllBytes(path), "large").Picture!;
        BallReport report = BallCheck.Check(picture, "large", BallScore.Request(scene));
        using Process self = Process.GetCurrentProcess();
        Console.WriteLine(
            $"judged {report.Judged}, cold {watch.Elapsed.TotalMilliseconds:0} ms, most memory {self.PeakWorkingSet64 / 1048576.0:0} MiB"
        );
    }
}
