using System.Text;
using CsCheck;
using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Inspection;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Fit.Maps;

/// <summary>
/// Facts of the formats: K. P. Parker, The Boundary-Scan Handbook (2016), appendix A, and reference pages 4.3 and 4.7 of the
/// 1990 and 1994 grammar (BSDL); the IBIS text, BIRD 78.1, 93.1 and 185.2 (IBIS). Parts and names are invented.
/// </summary>
public class BallMapReaderTests
{
    private const string Bsdl = """
        -- an invented part
        entity GX41 is
          generic (PHYSICAL_PIN_MAP : string := "BGA16");
          port (
            A, B     : in     bit;    -- two single bits
            D        : inout  bit_vector(0 to 3);
            Q        : OUT    bit_vector(2 downto 1);
            VCORE    : linkage bit_vector(1 to 2);
            VSS      : linkage bit_vector(1 to 3);
            TCK, TMS : in     bit );
          use STD_1149_1_2001.all;
          attribute PIN_MAP of GX41 : entity is PHYSICAL_PIN_MAP;
          constant BGA16 : PIN_MAP_STRING :=
            "A : A1, B: a2, " &
            "D : (B1, B2, B3,	B4)," &
            "Q : (C1, C2)," &
            "VCORE : (C3, C4), VSS : (A3,A4,D1)," &
            "TCK : D2, TMS : D3, ";
          constant QUAD : PIN_MAP_STRING := "A : 15, B : PIN16";
          attribute IDCODE_REGISTER of GX41 : entity is
            "0001" & "0000110010100001" & "00010101011" & "1";
        end GX41;
        """;

    private const string Ibis = """
        [IBIS Ver]   4.0
        | an invented part
        [Component]  GX41
        [Manufacturer] none
        [Pin]  signal_name  model_name  R_pin  L_pin  C_pin
        A1     CLK          clkbuf      297.0m 6.7nH  3.4pF
        a2     POWER        iobuf
        A3     VDDQ         POWER       NA     NA     NA
        B1     DQ0          iobuf
        B2     GND          GND
        B3     SPARE        NC
        [Pin_Mapping]  pulldown_ref  pullup_ref
        A3     NC     RAIL1
        B2     GBUS   NC
        [Component]  GX42
        [Pin]  signal_name  model_name
        A1     X   iobuf
        """;

    private static MapReading Read(string text) => BallMapReader.Read(text, BallView.Top);

    private static MapBall Ball(BallMap map, string name) => map.Balls.Single(ball => ball.Name == name);

    [Fact]
    public void A_boundary_scan_description_gives_its_balls_by_package()
    {
        MapReading reading = Read(Bsdl);
        BallMap map = Assert.Single(reading.Packages);
        Assert.Equal(("BGA16", 4, 4, 15), (map.Name, map.Rows, map.Columns, map.Balls.Count));
        Assert.Equal(("A", BallClass.Signal), (Ball(map, "A1").Signal, Ball(map, "A1").Class));
        // Small letters fold; "to" counts up and "downto" down.
        Assert.Equal(
            ["D(0)", "D(3)", "Q(2)", "Q(1)"],
            new[] { "B1", "B4", "C1", "C2" }.Select(name => Ball(map, name).Signal)
        );
        Assert.Equal(
            (BallClass.Supply, ClassBasis.ByName, "VCORE"),
            (Ball(map, "C3").Class, Ball(map, "C3").Basis, Ball(map, "C3").Rail)
        );
        Assert.Equal((BallClass.Ground, "VSS"), (Ball(map, "D1").Class, Ball(map, "D1").Rail));
        Assert.Equal(["D4"], map.EmptySites());
        Assert.Contains(
            map.Notes,
            note => note.Contains("0001 0000110010100001 00010101011 1", StringComparison.Ordinal)
        );
        // The second package has numbered pins: no grid, and said so.
        Assert.Contains(
            reading.Problems,
            problem =>
                problem is { Package: "QUAD" } && problem.What.Contains("pins are numbered", StringComparison.Ordinal)
        );
    }

    public static readonly TheoryData<string, string, string> BrokenBsdl = new()
    {
        { "D : (B1, B2, B3,	B4)", "D : (B1, B2, B3)", "D has 3 pins for 4 bits" },
        { "TCK : D2", "TCK : D1", "ball D1 is listed twice" },
        { "TCK : D2", "TRST : D2", "TRST is no port of the part" },
        { "TCK : D2", "TCK D2", "has no ':' behind it" },
        {
            "constant QUAD : PIN_MAP_STRING := \"A : 15, B : PIN16\"",
            "constant QUAD : PIN_MAP_STRING := ",
            "QUAD: the list holds no ball"
        },
        { "bit_vector(0 to 3)", "bit_vector(0 up 3)", "range is not of the form" },
        { "constant BGA16 : PIN_MAP_STRING", "constant BGA16 : STRING", "QUAD: its pins are numbered" },
        { "TCK, TMS : in", "TCK, TCK : in", "Port TCK is declared twice" },
        { "\"0001\" &", "\"001\" &", "31 bits, not 32" },
    };

    [Theory, MemberData(nameof(BrokenBsdl))]
    public void What_is_wrong_in_a_description_is_said(string whole, string broken, string says)
    {
        Assert.Contains(whole, Bsdl, StringComparison.Ordinal);
        MapReading reading = Read(Bsdl.Replace(whole, broken, StringComparison.Ordinal));
        Assert.Contains(reading.Problems, problem => problem.What.Contains(says, StringComparison.Ordinal));
    }

    [Fact]
    public void A_buffer_model_file_tells_supplies_by_its_third_column_only()
    {
        MapReading reading = Read(Ibis);
        Assert.Empty(reading.Problems);
        Assert.Equal(["GX41", "GX42"], reading.Packages.Select(map => map.Name));
        BallMap map = reading.Packages[0];
        // A signal may be called POWER.
        Assert.Equal((BallClass.Signal, "POWER"), (Ball(map, "A2").Class, Ball(map, "A2").Signal));
        Assert.Equal((BallClass.Supply, "RAIL1"), (Ball(map, "A3").Class, Ball(map, "A3").Rail));
        Assert.Equal((BallClass.Ground, "GBUS"), (Ball(map, "B2").Class, Ball(map, "B2").Rail));
        Assert.Equal(BallClass.NoConnect, Ball(map, "B3").Class);
    }

    [Fact]
    public void Another_comment_sign_is_taken_from_its_keyword() =>
        Assert.Equal(
            "X|Y",
            Ball(
                Read(
                    "[Comment Char] ;_char\n[Component] C\n[Pin] signal_name model_name ; | here\nA1 X|Y iobuf\nA2 Z iobuf ; spare"
                ).Packages[0],
                "A1"
            ).Signal
        );

    public static readonly TheoryData<string> Lists =
    [
        "ball,signal,type,rail,Vmin,Vtyp,Vmax,Imax\nA1,CLK,signal,,,,,\nA2,VCORE,power,CPU,0.9,1.0,1100 mV,20 A\nB1,VSS,,,,,,\nB2,DQ0,io,,,,,\n",
        "Vmax;Vtyp;Imax;Signal Name;Rail;Pin No.;Type;Vmin\n;;;CLK;;A1;I;\n1,1;1,0;20;VCORE;CPU;A2;PWR;0,9\n;;;VSS;;B1;;\n;;;DQ0;;b2;IO;\n",
        "# an invented list\r\nNet\tBall\tSupply\tVmin [V]\tVtyp [V]\tVmax [V]\tImax [A]\r\nCLK\tA1\t\t\t\t\t\r\nVCORE\tA2\tCPU\t0.9\t1\t1.1\t20\r\nVSS\tB1\t\t\t\t\t\r\n\"DQ0\"\tB2\t\t\t\t\t\r\n",
    ];

    [Theory, MemberData(nameof(Lists))]
    public void A_list_is_read_in_any_order_of_columns(string text)
    {
        MapReading reading = Read(text);
        Assert.Empty(reading.Problems);
        BallMap map = Assert.Single(reading.Packages);
        MapBall core = Ball(map, "A2");
        Assert.Equal(
            (BallClass.Supply, "CPU", 0.9, 1.0, 1.1, 20.0),
            (core.Class, core.Rail, core.LeastV, core.UsualV, core.MostV, core.MostCurrentA)
        );
        Assert.Equal(
            [BallClass.Signal, BallClass.Ground, BallClass.Signal],
            new[] { "A1", "B1", "B2" }.Select(name => Ball(map, name).Class)
        );
    }

    [Theory]
    [InlineData("ball,signal\nA1,X\nA1,Y", "listed twice, as X (line 2) and as Y")]
    [InlineData("pin,mode\nA1,X", "no column for signal")]
    [InlineData("ball,signal,Vmin,Vmax\nA1,V1,1.2,1.0", "lowest voltage 1.2 V is above the highest 1 V")]
    [InlineData("ball,signal,Vtyp\nA1,V1,3 kOhm", "'3 kOhm' is no number in V")]
    [InlineData("ball,signal\nA1,X\nZZZ9,Y", "'ZZZ9' is no name of a ball")]
    [InlineData("ball,signal\nA0,X", "'A0' is no name of a ball")]
    [InlineData("ball,signal\n,X\nA1,Y", "names no ball")]
    [InlineData("", "list is empty")]
    [InlineData("\0\0\0", "no text")]
    public void What_is_wrong_in_a_list_is_said(string text, string says) =>
        Assert.Contains(Read(text).Problems, problem => problem.What.Contains(says, StringComparison.Ordinal));

    [Theory]
    [InlineData("A B C D E F G H J K L M N P R T U V W Y AA AB", BallNames.StandardLetters, false)]
    [InlineData("A B C D E F G H J K L M N P Q R S T", "ABCDEFGHJKLMNPQRSTUVWXYZ", true)]
    [InlineData("A B C D E F G H I J K L M N O P Q", "ABCDEFGHIJKLMNOPQRSTUVWXYZ", true)]
    [InlineData("A B D E", BallNames.StandardLetters, true)]
    public void The_alphabet_of_the_rows_is_found_and_doubts_are_said(string rows, string letters, bool doubt)
    {
        // Letters that lists were seen to use: IPC TechNet, November 2020; a footprint library with a row I too many.
        MapReading reading = Read("ball,signal\n" + string.Join("\n", rows.Split(' ').Select(row => $"{row}1,S{row}")));
        Assert.Equal(letters, Assert.Single(reading.Packages).Letters);
        Assert.Equal(doubt, reading.Problems.Count > 0);
        Assert.True(reading.Sound);
    }

    [Theory]
    [InlineData("VSS", BallClass.Ground)]
    [InlineData("GND_12", BallClass.Ground)]
    [InlineData("AGND", BallClass.Ground)]
    [InlineData("VSSA", BallClass.Ground)]
    [InlineData("VDDQ", BallClass.Supply)]
    [InlineData("VCC_CORE", BallClass.Supply)]
    [InlineData("V1P8", BallClass.Supply)]
    [InlineData("AVDD", BallClass.Supply)]
    [InlineData("NC_4", BallClass.NoConnect)]
    [InlineData("RSVD7", BallClass.Reserved)]
    [InlineData("VGA_RED", BallClass.Signal)]
    [InlineData("VSYNC", BallClass.Signal)]
    [InlineData("RESET_N", BallClass.Signal)]
    [InlineData("NCS", BallClass.Signal)]
    [InlineData("VID0", BallClass.Signal)]
    public void A_name_tells_what_a_ball_is_for(string name, BallClass expected) =>
        Assert.Equal(expected, Ball(Assert.Single(Read($"ball,signal\nA1,{name}").Packages), "A1").Class);

    [Fact]
    public void Ten_thousand_balls_are_taken_and_more_are_refused()
    {
        StringBuilder text = new("ball,signal\n");
        for (int i = 0; i < 10_000; i++)
        {
            text.Append(BallNames.Of(i / 100, i % 100)).Append(",S").Append(i).Append('\n');
        }
        Assert.Equal(10_000, Assert.Single(Read(text.ToString()).Packages).Balls.Count);
        Assert.Contains(
            Read(text.Append("A1,X\n").ToString()).Problems,
            problem => problem.What.Contains("at most 10000", StringComparison.Ordinal)
        );
    }

    [Theory]
    [InlineData(Bsdl)]
    [InlineData(Ibis)]
    [InlineData("ball,signal,type,Vtyp\nA1,CLK,signal,\nA2,VCORE,power,1.0\nB1,VSS,,\nB2,DQ0,io,")]
    public void Spoilt_files_give_problems_and_never_an_exception(string good) =>
        Gen.Select(
                Gen.Int[0, good.Length - 1],
                Gen.Int[0, 40],
                Gen.Char.AlphaNumeric.Array[0, 3],
                Gen.OneOf("\"", "(", ")", ":", ";", ",", "\n", "[", "]", "--", "&", "0", "999999999999")
            )
            .Array[1, 6]
            .Sample(
                edits =>
                {
                    string text = good;
                    foreach ((int at, int cut, char[] letters, string sign) in edits)
                    {
                        int start = Math.Min(at, text.Length);
                        int end = Math.Min(text.Length, start + cut);
                        text = text[..start] + new string(letters) + sign + text[end..];
                    }
                    MapReading reading = Read(text);
                    return reading.Packages.All(map =>
                            map.Balls.Select(ball => ball.Name).Distinct().Count() == map.Balls.Count
                        )
                        && reading.Packages.Count + reading.Problems.Count > 0;
                },
                iter: 4000
            );

    // Pins may be numbers in one package of a file and names of balls in another (answer record 1233, citing B.8.7.1).
    [Theory]
    [InlineData("BGA16", true)]
    [InlineData(null, true)]
    [InlineData("QUAD", false)]
    public void A_package_without_a_grid_does_not_spoil_the_others_of_its_file(string? asked, bool usable)
    {
        BallListRead read = BallListFiles.Read(
            Encoding.UTF8.GetBytes(Bsdl),
            new BallListFile
            {
                File = "gx41.bsd",
                View = BallView.Top,
                Package = asked,
            },
            "chip"
        );
        Assert.Equal(usable, read.Map is not null);
        Assert.Equal(usable ? "BGA16" : null, read.Map?.Name);
        Assert.Equal(usable, read.Findings.All(finding => finding.Verdict == Verdict.Warning));
    }

    [Fact]
    public void Faults_of_the_package_that_is_asked_for_still_stop_it()
    {
        MapReading twice = Read(Bsdl.Replace("TCK : D2", "TCK : D1", StringComparison.Ordinal));
        Assert.False(twice.Of("BGA16").Sound);
        Assert.False(twice.Of(null).Sound);
    }

    [Fact]
    public void Rows_without_a_ball_are_named() =>
        Assert.Contains(
            Read("ball,signal\nA1,X\nB1,Y\nE1,Z\n").Problems,
            problem => problem.What.Contains("2 rows (C, D) have no ball", StringComparison.Ordinal)
        );
}
