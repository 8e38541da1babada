using System.Text.Json.Nodes;
using Graftbench.Scenes;
using Graftbench.Shared.Vision;
using SkiaSharp;

namespace Graftbench.Web.Tests;

/// <summary>Rendered pictures of an invented chip of 12 by 12 balls, and the demo job with that chip.</summary>
internal static class PictureFiles
{
    /// <summary>Id of the job.</summary>
    public const string Job = "twelve-by-twelve";

    private const int Sites = 12;
    private const double PitchMm = 1.0;

    private static readonly Lazy<byte[]> LazyBalls = new(() => PaintRender.Jpeg(Scene()));
    private static readonly Lazy<byte[]> LazyXray = new(Xray);
    private static readonly Lazy<SideFile> LazySide = new(() => MakeSide(new SideLook()));

    /// <summary>The underside with all balls but A1, A2 and A3; A1 is upper right, as the view from below has it.</summary>
    public static byte[] Balls => LazyBalls.Value;

    /// <summary>A side of the package over the board, gap 0.4 mm, edge 15 mm.</summary>
    public static SideFile Side => LazySide.Value;

    /// <summary>A side that stands 0.2 mm higher at one end.</summary>
    public static SideFile TiltedSide => MakeSide(new SideLook { TiltMm = 0.2 });

    /// <summary>An X-ray picture of all joints with some voids and one missing joint, from the top.</summary>
    public static byte[] XrayPng => LazyXray.Value;

    /// <summary>The first demo job with the chip of these pictures in it.</summary>
    public static byte[] JobFile(string demo)
    {
        JsonNode job = JsonNode.Parse(
            File.ReadAllText(demo),
            documentOptions: new()
            {
                CommentHandling = System.Text.Json.JsonCommentHandling.Skip,
                AllowTrailingCommas = true,
            }
        )!;
        job["id"] = Job;
        job["title"] = "Twelve by twelve";
        JsonNode chip = job["chips"]![0]!;
        chip["rows"] = Sites;
        chip["columns"] = Sites;
        chip["ballCount"] = Sites * Sites;
        chip["pitchMm"] = PitchMm;
        chip["ballDiameterMm"] = 0.6;
        chip["bodyLengthMm"] = 15;
        chip["bodyWidthMm"] = 15;
        chip.AsObject().Remove("packageClass");
        JsonObject seat = chip["seat"]!.AsObject();
        seat["emptyRows"] = 0;
        seat["emptyColumns"] = 0;
        seat["packagePadMm"] = 0.5;
        seat["boardPadMm"] = 0.5;
        seat.Remove("parts");
        seat["hasParts"] = "no";
        return System.Text.Encoding.UTF8.GetBytes(job.ToJsonString());
    }

    private static BallScene Scene()
    {
        for (ulong seed = 1; ; seed++)
        {
            BallScene scene = BallScene.Make(seed, new Difficulty(), Sites, Sites, faults: false);
            if (scene.Field.Count == (Sites * Sites) - 3)
            {
                return scene;
            }
        }
    }

    private static byte[] Xray()
    {
        MadeXray made = XrayMaker.Make(
            new XrayLook
            {
                Rows = Sites,
                Columns = Sites,
                PitchMm = PitchMm,
                PxPerMm = 40,
                MissingNumber = 1,
                Seed = 5,
            }
        );
        return Png(made.WidthPx, made.HeightPx, made.Grey);
    }

    private static SideFile MakeSide(SideLook look)
    {
        MadeSide made = SideMaker.Make(look);
        return new SideFile(
            Png(made.Picture.WidthPx, made.Picture.HeightPx, made.Picture.Grey),
            [.. made.Package, .. made.Board, made.Package[0], made.Package[1]],
            "15"
        );
    }

    private static byte[] Png(int width, int height, float[] grey)
    {
        using SKBitmap bitmap = new(new SKImageInfo(width, height, SKColorType.Gray8, SKAlphaType.Opaque));
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                byte level = (byte)Math.Clamp((255 * grey[(y * width) + x]) + 0.5, 0, 255);
                bitmap.SetPixel(x, y, new SKColor(level, level, level));
            }
        }
        using SKImage image = SKImage.FromBitmap(bitmap);
        using SKData png = image.Encode(SKEncodedImageFormat.Png, 100);
        return png.ToArray();
    }
}

/// <summary>A picture from the side, where to tap in it, and the length that is known.</summary>
internal sealed record SideFile(byte[] Png, IReadOnlyList<(double X, double Y)> Places, string KnownMm);
