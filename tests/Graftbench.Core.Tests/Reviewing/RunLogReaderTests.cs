using System.Globalization;
using System.Text;
using CsCheck;
using Graftbench.Core.Reviewing;
using Graftbench.Core.Watching.Lines;

namespace Graftbench.Core.Tests.Reviewing;

public sealed class RunLogReaderTests
{
    private static RunLog Read(string text, double? stepS = null)
    {
        byte[] bytes = Encoding.UTF8.GetBytes(text);
        RunLogHead head = RunLogReader.Learn(bytes);
        Assert.True(head.Problems.Count == 0, string.Join('\n', head.Problems));
        RunLogReading reading = RunLogReader.Read(bytes, head.Formats[0].Format, stepS);
        Assert.True(reading.Log is not null, string.Join('\n', reading.Problems));
        return reading.Log!;
    }

    private static string Lines(int count, Func<int, string> line) =>
        string.Concat(Enumerable.Range(0, count).Select(i => line(i) + "\n"));

    private static string N(double value) => value.ToString("0.0", CultureInfo.InvariantCulture);

    [Fact]
    public void Our_own_log_comes_back_with_marks_and_that_it_was_cut_off()
    {
        string text =
            "# heat run 01, started 2026-03-01T10:00:00Z, interrupted\n# setup {\"simulated\":true}\n# mark 12.500,popped,loud\ntimeS,board,top\n"
            + Lines(40, i => $"{i}.000,{N(22 + i)},{(i == 7 ? "" : N(23 + i))}");
        RunLog log = Read(text);
        Assert.Equal(40, log.TimesS.Count);
        Assert.Equal(["board", "top"], log.Channels.Select(channel => channel.Name));
        Assert.True(double.IsNaN(log.Channels[1].TemperaturesC[7]));
        Assert.Equal(39, log.EndS, 6);
        Assert.True(log.Interrupted);
        Assert.True(log.Simulated);
        Assert.Equal(new RunMark(12.5, "popped", "loud"), Assert.Single(log.Marks));
    }

    [Fact]
    public void A_foreign_log_with_semicolons_decimal_commas_and_fahrenheit_is_read()
    {
        string text =
            "Datum;Zeit;CH1 [°F];CH2 [°F]\n"
            + Lines(60, i => $"03.03.2026;10:00:{i:00};{N(72 + i).Replace('.', ',')};{N(71).Replace('.', ',')}");
        RunLog log = Read(text);
        Assert.Equal((72 - 32) / 1.8, log.Channels[0].TemperaturesC[0], 3);
        Assert.Equal(59, log.EndS, 6);
    }

    [Fact]
    public void Equal_stamps_are_spread_up_to_the_next_one()
    {
        RunLog log = Read("time s,a\n" + Lines(100, i => $"{i / 10},{N(22 + i / 10.0)}"));
        Assert.Equal(100, log.TimesS.Count);
        Assert.Equal(9.9, log.EndS, 6);
        Assert.All(log.TimesS.Zip(log.TimesS.Skip(1)), pair => Assert.Equal(0.1, pair.Second - pair.First, 6));
    }

    [Fact]
    public void A_clock_that_goes_back_breaks_the_run_and_loses_no_reading()
    {
        RunLog log = Read("clock,a\n" + Lines(60, i => $"10:00:{(i < 30 ? i : i - 20):00},{N(22 + i)}"));
        Assert.Equal(60, log.TimesS.Count);
        Assert.Single(log.BreaksS);
        Assert.InRange(log.BreaksS[0], 29, 30);
        Assert.All(log.TimesS.Zip(log.TimesS.Skip(1)), pair => Assert.True(pair.Second > pair.First));
    }

    [Fact]
    public void Midnight_is_no_jump()
    {
        RunLog log = Read(
            "time,a\n" + Lines(60, i => $"{TimeSpan.FromSeconds((86_370 + i) % 86_400):hh\\:mm\\:ss},{N(22 + i)}")
        );
        Assert.Empty(log.BreaksS);
        Assert.Equal(59, log.EndS, 6);
    }

    [Fact]
    public void Lines_without_times_need_a_step()
    {
        byte[] bytes = Encoding.UTF8.GetBytes(Lines(50, i => $"{N(22 + i * 1.3)} {N(21 + i * i % 7)}"));
        ProbeFormat format = new(
            ProbeSeparator.Blanks,
            false,
            [new ProbeColumn(ProbeColumnRole.Temperature, "a"), new ProbeColumn(ProbeColumnRole.Temperature, "b")]
        );
        Assert.Contains("no time", Assert.Single(RunLogReader.Read(bytes, format).Problems), StringComparison.Ordinal);
        Assert.Equal(24.5, RunLogReader.Read(bytes, format, 0.5).Log!.EndS, 6);
    }

    [Fact]
    public void A_flood_a_long_line_and_zero_bytes_are_said()
    {
        StringBuilder text = new("time s,a\n");
        for (int i = 0; i < 5000; i++)
        {
            text.Append(CultureInfo.InvariantCulture, $"{i / 1000.0:0.000},{22 + i / 100.0:0.0}\n");
        }
        text.Append('x', 1_000_000).Append("\n\0\0\nhalf,\n");
        RunLog log = Read(text.ToString());
        Assert.InRange(log.TimesS.Count, 90, 130);
        Assert.Equal(4, log.Notes.Count);
    }

    [Fact]
    public void What_is_no_log_says_why()
    {
        Assert.Contains("empty", Assert.Single(RunLogReader.Learn([]).Problems), StringComparison.Ordinal);
        Assert.NotEmpty(RunLogReader.Learn(new byte[5000]).Problems);
        Assert.NotEmpty(RunLogReader.Learn(Encoding.UTF8.GetBytes(Lines(50, _ => "nothing to see here"))).Problems);
    }

    [Fact]
    public void Digits_of_another_script_are_text()
    {
        byte[] log = Encoding.UTF8.GetBytes("time;CH1\n" + Lines(40, i => $"\u06f10:0\u06f1:{i:00};{N(22 + i)}"));
        Assert.Null(Record.Exception(() => RunLogReader.Learn(log)));
    }

    [Fact]
    public void Mutated_logs_never_throw_and_times_always_rise()
    {
        byte[] good = Encoding.UTF8.GetBytes(
            "# mark 3,moved,x\ntime;CH1;CH2\n" + Lines(60, i => $"10:00:{i:00};{N(22 + i)};{N(25 + 2 * i)}")
        );
        Gen.Select(
                Gen.Int[0, good.Length - 1].Array[0, 40],
                Gen.Byte.Array[40],
                Gen.Int[0, good.Length],
                Gen.Int[0, good.Length]
            )
            .Sample(
                (at, to, cut, copy) =>
                {
                    byte[] bad = [.. good[..cut], .. good[copy..]];
                    for (int i = 0; i < at.Length; i++)
                    {
                        if (at[i] < bad.Length)
                        {
                            bad[at[i]] = to[i];
                        }
                    }
                    RunLogHead head = RunLogReader.Learn(bad);
                    foreach (LearnedFormat format in head.Formats)
                    {
                        RunLogReading reading = RunLogReader.Read(bad, format.Format, 1);
                        if (reading.Log is not { } log)
                        {
                            Assert.NotEmpty(reading.Problems);
                            continue;
                        }
                        for (int i = 1; i < log.TimesS.Count; i++)
                        {
                            Assert.True(log.TimesS[i] > log.TimesS[i - 1]);
                        }
                        Assert.All(
                            log.Channels,
                            channel => Assert.Equal(log.TimesS.Count, channel.TemperaturesC.Count)
                        );
                        RunReviewer.Review(new ReviewRequest(log));
                    }
                    RunSetup.Read(Encoding.UTF8.GetString(bad));
                },
                iter: 1500
            );
    }

    [Fact]
    public void A_setup_comes_back_and_broken_ones_stay_unknown()
    {
        RunSetup setup = new()
        {
            Task = Graftbench.Core.Heating.HeatTask.Lift,
            ChipId = "U1",
            Probes = [new RunProbe("T1", "body")],
            Plan = new([new(0, 25), new(60, 200)], [new(0, 25)], 300),
            HeatingS = 240,
            HeatedAt = new DateTimeOffset(2026, 3, 1, 10, 0, 0, TimeSpan.FromHours(1)),
            Settings = [new RunSetting(30, 220, null)],
            AlignmentChecked = true,
            Simulated = true,
        };
        RunSetup back = RunSetup.Read(setup.ToJson());
        Assert.Equal(setup.ToJson(), back.ToJson());
        foreach (
            string broken in new[]
            {
                "",
                "[]",
                "{",
                "null",
                "{\"plan\":{\"gas\":[[5,25],[1,30]],\"preheater\":[[0,9e9]]}}",
            }
        )
        {
            Assert.Null(RunSetup.Read(broken).Plan);
        }
    }

    [Fact]
    public void The_setup_of_a_watched_heat_is_understood()
    {
        RunSetup setup = RunSetup.Read(
            """
            {"source":{"name":"com3","nature":"replay","speed":1},"simulation":true,"task":"attachBalls","chip":"U1","alignmentChecked":true,
             "plan":{"gas":[[0,25],[60,200]],"preheater":[[0,25]],"durationS":300},
             "probes":[{"channel":"a","place":"body top","kind":"bodyTop","xMm":1,"yMm":2,"zMm":3},
                       {"channel":"b","place":"b","kind":"probe","xMm":10.5,"yMm":20,"zMm":0},
                       {"channel":"c","place":"C1","kind":"neighbourBody","part":"C1","xMm":1,"yMm":2,"zMm":3}]}
            """
        );
        Assert.True(setup is { Simulated: true, Replay: true, AlignmentChecked: true, ChipId: "U1", Source: null });
        Assert.Equal(Graftbench.Core.Heating.HeatTask.AttachBalls, setup.Task);
        Assert.Equal(["body", "10.5,20,0", "C1"], setup.Probes.Select(probe => probe.At));
        Assert.Equal(2, setup.Plan!.Gas.Count);
    }
}
