using Graftbench.Core.Findings;
using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Variables;

namespace Graftbench.Firmware.Combining;

public static partial class Combiner
{
    private const int MostNamed = 12;

    // Nothing of either machine is left behind unsaid.
    private static void AddUnsaid(Work work, List<string> differences)
    {
        VariableStore? own = IdentityFinder.StoreOf(work.Own);
        string[] behind =
        [
            .. (own?.Live ?? [])
                .Where(record => !work.Variables.Contains(record))
                .Where(record => !HasSame(work, own!, record))
                .Select(record => IdentityShapes.Shown(record.Name)),
        ];
        if (behind.Length > 0)
        {
            differences.Add(
                $"Not carried, {behind.Length} live variables of the board: {Named(behind)}. The newer firmware starts with its own."
            );
            work.Findings.Add(
                new Finding(
                    Verdict.Warning,
                    "combine.left-behind",
                    "variables of the board",
                    "Live variables of the board are not carried: settings start anew. A password that the maker keeps under a name of its own may be among them.",
                    Named(behind),
                    Source: "identity-practice",
                    Todo: "Tell the owner, who sets boot order, verified boot and passwords again. This is no way past a lock."
                )
            );
        }
        if (work.Identity.Stale.Count > 0)
        {
            differences.Add(
                $"Not carried, {work.Identity.Stale.Count} deleted or stale records of the board: {Named([.. work.Identity.Stale.Select(one => one.What)])}."
            );
        }
        foreach (IdentityProposal one in work.Left)
        {
            differences.Add($"Left by a person: {one.Title}, {one.Looks}.");
        }
        VariableStore? newer = IdentityFinder.StoreOf(work.Newer);
        int dead = newer?.Records.Count(record => !record.IsLive) ?? 0;
        if (dead > 0 && work.Variables.Count == 0)
        {
            differences.Add(
                $"{newer!.Range}: {dead} deleted records of the newer image stay, since no variable is written."
            );
        }
        differences.Add("Volumes of code: bit for bit as in the newer image.");
    }

    private static bool HasSame(Work work, VariableStore own, VariableRecord record) =>
        IdentityFinder.StoreOf(work.Newer) is { } newer
        && newer.Live.FirstOrDefault(one => (one.Vendor, one.Name) == (record.Vendor, record.Name)) is { } theirs
        && IdentityFinder.Data(newer, theirs).SequenceEqual(IdentityFinder.Data(own, record));

    private static string Named(string[] names)
    {
        string listed = string.Join(", ", names.Take(MostNamed));
        return names.Length > MostNamed ? $"{listed} and {names.Length - MostNamed} more" : listed;
    }

    private static List<string> AfterStart(Work work)
    {
        List<string> steps =
        [
            "Before writing: keep the board's own dump in two places, with its SHA-256; it is the way back.",
            "Before writing: get the recovery key of an encrypted disk. Changed firmware changes what the disk's lock measures.",
            "Before writing: look up the chip's voltage (1.8 V parts die at 3.3 V) and write with the board unpowered.",
            "After writing, before power: read the chip back and compare (image check). After the first start the variable volume changes by itself.",
            "First start: may take some minutes and start more than once; do not cut the power.",
        ];
        foreach (IdentityProposal one in work.Taken)
        {
            steps.Add($"On the running machine: {one.Title} reads {one.Looks}.");
        }
        steps.Add(
            "On the running machine: serial, UUID and network address agree with the label; date and time are right."
        );
        steps.Add("Set-up: load its defaults, then set boot order and verified boot again with the owner.");
        steps.Add("Operating system: activation, network, sleep and wake, fans.");
        return steps;
    }
}
