using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Shared.Vision;
using Graftbench.Tests.Checks;
using Graftbench.Vision.Lands;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Xray;

namespace Graftbench.Vision.Tests.Lands;

/// <summary>Made pictures of cleaned lands with torn, shifted and lumpy ones among them.</summary>
public class LandReaderTests
{
    public static TheoryData<string> Looks => ["grey", "noise", "white"];

    [Theory, MemberData(nameof(Looks))]
    public void Torn_and_uneven_lands_are_found_and_good_ones_left_alone(string name)
    {
        LandMaking making = name switch
        {
            "grey" => new LandMaking { Colour = false },
            "noise" => new LandMaking { Noise = 0.06 },
            "gold" => new LandMaking { Mask = (0.08, 0.12, 0.35), Metal = (0.85, 0.68, 0.3) },
            "white" => new LandMaking { Mask = (0.85, 0.85, 0.83), Metal = (0.55, 0.53, 0.5) },
            _ => new LandMaking(),
        };
        (Picture picture, Dictionary<(int Row, int Column), LandState> truth) = LandMaker.Make(making);
        LandReading got = LandReader.Read(Request(picture, making));
        Assert.True(got.Judged, got.Answer);
        Truth.Note(
            "pictures.lands",
            got.Lands.Count(land =>
                land.State != LandState.CannotJudge && land.State != truth[(land.Row, land.Column)]
            ),
            got.Lands.Count
        );
        foreach (LandSite land in got.Lands)
        {
            LandState real = truth[(land.Row, land.Column)];
            Assert.True(
                land.State == real || (land.State == LandState.CannotJudge && real == LandState.Present),
                $"{land} is {real}"
            );
        }
        Assert.True(got.Lands.Count(land => land.State == LandState.CannotJudge) <= 2, got.Answer);
    }

    [Theory]
    [InlineData(LandUse.NoConnect, Verdict.Warning, "connects it to nothing")]
    [InlineData(LandUse.FedRail, Verdict.Warning, "may pass")]
    [InlineData(LandUse.Signal, Verdict.FixFirst, "repair the land")]
    [InlineData(LandUse.Unknown, Verdict.FixFirst, "Look it up")]
    public void What_to_do_follows_from_the_ball_map(LandUse use, Verdict verdict, string says)
    {
        LandMaking making = new()
        {
            TornNumber = 1,
            ShiftedNumber = 0,
            UnevenNumber = 0,
            Rows = 6,
            Columns = 7,
        };
        (Picture picture, Dictionary<(int Row, int Column), LandState> truth) = LandMaker.Make(making);
        (int row, int column) = truth.Single(site => site.Value == LandState.LiftedOrTorn).Key;
        LandRequest request = Request(picture, making);
        string name = request.Field.NameOf(row, column);
        LandReading got = LandReader.Read(
            request with
            {
                Uses = new Dictionary<string, LandUse>(StringComparer.Ordinal) { [name] = use },
            }
        );
        Finding finding = got.Findings.Single(one => one.Code == "lands.torn");
        Assert.Equal((name, verdict), (finding.Where, finding.Verdict));
        Assert.Contains(says, finding.Todo, StringComparison.Ordinal);
    }

    [Fact]
    public void Lands_that_are_all_unlike_are_refused()
    {
        LandMaking making = new();
        (Picture picture, _) = LandMaker.Make(making);
        Random random = new(5);
        float[] grey = [.. picture.Grey];
        // Every land gets a brightness of its own.
        (Picture clean, _) = LandMaker.Make(
            making with
            {
                TornNumber = 0,
                ShiftedNumber = 0,
                UnevenNumber = 0,
                Noise = 0,
            }
        );
        LandReading where = LandReader.Read(Request(clean, making));
        foreach (LandSite land in where.Lands)
        {
            float factor = 0.4f + random.NextSingle();
            for (int y = (int)land.YPx - 11; y <= land.YPx + 11; y++)
            {
                for (int x = (int)land.XPx - 11; x <= land.XPx + 11; x++)
                {
                    if (Math.Pow(x - land.XPx, 2) + Math.Pow(y - land.YPx, 2) < 130)
                    {
                        grey[y * picture.WidthPx + x] = Math.Clamp(grey[y * picture.WidthPx + x] * factor, 0, 1);
                    }
                }
            }
        }
        LandReading got = LandReader.Read(Request(new Picture(picture.WidthPx, picture.HeightPx, grey), making));
        Assert.False(got.Judged, got.Answer);
        Assert.NotEmpty(got.Findings[0].Todo!);
    }

    [Fact]
    public void A_blank_picture_and_another_field_are_refused()
    {
        LandMaking making = new();
        Assert.False(LandReader.Read(Request(new Picture(200, 200, new float[40000]), making)).Judged);
        LandRequest request = Request(LandMaker.Make(making).Picture, making);
        Assert.False(LandReader.Read(request with { Field = new BallField(30, 30, 1) }).Judged);
    }

    [Fact]
    public void Every_answer_says_what_no_picture_from_above_shows()
    {
        LandMaking making = new() { Rows = 6, Columns = 7 };
        LandReading got = LandReader.Read(Request(LandMaker.Make(making).Picture, making));
        Assert.Contains(got.Findings, finding => finding is { Code: "lands.not-promised", Verdict: Verdict.Unknown });
    }

    private static LandRequest Request(Picture picture, LandMaking making) =>
        new(
            picture,
            "lands",
            new BallField(making.Rows, making.Columns, 1),
            PictureCorner.UpperLeft,
            new Dictionary<string, LandUse>(StringComparer.Ordinal)
        );
}
