using Graftbench.Core.Findings;
using Graftbench.Firmware.Answering;
using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Updates;
using Graftbench.Tests.Shared.Firmware;

namespace Graftbench.Firmware.Tests.Answering;

/// <summary>Question 8 in one line: what nobody looked at is unknown, and unknown never counts as ok.</summary>
public sealed class FirmwareQuestionTests
{
    private const uint Processor = 0x000906EA;
    private static readonly byte[] Chip = BoardBuilder.Chip(UpdateBuilder.Update(Processor, 2));

    private static readonly FirmwareFacts Nothing = new(null, null, null, false, null, null);

    private static DumpAnswer Reads(int count) =>
        DumpTrust.Judge(
            [.. Enumerable.Range(1, count).Select(number => new DumpRead($"{number}.bin", Chip))],
            new ChipFacts(Chip.Length)
        );

    private static ChipSupport Ask(uint signature) =>
        ChipQuestion.Ask(ImageReader.Read(Chip), new ProcessorSignature(signature));

    private static ReadBackAnswer Back(bool exact)
    {
        byte[] read = [.. Chip];
        read[^1] ^= (byte)(exact ? 0 : 1);
        return ReadBack.Check(new DumpRead("new.bin", Chip), new DumpRead("back.bin", read));
    }

    [Fact]
    public void Nothing_known_is_unknown_in_every_step()
    {
        FirmwareAnswer answer = FirmwareQuestion.Answer(Nothing);
        Assert.All(answer.Steps, step => Assert.Equal(Verdict.Unknown, step.Verdict));
        Assert.Equal(Verdict.Unknown, answer.Summary.Verdict);
        Assert.StartsWith("Read the chip twice", answer.Summary.Next, StringComparison.Ordinal);
    }

    [Fact]
    public void Ok_only_when_all_four_are()
    {
        FirmwareFacts all = new(Reads(2), Ask(1), Ask(Processor), true, CombineState.Made, Back(exact: true));
        Assert.Equal(Verdict.Ok, FirmwareQuestion.Answer(all).Summary.Verdict);
        foreach (
            FirmwareFacts less in (FirmwareFacts[])
                [
                    all with
                    {
                        Reads = Reads(1),
                    },
                    all with
                    {
                        Reads = null,
                    },
                    all with
                    {
                        NewerKnows = null,
                    },
                    all with
                    {
                        NewerKnows = Ask(0x00012345),
                    },
                    all with
                    {
                        Combined = null,
                    },
                    all with
                    {
                        Combined = CombineState.NeedsPerson,
                    },
                    all with
                    {
                        ReadBack = null,
                    },
                    all with
                    {
                        ReadBack = Back(exact: false),
                    },
                ]
        )
        {
            FirmwareAnswer answer = FirmwareQuestion.Answer(less);
            Assert.NotEqual(Verdict.Ok, answer.Summary.Verdict);
            Assert.NotNull(answer.Summary.Next);
        }
    }

    [Fact]
    public void A_read_back_that_is_not_exact_comes_before_everything()
    {
        FirmwareAnswer answer = FirmwareQuestion.Answer(
            new FirmwareFacts(Reads(1), null, null, true, CombineState.Made, Back(exact: false))
        );
        Assert.Equal(Verdict.Blocker, answer.Summary.Verdict);
        Assert.StartsWith("Do not power the board.", answer.Summary.Next, StringComparison.Ordinal);
    }

    [Fact]
    public void A_board_whose_own_image_knows_the_processor_needs_nothing_written()
    {
        FirmwareAnswer answer = FirmwareQuestion.Answer(
            new FirmwareFacts(Reads(2), Ask(Processor), null, false, null, null)
        );
        Assert.Equal(Verdict.Ok, answer.Summary.Verdict);
        Assert.Contains("Nothing to write", answer.Summary.Answer, StringComparison.Ordinal);
        FirmwareAnswer doubted = FirmwareQuestion.Answer(
            new FirmwareFacts(Reads(1), Ask(Processor), null, false, null, null)
        );
        Assert.Equal(Verdict.Unknown, doubted.Summary.Verdict);
    }
}
