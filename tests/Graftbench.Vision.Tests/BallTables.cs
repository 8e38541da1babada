using Graftbench.Core.Inspection;
using Graftbench.Scenes;
using Graftbench.Vision.Balls;
using Graftbench.Vision.Pictures;

namespace Graftbench.Vision.Tests;

/// <summary>Scenes, pictures and reports that several tests share.</summary>
internal static class BallTables
{
    public const int Side = 12;

    public static BallScene Scene(ulong seed, Difficulty? difficulty = null, double? missing = null, int side = Side) =>
        BallScene.Make(seed, difficulty ?? new Difficulty(), side, side, missingShare: missing);

    public static byte[] Jpeg(BallScene scene, char renderer) =>
        renderer == 'A' ? RayRender.Jpeg(scene) : PaintRender.Jpeg(scene);

    public static Picture Picture(BallScene scene, char renderer) =>
        PictureReader.Read(Jpeg(scene, renderer), "picture").Picture!;

    public static BallReport Check(
        BallScene scene,
        char renderer,
        BallField? field = null,
        BallView? view = null,
        PictureCorner? a1 = null
    )
    {
        BallRequest request = BallScore.Request(scene);
        return BallCheck.Check(
            Picture(scene, renderer),
            "picture",
            new BallRequest(field ?? request.Field, view ?? request.View, a1)
        );
    }

    public static BallField Full(int rows, int columns) => new(rows, columns, 1.0);
}
