using System.Security.Cryptography;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Variables;

namespace Graftbench.Firmware.Combining;

/// <summary>Puts a newer image and a machine's own identity together.</summary>
/// <remarks>
/// The result starts as the newer image and is as long. Where both have a flash descriptor with the same regions, everything but
/// firmware is the board's own. Chosen bytes are copied, chosen variables written as records of the newer image's own store; volumes
/// of code stay bit for bit as they are. What does not fit is refused by its name. The result is then read again and checked.
/// </remarks>
public static partial class Combiner
{
    /// <summary>Longest text of authority.</summary>
    public const int MaxAuthority = 2000;

    private const string Practice = "identity-practice";
    private const string Rules = "flash-read-rules";

    /// <summary>Combines.</summary>
    /// <exception cref="ArgumentException">No own read, no authority, an id that no proposal has, or an image that is too large.</exception>
    public static CombineAnswer Combine(CombineRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        if (request.Own.Count is 0 or > DumpTrust.MaxReads)
        {
            throw new ArgumentException($"Must be 1 to {DumpTrust.MaxReads} reads of the board.", nameof(request));
        }
        if (string.IsNullOrWhiteSpace(request.Authority) || request.Authority.Length > MaxAuthority)
        {
            throw new ArgumentException($"Authority must be 1 to {MaxAuthority} characters.", nameof(request));
        }
        ImageTree own = ImageReader.Read(request.Own[0].Bytes);
        ImageTree newer = ImageReader.Read(request.Newer.Bytes);
        IdentityAnswer identity = IdentityFinder.Find(
            new IdentitySearch(
                own,
                newer,
                [.. request.Own.Skip(1).Select(read => read.Bytes)],
                [.. request.Others.Select(read => ImageReader.Read(read.Bytes))],
                request.Known
            )
        );
        Work work = new(request, own, newer, identity);
        CheckInputs(work);
        Choose(work);
        CheckStore(work);
        return work.Findings.Exists(one => one.Verdict == Verdict.Blocker) ? Refused(work) : Made(work);
    }

    private static void CheckInputs(Work work)
    {
        work.Findings.AddRange(work.Identity.Findings);
        DumpAnswer reads = DumpTrust.Judge(
            work.Request.Own,
            new ChipFacts(work.Request.Own[0].Bytes.Length),
            DumpStructure.Of(work.Own)
        );
        foreach (Finding finding in reads.Findings)
        {
            switch (finding.Verdict)
            {
                // Reads that differ, or damage that a reader causes: nothing is made of them.
                case Verdict.Blocker
                or Verdict.FixFirst when finding.Code.StartsWith("dump.", StringComparison.Ordinal):
                    work.Findings.Add(finding with { Verdict = Verdict.Blocker, Where = $"own dump, {finding.Where}" });
                    break;
                case Verdict.Blocker or Verdict.FixFirst:
                    work.Findings.Add(
                        finding with
                        {
                            Verdict = Verdict.FixFirst,
                            Where = $"own dump, {finding.Where}",
                        }
                    );
                    break;
                case Verdict.Unknown when finding.Code == "dump.no-structure":
                    work.Findings.Add(finding with { Where = "own dump" });
                    break;
            }
        }
        if (work.Request.Own.Count < 2)
        {
            work.Findings.Add(
                new Finding(
                    Verdict.FixFirst,
                    "combine.one-read",
                    "own dump",
                    "One read of the board was given; one read is never trusted.",
                    "1 read",
                    "2 equal reads",
                    Rules,
                    "Read the chip once more with the clip seated again and give both reads. Do not write the result before."
                )
            );
        }
        foreach (
            Finding finding in work.Newer.Findings.Where(one => one.Verdict is Verdict.Blocker or Verdict.FixFirst)
        )
        {
            work.Findings.Add(finding with { Verdict = Verdict.Blocker, Where = $"newer image, {finding.Where}" });
        }
        if (IdentityFinder.StoreOf(work.Own) is not null && IdentityFinder.StoreOf(work.Newer) is null)
        {
            work.Findings.Add(
                new Finding(
                    Verdict.Blocker,
                    "combine.no-store",
                    "newer image",
                    "The board's dump has a variable store in use and the newer image has none: its firmware may not start.",
                    Source: "edk-variables",
                    Todo: "Take the maker's whole image, with its own formatted variable volume."
                )
            );
        }
        int length = work.Newer.File.Bytes.Length;
        long chip = work.Request.ChipBytes ?? work.Own.File.Bytes.Length;
        if (work.Identity.Layout.Kind == LayoutKind.FirmwareRegion)
        {
            work.Findings.Add(
                new Finding(
                    Verdict.Warning,
                    "combine.region-only",
                    "result",
                    "The newer image is the firmware region alone, and so is the result.",
                    Source: "flash-descriptor",
                    Todo: $"Write it to {new ByteRange(work.Identity.Layout.Shift!.Value, length)} of the chip and nothing else."
                )
            );
        }
        else if (length != chip)
        {
            work.Findings.Add(
                new Finding(
                    Verdict.FixFirst,
                    "combine.chip-size",
                    "result",
                    length > chip
                        ? "The newer image is larger than the board's chip."
                        : "The newer image is smaller than the board's chip.",
                    DumpTrust.Size(length),
                    DumpTrust.Size(chip),
                    Rules,
                    length > chip
                        ? "It needs a larger chip of the same voltage and package, or another image; then give the new chip's capacity."
                        : "Make sure that it is an image for this board; on a larger chip it goes to the top, which this program does not do."
                )
            );
        }
    }

    private static void Choose(Work work)
    {
        Dictionary<string, IdentityProposal> byId = work.Identity.Proposals.ToDictionary(
            one => one.Id,
            StringComparer.Ordinal
        );
        string[] unknown =
        [
            .. work.Request.Take.Concat(work.Request.Leave).Where(id => !byId.ContainsKey(id)).Distinct(),
        ];
        if (unknown.Length > 0)
        {
            throw new ArgumentException(
                $"No proposal is called {string.Join(", ", unknown)}. The proposals: {(byId.Count == 0 ? "none" : string.Join(", ", byId.Keys))}.",
                nameof(work)
            );
        }
        foreach (IdentityProposal one in work.Identity.Proposals)
        {
            bool asked = work.Request.Take.Contains(one.Id, StringComparer.Ordinal);
            bool left = work.Request.Leave.Contains(one.Id, StringComparer.Ordinal);
            bool sure = one.ConfidenceFraction >= IdentityAnswer.AcceptFraction;
            if (one.Obstacle is { } obstacle && !left)
            {
                // Regions of the chip beside the result are no obstacle: they are not written at all.
                bool beside = one.Kind == ProposalKind.Region && work.Identity.Layout.Kind == LayoutKind.FirmwareRegion;
                if (!beside)
                {
                    work.Findings.Add(
                        new Finding(
                            asked || one.Always ? Verdict.Blocker : Verdict.FixFirst,
                            "combine.does-not-fit",
                            $"{one.Id}: {one.Title}",
                            $"It cannot be carried: {obstacle}.",
                            one.Looks,
                            Source: Practice,
                            Todo: one.Always
                                ? "Marks of ownership and passwords are not taken out here: use an image in which they fit, or the owner removes them on the running machine first."
                                : $"Enter it anew on the running machine with the maker's tool, or leave it knowingly, by its name {one.Id}."
                        )
                    );
                }
                continue;
            }
            if (left)
            {
                Leave(work, one);
            }
            else if (asked || one.Always || (work.Request.AcceptProposals && sure))
            {
                work.Taken.Add(one);
            }
            else
            {
                work.Findings.Add(
                    new Finding(
                        Verdict.FixFirst,
                        "combine.person",
                        $"{one.Id}: {one.Title}",
                        work.Request.AcceptProposals
                            ? "Not sure enough to be taken without a person."
                            : "Neither taken nor left.",
                        one.Looks,
                        Source: Practice,
                        Todo: $"Look at it, then take it or leave it, by its name {one.Id}."
                    )
                );
            }
        }
        if (work.Identity.Proposals.Count == 0)
        {
            work.Findings.Add(
                new Finding(
                    Verdict.FixFirst,
                    "combine.nothing",
                    "both images",
                    "Nothing of this machine was found: the result is the newer image as it is.",
                    Source: Practice,
                    Todo: "Give serial, UUID and network address as the label or the running machine shows them."
                )
            );
        }
    }

    private static void Leave(Work work, IdentityProposal one)
    {
        bool foreign = one.Kind == ProposalKind.Region && work.Identity.Layout.Kind == LayoutKind.SameRegions;
        if (one.Always || foreign)
        {
            work.Findings.Add(
                new Finding(
                    Verdict.Blocker,
                    "combine.must-stay",
                    $"{one.Id}: {one.Title}",
                    one.Always
                        ? "It cannot be left out: passwords, locks and marks of ownership stay with the board."
                        : "It cannot be left out: the newer image would bring another machine's in its place.",
                    Source: Practice,
                    Todo: "Combine again without leaving it."
                )
            );
            return;
        }
        work.Left.Add(one);
    }

    private static void CheckStore(Work work)
    {
        if (work.Variables.Count == 0)
        {
            return;
        }
        VariableStore newer = IdentityFinder.StoreOf(work.Newer)!;
        if (StoreWriter.Fault(newer) is { } fault)
        {
            Block(
                "combine.store",
                "variable store of the newer image",
                $"It cannot take variables: {fault}.",
                "Take the maker's image with a freshly formatted store."
            );
        }
        foreach (VariableRecord record in work.Variables.Where(record => record.IsAuthenticated))
        {
            Block(
                "combine.authenticated",
                IdentityFinder.Named(record),
                "An authenticated variable is never moved.",
                "Enrol it anew on the running machine."
            );
        }
        (long needed, long room) = StoreWriter.Size(newer, work.Variables);
        if (needed > room)
        {
            VariableRecord largest = work.Variables.MaxBy(record => record.Range.Length)!;
            work.Findings.Add(
                new Finding(
                    Verdict.Blocker,
                    "combine.store-full",
                    "variable store of the newer image",
                    $"The chosen variables do not fit; the largest is {IdentityShapes.Shown(largest.Name)} with {largest.Range.Length} bytes.",
                    $"{needed} bytes",
                    $"{room} bytes",
                    "edk-variables",
                    "Leave some of them."
                )
            );
        }

        void Block(string code, string where, string what, string todo) =>
            work.Findings.Add(new Finding(Verdict.Blocker, code, where, what, Source: "edk-variables", Todo: todo));
    }

    private static CombineAnswer Made(Work work)
    {
        Composition result = new(work.Own.File.Memory, work.Newer.File.Memory);
        List<string> differences = [];
        foreach ((ByteRange range, string what) in work.Identity.Layout.KeptOwn(work.Own))
        {
            result.PutOwn(range.Start, range.Length, range.Start, $"{what}: the board's own");
            bool same = work
                .Own.File.Bytes.Slice(range.Start, range.Length)
                .SequenceEqual(work.Newer.File.Bytes.Slice(range.Start, range.Length));
            differences.Add($"{range}: {what} is the board's own{(same ? ", the same in the newer image" : "")}.");
        }
        foreach (IdentityProposal one in work.Taken.Where(one => one.Kind == ProposalKind.Range))
        {
            ByteRange target = one.Target!.Value;
            result.PutOwn(target.Start, target.Length, one.OwnRange.Start, $"{one.Title}: {one.Looks}");
            differences.Add($"{target}: {one.Title} is {one.Looks}, instead of {one.Instead ?? "blank"}.");
        }
        if (work.Variables.Count > 0)
        {
            VariableStore newer = IdentityFinder.StoreOf(work.Newer)!;
            VariableStore own = IdentityFinder.StoreOf(work.Own)!;
            int gone = StoreWriter.Write(result, own, newer, work.Variables);
            string how =
                own.Authenticated == newer.Authenticated ? ""
                : newer.Authenticated ? ", header made authenticated"
                : ", header made plain";
            differences.AddRange(
                work.Taken.Where(one => one.Kind == ProposalKind.Variable)
                    .Select(one =>
                        $"{newer.Range}: {one.Title} added as a live record{how}: {one.Looks}{(one.Instead is { } old ? $", instead of {old}" : "")}."
                    )
            );
            if (gone > 0)
            {
                differences.Add(
                    $"{newer.Range}: {gone} deleted or replaced records of the newer image are gone; its live ones were written anew."
                );
            }
        }
        (byte[] image, OriginMap origin) = result.Finish();
        AddUnsaid(work, differences);
        IReadOnlyList<ResultCheck> checks = ResultChecks.Run(
            image,
            origin,
            work.Own,
            work.Newer,
            work.Identity.Layout,
            work.Taken
        );
        foreach (ResultCheck check in checks.Where(check => !check.Passed))
        {
            work.Findings.Add(
                new Finding(
                    Verdict.Blocker,
                    "combine.check",
                    check.Name,
                    $"A check of the result failed: {check.Words}.",
                    Source: "graftbench-limit",
                    Todo: "Nothing was written. Report it with the findings."
                )
            );
        }
        if (checks.Any(check => !check.Passed))
        {
            return Refused(work) with { Checks = checks };
        }
        IReadOnlyList<Finding> findings = Finding.WorstFirst(work.Findings);
        bool person = findings.Any(one => one.Verdict == Verdict.FixFirst);
        return new CombineAnswer
        {
            State = person ? CombineState.NeedsPerson : CombineState.Made,
            Summary = person
                ? $"Made, and a person must look at it before it is written: {findings[0].What}"
                : $"Made: {work.Taken.Count} of {work.Identity.Proposals.Count} proposals carried, every check holds.",
            Authority = work.Request.Authority,
            Image = image,
            Origin = origin,
            Identity = work.Identity,
            Taken = [.. work.Taken.Select(one => one.Id)],
            Differences = differences,
            Checks = checks,
            Hashes = Hashes(work, image),
            AfterStart = AfterStart(work),
            Findings = findings,
        };
    }

    private static CombineAnswer Refused(Work work)
    {
        IReadOnlyList<Finding> findings = Finding.WorstFirst(work.Findings);
        return new CombineAnswer
        {
            State = CombineState.Refused,
            Summary = $"Refused, nothing was made: {findings[0].What}",
            Authority = work.Request.Authority,
            Image = null,
            Origin = null,
            Identity = work.Identity,
            Taken = [],
            Differences = [],
            Checks = [],
            Hashes = Hashes(work, null),
            AfterStart = [],
            Findings = findings,
        };
    }

    private static List<FileHash> Hashes(Work work, byte[]? image)
    {
        List<FileHash> hashes =
        [
            .. work.Request.Own.Select((read, i) => Hash(i == 0 ? "own dump" : $"own dump, read {i + 1}", read)),
            Hash("newer image", work.Request.Newer),
            .. work.Request.Others.Select(read => Hash("other board of the model", read)),
        ];
        if (image is not null)
        {
            hashes.Add(new FileHash("result", null, image.Length, Convert.ToHexStringLower(SHA256.HashData(image))));
        }
        return hashes;

        static FileHash Hash(string what, DumpRead read) =>
            new(what, read.Name, read.Bytes.Length, Convert.ToHexStringLower(SHA256.HashData(read.Bytes.Span)));
    }

    /// <summary>One combination while it is made.</summary>
    private sealed record Work(CombineRequest Request, ImageTree Own, ImageTree Newer, IdentityAnswer Identity)
    {
        public List<Finding> Findings { get; } = [];

        public List<IdentityProposal> Taken { get; } = [];

        public List<IdentityProposal> Left { get; } = [];

        public IReadOnlyList<VariableRecord> Variables =>
            [.. Taken.Select(one => one.Variable).OfType<VariableRecord>()];
    }
}
