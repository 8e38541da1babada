using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Inspection;
using Graftbench.Core.Proof;

namespace Graftbench.Core.Tests.Proof;

/// <summary>Readings and lists of an invented board.</summary>
internal static class Boards
{
    /// <summary>Four by four balls: a core of two balls, one memory ball, grounds, signals, one open land.</summary>
    public static BallMap Map { get; } =
        BallMapReader
            .Read(
                """
                ball,signal,type,rail,vtyp
                A1,DATA0,signal,,
                A2,DATA1,signal,,
                A3,DATA2,signal,,
                A4,DATA3,signal,,
                B1,VCORE,power,VCORE,1.1
                B2,VCORE,power,VCORE,1.1
                B3,GND,ground,,
                B4,GND,ground,,
                C1,VMEM,power,1V8_MEM,1.8
                C2,CLK,signal,,
                C3,GND,ground,,
                C4,NC,nc,,
                D1,DATA4,signal,,
                D2,DATA5,signal,,
                D3,STROBE,signal,,
                D4,STROBE,signal,,
                """,
                BallView.Top
            )
            .Packages.Single();

    public static Reading Ohm(string net, double ohm, ReadingState state = ReadingState.AfterPlacing) =>
        new()
        {
            Net = net,
            Kind = ReadingKind.Resistance,
            Value = MeterValue.Of(ohm),
            State = state,
            Meter = "M1",
        };

    public static Reading Diode(string net, double volts, ReadingState state = ReadingState.AfterPlacing) =>
        new()
        {
            Net = net,
            Kind = ReadingKind.Diode,
            Value = MeterValue.Of(volts),
            State = state,
            Meter = "M1",
            Polarity = ProbePolarity.RedOnGround,
        };

    public static Reading Open(string net, ReadingState state = ReadingState.AfterPlacing) =>
        Diode(net, 0, state) with
        {
            Value = MeterValue.Overload,
        };

    /// <summary>Rail and its baseline in ohms.</summary>
    public static Reading[] Rail(
        string net,
        double ohm,
        double beforeOhm,
        ReadingState before = ReadingState.Baseline
    ) => [Ohm(net, beforeOhm, before), Ohm(net, ohm)];

    /// <summary>A signal before and now in volts.</summary>
    public static Reading[] Signal(
        string net,
        double volts,
        double beforeV,
        ReadingState before = ReadingState.Baseline
    ) => [Diode(net, beforeV, before), Diode(net, volts)];

    /// <summary>Six signals that read as before, so that a common shift can be told.</summary>
    public static Reading[] Others(double shiftV = 0, double? beforeC = null, double? nowC = null) =>
        [
            .. Enumerable
                .Range(0, 6)
                .SelectMany(i =>
                    new[]
                    {
                        Diode($"OTHER{i}", 0.5 + (0.01 * i), ReadingState.Baseline) with
                        {
                            BoardC = beforeC,
                        },
                        Diode($"OTHER{i}", 0.5 + (0.01 * i) + shiftV) with
                        {
                            BoardC = nowC,
                        },
                    }
                ),
        ];

    public static ProofAnswer Prove(params Reading[] readings) => Prover.Answer(new ProofRequest(readings));
}
