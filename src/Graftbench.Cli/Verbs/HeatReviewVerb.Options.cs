using System.Text;
using Graftbench.Core.Heating;
using Graftbench.Core.Reviewing;
using Graftbench.Core.Watching.Lines;

namespace Graftbench.Cli.Verbs;

internal static partial class HeatReviewVerb
{
    private static HeatTask? TaskOf(string? given, List<string> problems)
    {
        int at = given is null ? -1 : Array.IndexOf(Tasks, given);
        if (given is not null && at < 0)
        {
            problems.Add($"--task {given}: the task is one of {string.Join(", ", Tasks)}.");
        }
        return at < 0 ? null : (HeatTask)at;
    }

    private static ProbeUnit? UnitOf(string? given, List<string> problems)
    {
        ProbeUnit? unit = given?.ToUpperInvariant() switch
        {
            "C" => ProbeUnit.Celsius,
            "F" => ProbeUnit.Fahrenheit,
            "K" => ProbeUnit.Kelvin,
            _ => null,
        };
        if (given is not null && unit is null)
        {
            problems.Add($"--unit {given}: the unit is C, F or K.");
        }
        return unit;
    }

    private static List<RunProbe> Seats(string[] given, List<string> problems)
    {
        List<RunProbe> seats = [];
        foreach (string one in given)
        {
            int cut = one.LastIndexOf('=');
            if (cut <= 0 || cut == one.Length - 1)
            {
                problems.Add($"--probe {one}: write the channel, = and where it sat, like T1=body or T1=182,70.");
                continue;
            }
            string channel = one[..cut].Trim();
            if (seats.Exists(seat => seat.Channel == channel))
            {
                problems.Add($"--probe {one}: channel {channel} has a place already.");
                continue;
            }
            seats.Add(new RunProbe(channel, one[(cut + 1)..].Trim()));
        }
        return seats;
    }

    private static RunSetup? Plan(string? path, List<string> problems)
    {
        if (path is null)
        {
            return null;
        }
        if (JobInput.Bytes(path, out _) is not { } bytes)
        {
            problems.Add($"--plan {path}: it is larger than a heat plan can be.");
            return null;
        }
        RunSetup? setup = RunSetup.OfPlan(Encoding.UTF8.GetString(bytes));
        if (setup is null)
        {
            problems.Add(
                $"--plan {path}: this is no heat plan with set points. Write one with graftbench heat plan job.json --json."
            );
        }
        return setup;
    }
}
