using Graftbench.Core.Fit;
using Graftbench.Core.Handover;
using Graftbench.Core.Heating;
using Graftbench.Core.Joints;
using Graftbench.Core.Proof;

namespace Graftbench.Core.Planning;

/// <summary>Answers that are made apart from the plan, since they take seconds or lean on files; null where there is none.</summary>
public sealed record ApartAnswers
{
    /// <summary>Question 1: whether the chip works on the board.</summary>
    public QuestionSummary? Fit { get; init; }

    /// <summary>The whole fit sheet behind it.</summary>
    public FitSheet? FitSheet { get; init; }

    /// <summary>Question 3: the heat plan.</summary>
    public HeatPlan? Heat { get; init; }

    /// <summary>Question 5: how a chip seats.</summary>
    public JointPlan? Joints { get; init; }

    /// <summary>Question 6: what pictures say.</summary>
    public QuestionSummary? Inspection { get; init; }

    /// <summary>Question 7: what readings say.</summary>
    public QuestionSummary? Proof { get; init; }

    /// <summary>The whole proof behind it.</summary>
    public ProofAnswer? Proven { get; init; }

    /// <summary>The plan of the first power that belongs to it.</summary>
    public FirstPowerPlan? FirstPower { get; init; }

    /// <summary>Question 8: what the images of the flash chip say.</summary>
    public QuestionSummary? Firmware { get; init; }

    /// <summary>Question 9: what stands behind a board that does not work.</summary>
    public QuestionSummary? NextTest { get; init; }

    /// <summary>What evidence outside of the job document says for question 10; null where it is not asked.</summary>
    public HandoverFacts? HandoverFacts { get; init; }

    /// <summary>Question 10: whether it may be handed over. Made of the other answers, once they are there.</summary>
    public QuestionSummary? Handover { get; init; }

    /// <summary>The whole answer behind it.</summary>
    public HandoverAnswer? HandedOver { get; init; }

    /// <summary>The summary of a question; null where there is none.</summary>
    /// <param name="number">Number of the question.</param>
    public QuestionSummary? Of(int number) =>
        number switch
        {
            1 => Fit,
            6 => Inspection,
            7 => Proof,
            8 => Firmware,
            9 => NextTest,
            10 => Handover,
            _ => null,
        };

    /// <summary>All summaries, in the order of the questions.</summary>
    public IEnumerable<QuestionSummary> Summaries =>
        new[] { Fit, Inspection, Proof, Firmware, NextTest, Handover }.OfType<QuestionSummary>();
}
