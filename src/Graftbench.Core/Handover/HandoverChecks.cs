using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;
using Graftbench.Core.Proof;
using static System.FormattableString;

namespace Graftbench.Core.Handover;

/// <summary>The checklist of the hand-over beside the nine questions: what must be entered, done or said.</summary>
internal static class HandoverChecks
{
    private const string Practice = "common-practice";
    private const string Where = "hand-over";
    private const int LeastUsualDays = 30;
    private const int MostUsualDays = 90;

    /// <summary>The owner's authority, as the plan found it.</summary>
    public static Finding Authority(HandoverRequest request) =>
        request.Plan.Findings.FirstOrDefault(finding => finding.Code == "intake.no-authority")
        ?? new Finding(
            Verdict.Ok,
            "handover.authority",
            "machine",
            "The owner's written authority is on record.",
            Source: Practice
        );

    /// <summary>Heats spent against the guideline.</summary>
    public static Finding Heats(HeatAccount account)
    {
        bool over = account.SpentNumber > account.GuidelineNumber;
        if (account.Spent.Count == 0)
        {
            return new Finding(
                Verdict.Unknown,
                "handover.heats",
                account.Title,
                "No heat of this job is on record: it is not known how many there were.",
                Limit: Invariant($"{account.GuidelineNumber:0} in the guideline"),
                Source: account.GuidelineSource,
                Todo: "Enter the heats that it had."
            );
        }
        return new Finding(
            over ? Verdict.Warning : Verdict.Ok,
            "handover.heats",
            account.Title,
            over
                ? "More heats than the guideline, as with almost every moved chip."
                : "No more heats than the guideline.",
            Invariant($"{account.SpentNumber:0.#} spent")
                + (account.AssumedNumber > 0 ? Invariant($", {account.AssumedNumber:0.#} of them assumed") : ""),
            Invariant($"{account.GuidelineNumber:0} in the guideline"),
            account.GuidelineSource,
            over ? "Both numbers stand on the sheet; an extra heat is a decision on record." : null
        );
    }

    /// <summary>Solder that is now under the chip.</summary>
    public static HandoverSolder Solder(Job job)
    {
        Chip? chip = job.Chips.FirstOrDefault(one => one.To == ChipPlace.Host);
        // Balls that were attached here took the place of the chip's own; leaded solder leaves some behind.
        string?[] there = [job.Materials.BallAlloy ?? chip?.BallAlloy, job.Materials.LandAlloy];
        List<(string? Id, bool? Leaded)> known = [.. there.Select(Alloy)];
        if (Alloy(chip?.BallAlloy) is { Leaded: true } rest && !known.Contains(rest))
        {
            known.Add(rest);
        }
        bool? leaded =
            known.Exists(one => one.Leaded == true) ? true
            : known.Exists(one => one.Leaded is null) ? null
            : false;
        return new HandoverSolder(leaded, [.. known.Select(one => one.Id).OfType<string>().Distinct()]);
    }

    // A name that the table does not have tells no more than the lead in it.
    private static (string? Id, bool? Leaded) Alloy(string? name) =>
        string.IsNullOrWhiteSpace(name) ? (null, null)
        : Alloys.Find(name) is { } alloy ? (alloy.Id, alloy.Leaded)
        : (null, name.Contains("Pb", StringComparison.Ordinal) ? true : null);

    /// <summary>Lead in that solder.</summary>
    public static Finding Lead(HandoverSolder solder)
    {
        string value = solder.Alloys.Count == 0 ? "no known alloy" : string.Join(" with ", solder.Alloys);
        return solder.Leaded switch
        {
            true => new Finding(
                Verdict.Warning,
                "handover.lead",
                "solder under the chip",
                "It holds lead: the sheet says so, with what to mind.",
                value,
                Source: Practice,
                Todo: "Tell the owner."
            ),
            false => new Finding(
                Verdict.Ok,
                "handover.lead",
                "solder under the chip",
                "It holds no lead.",
                value,
                Source: Practice
            ),
            _ => new Finding(
                Verdict.Unknown,
                "handover.lead",
                "solder under the chip",
                "It is not known whether it holds lead.",
                value,
                Source: Practice,
                Todo: "Enter the alloy of the balls and the alloy left on the lands."
            ),
        };
    }

    /// <summary>The first power, by its trace.</summary>
    public static (Finding Finding, HandoverTest Test) FirstPower(TraceAnswer? trace)
    {
        const string Code = "handover.first-power";
        Verdict worst = trace is null ? Verdict.Unknown : Finding.Worst(trace.Findings);
        return trace switch
        {
            null or { Signature: TraceSignature.Unknown } => (
                new Finding(
                    Verdict.Unknown,
                    Code,
                    "first power",
                    trace is null
                        ? "No trace of the first power is on record: not tested."
                        : "The trace of the first power shows nothing known: not tested.",
                    Source: Practice,
                    Todo: "Record the supply current from before the button, and keep it on the proof screen."
                ),
                HandoverWords.Test(HandoverWords.FirstPower, HandoverOutcome.NotTested)
            ),
            { Signature: TraceSignature.Busy } when worst > Verdict.FixFirst => (
                new Finding(
                    // What a trace leaves unknown beside its picture is a remark to it.
                    worst == Verdict.Ok
                        ? Verdict.Ok
                        : Verdict.Warning,
                    Code,
                    "first power",
                    "The trace of the first power is that of a board that starts.",
                    trace.Words,
                    Source: Practice,
                    Todo: worst == Verdict.Ok ? null : "Look at what the proof screen says of the trace."
                ),
                HandoverWords.Test(
                    HandoverWords.FirstPower,
                    worst == Verdict.Ok ? HandoverOutcome.Good : HandoverOutcome.Remark
                )
            ),
            _ => (
                new Finding(
                    worst == Verdict.Blocker ? Verdict.Blocker : Verdict.FixFirst,
                    Code,
                    "first power",
                    "The newest trace of the first power is not that of a board that starts well.",
                    trace.Words,
                    Source: Practice,
                    Todo: trace.Todo
                ),
                HandoverWords.Test(HandoverWords.FirstPower, HandoverOutcome.Wrong)
            ),
        };
    }

    /// <summary>The soak, by what was entered and its log.</summary>
    public static Finding Soak(Job job, HandoverNote note)
    {
        const string Code = "handover.soak";
        BenchStep usual = BenchMinutes.Of("soak");
        string limit = Invariant($"{usual.LowMin / 60:0.#} to {usual.HighMin / 60:0.#} h are usual");
        if (note.SoakHours is not > 0)
        {
            return new Finding(
                Verdict.Unknown,
                Code,
                "soak",
                "No soak is on record: not tested.",
                note.SoakHours is null ? null : "0 h",
                limit,
                usual.Source,
                "Let it run with its cooler fitted, and enter the hours and the log."
            );
        }
        bool logged = job.Evidence.Any(entry =>
            entry is { File: { } file, Sha256: not null }
            && string.Equals(file, note.SoakLog?.Trim(), StringComparison.OrdinalIgnoreCase)
        );
        bool shorter = note.SoakHours * 60 < usual.LowMin;
        return new Finding(
            logged && !shorter ? Verdict.Ok : Verdict.Warning,
            Code,
            "soak",
            shorter ? "The soak was shorter than usual."
                : logged ? "It was soaked, and its log is on record."
                : "A soak was entered, but no file of the evidence bears the name of its log.",
            Invariant($"{note.SoakHours:0.#} h"),
            limit,
            usual.Source,
            shorter ? "Let it run longer where the time allows."
                : logged ? null
                : "Store the log as evidence, and enter the name of its file."
        );
    }

    /// <summary>What became of the identity.</summary>
    public static Finding Identity(HandoverIdentity identity)
    {
        (Verdict verdict, string what, string? todo) = identity.State switch
        {
            IdentityState.Untouched => (Verdict.Ok, "The firmware stayed as it was.", (string?)null),
            IdentityState.Kept => (
                Verdict.Ok,
                "The machine's own data are in the new firmware, read back exact.",
                null
            ),
            IdentityState.NotProven => (
                Verdict.Unknown,
                "It is not proven that the machine's own data are in it.",
                "Combine, write and read back on the firmware screen."
            ),
            _ => (
                Verdict.Unknown,
                "Nobody looked at the firmware: not tested.",
                "Read the flash chip twice, on the firmware screen."
            ),
        };
        return new Finding(
            verdict,
            "handover.identity",
            "identity",
            what,
            identity.Items.Count > 0 ? string.Join(", ", identity.Items) : null,
            Source: "identity-practice",
            Todo: todo
        );
    }

    /// <summary>Readings that a return will be held against.</summary>
    public static (Finding Finding, HandoverTest Test) Readings(int? count)
    {
        (Verdict verdict, string what) = count switch
        {
            null => (Verdict.Unknown, "It is not known whether readings were taken at hand-over."),
            > 0 => (Verdict.Ok, "Readings were taken at hand-over: a return can be held against them."),
            _ => (
                Verdict.FixFirst,
                "No reading was taken at hand-over: a return will have nothing to be held against."
            ),
        };
        return (
            new Finding(
                verdict,
                "handover.readings",
                Where,
                what,
                count is null ? null : Invariant($"{count} readings"),
                Source: Practice,
                Todo: verdict == Verdict.Ok ? null : "Read rails and signals of the working board, state hand-over."
            ),
            HandoverWords.Test(HandoverWords.Readings, count is > 0 ? HandoverOutcome.Good : HandoverOutcome.NotTested)
        );
    }

    /// <summary>The warranty that was entered; null for none.</summary>
    public static Warranty? WarrantyOf(HandoverNote note)
    {
        if (note.WarrantyDays is not { } days)
        {
            return null;
        }
        DateTimeOffset? from = note.WarrantyFrom ?? note.HandedOverAt;
        return new Warranty(days, from, from?.AddDays(days));
    }

    /// <summary>Terms of the warranty, and every text of the sheet.</summary>
    public static IEnumerable<Finding> Entered(Job job, HandoverNote note)
    {
        yield return Warranty(note.WarrantyDays);
        yield return Text("what was done", note.WhatWasDone, Verdict.FixFirst);
        yield return Text("what works now", note.WhatWorks, Verdict.FixFirst);
        yield return Text("state of the data", note.DataState, Verdict.FixFirst);
        yield return Text("waste", note.WasteTaken, Verdict.FixFirst);
        yield return Text("where trouble is reported", note.ReportTo, Verdict.FixFirst);
        yield return Text("limits", note.Limits, Verdict.Warning);
        if (note.WarrantyDays is not 0)
        {
            yield return Text("what the warranty does not cover", note.Exclusions, Verdict.Warning);
        }
        string[] missing =
        [
            .. new (string Name, string? Value)[]
            {
                ("shop", job.Shop.Name),
                ("technician", job.Shop.Technician),
                ("machine", job.Machine.What),
                ("serial number", job.Machine.Serial),
                ("owner", job.Machine.Owner),
            }
                .Where(one => string.IsNullOrWhiteSpace(one.Value))
                .Select(one => one.Name),
        ];
        yield return new Finding(
            missing.Length > 0 ? Verdict.Warning : Verdict.Ok,
            "handover.names",
            "machine",
            missing.Length > 0 ? "Names are missing on the sheet." : "Shop, technician, machine and owner have names.",
            missing.Length > 0 ? string.Join(", ", missing) : null,
            Source: Practice,
            Todo: missing.Length > 0 ? "Enter them." : null
        );
    }

    private static Finding Warranty(int? days)
    {
        (Verdict verdict, string what, string? todo) = days switch
        {
            null => (Verdict.FixFirst, "No warranty was entered.", "Enter its length in days; 0 where none is given."),
            0 => (Verdict.Warning, "No warranty is given.", "Make sure that the law allows it."),
            < LeastUsualDays or > MostUsualDays => (Verdict.Warning, "The length of the warranty is not usual.", null),
            _ => (Verdict.Ok, "The warranty was entered.", (string?)null),
        };
        return new Finding(
            verdict,
            "handover.warranty",
            "warranty",
            what,
            days is null ? null : Invariant($"{days} d"),
            Invariant($"{LeastUsualDays} to {MostUsualDays} d are usual"),
            Practice,
            todo
        );
    }

    private static Finding Text(string what, string? text, Verdict missing)
    {
        bool there = !string.IsNullOrWhiteSpace(text);
        return new Finding(
            there ? Verdict.Ok : missing,
            "handover.text",
            $"{Where}, {what}",
            there ? "Entered; it stands on the sheet." : "Not entered: the sheet needs it.",
            Source: Practice,
            Todo: there ? null : "Enter it in words for the owner."
        );
    }

    /// <summary>What was set aside, and whether the owner was told.</summary>
    /// <param name="job">The job.</param>
    /// <param name="findings">Everything that was found, before or after waivers.</param>
    public static IEnumerable<Finding> Waived(Job job, IEnumerable<Finding> findings)
    {
        List<Finding> all = [];
        foreach (Finding finding in findings.Where(finding => finding.Verdict != Verdict.Ok))
        {
            if (Waivers.Of(job, finding).LastOrDefault() is { } waiver)
            {
                all.Add(
                    new Finding(
                        Verdict.Warning,
                        "handover.waiver",
                        finding.Where,
                        $"Set aside by {waiver.Who}, {waiver.At.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)}: {waiver.Note}",
                        finding.Code,
                        Source: Practice
                    )
                );
            }
        }
        List<Finding> distinct = [.. all.Distinct()];
        bool told = !string.IsNullOrWhiteSpace(job.Handover?.ToldOwner);
        distinct.Add(
            distinct.Count == 0
                ? new Finding(Verdict.Ok, "handover.owner-told", Where, "Nothing was set aside.", Source: Practice)
                : new Finding(
                    told ? Verdict.Ok : Verdict.FixFirst,
                    "handover.owner-told",
                    Where,
                    told
                        ? "The owner was told of what was set aside."
                        : "Something was set aside, and it is not on record that the owner was told.",
                    Invariant($"{distinct.Count} set aside"),
                    Source: Practice,
                    Todo: told ? null : "Tell the owner, and enter what was said; it stands on the sheet."
                )
        );
        return distinct;
    }
}
