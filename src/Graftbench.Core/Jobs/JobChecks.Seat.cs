using Graftbench.Core.Joints;

namespace Graftbench.Core.Jobs;

/// <content>How a chip seats on its lands.</content>
internal static partial class JobChecks
{
    private static IEnumerable<JobCheck> Seats(Job job)
    {
        for (int i = 0; i < job.Chips.Count; i++)
        {
            Chip chip = job.Chips[i];
            if (chip.Seat is not { } seat)
            {
                continue;
            }
            string path = $"chips[{i}]";
            // The balls of the materials are those that will be attached.
            (double?, string) ball = job.Materials.BallDiameterMm is { } given
                ? (given, "materials.ballDiameterMm")
                : (chip.BallDiameterMm, $"{path}.ballDiameterMm");
            foreach (
                JobCheck check in SeatChecks.Run(
                    seat,
                    new SeatPlace(
                        ball,
                        (chip.PitchMm, $"{path}.pitchMm"),
                        (chip.Rows, $"{path}.rows"),
                        (chip.Columns, $"{path}.columns"),
                        $"{path}.seat"
                    )
                )
            )
            {
                yield return check;
            }
        }
    }
}
