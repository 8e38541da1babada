using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Identity;

namespace Graftbench.Cli;

/// <summary>Proposals, combinations and read-backs as a person reads them.</summary>
internal static class CombineText
{
    private const int Column = 26;
    private const int MostListed = 40;

    /// <summary>Proposals.</summary>
    public static string Of(IdentityAnswer answer)
    {
        Page page = new();
        int sure = answer.Proposals.Count(one =>
            one.ConfidenceFraction >= IdentityAnswer.AcceptFraction && one.Obstacle is null
        );
        page.Add(
            $"{answer.Proposals.Count} proposals, {sure} of them sure enough to be taken without a person; {answer.Layout.Words}",
            2
        );
        AddIdentity(page, answer, []);
        page.Add().Add("Findings");
        TrustText.AddFindings(page, answer.Findings);
        AddCaution(page);
        return page.ToString();
    }

    /// <summary>A combination.</summary>
    /// <param name="answer">The answer.</param>
    /// <param name="path">Where the image was written; null where none was.</param>
    public static string Of(CombineAnswer answer, string? path)
    {
        Page page = new();
        page.Add(answer.Summary, 2);
        page.Add("  written", path ?? "nothing", Column);
        page.Add("  authority", answer.Authority, Column);
        page.Add().Add("Findings");
        TrustText.AddFindings(page, answer.Findings);
        AddIdentity(page, answer.Identity, answer.Taken);
        if (answer.Image is not null)
        {
            page.Add().Add("Differences from the newer image");
            foreach (string one in answer.Differences)
            {
                page.Add($"  {one}", 4);
            }
        }
        if (answer.Checks.Count > 0)
        {
            page.Add().Add("Checks of the result");
            foreach (ResultCheck check in answer.Checks)
            {
                page.Add($"  {(check.Passed ? "ok" : "FAILED")}", $"{check.Name}: {check.Words}", 10);
            }
        }
        page.Add().Add("SHA-256");
        foreach (FileHash hash in answer.Hashes)
        {
            page.Add($"  {hash.Sha256}");
            page.Add($"    {hash.What}{(hash.Name is null ? "" : $", {hash.Name}")}, {hash.Bytes} bytes", 6);
        }
        if (answer.AfterStart.Count > 0)
        {
            page.Add().Add("What to do and look at");
            foreach (string one in answer.AfterStart)
            {
                page.Add($"  [ ] {one}", 6);
            }
        }
        AddCaution(page);
        return page.ToString();
    }

    /// <summary>A read-back.</summary>
    public static string Of(ReadBackAnswer answer)
    {
        Page page = new();
        page.Add(answer.Summary, 2);
        page.Add("  intended", answer.IntendedSha256, Column);
        page.Add("  read back", answer.ReadBackSha256, Column);
        page.Add().Add("Findings");
        TrustText.AddFindings(page, answer.Findings.Take(MostListed));
        if (answer.Findings.Count > MostListed)
        {
            page.Add($"  and {answer.Findings.Count - MostListed} more");
        }
        return page.ToString();
    }

    private static void AddIdentity(Page page, IdentityAnswer answer, IReadOnlyList<string> taken)
    {
        page.Add().Add("Proposals");
        foreach (IdentityProposal one in answer.Proposals)
        {
            string carried = taken.Contains(one.Id, StringComparer.Ordinal) ? ", carried" : "";
            page.Add($"  {one.Id}, confidence {one.ConfidenceFraction:0.00}{carried}");
            page.Add(
                "",
                $"{one.Title}: {one.Looks}{(one.Instead is null ? "" : $"; the newer image has {one.Instead}")}",
                6
            );
            page.Add("", $"{one.OwnRange}, {one.Reason}", 6);
            if (one.Obstacle is { } obstacle)
            {
                page.Add("", $"cannot be carried: {obstacle}", 6);
            }
        }
        if (answer.Proposals.Count == 0)
        {
            page.Add("  none");
        }
        AddList(page, "Not proposed", answer.NotProposed);
        AddList(page, "Deleted or stale, never carried", answer.Stale);
    }

    private static void AddList(Page page, string title, IReadOnlyList<NotProposed> list)
    {
        if (list.Count == 0)
        {
            return;
        }
        page.Add().Add(title);
        foreach (NotProposed one in list.Take(MostListed))
        {
            page.Add($"  {one.What} ({one.Range}): {one.Why}", 4);
        }
        if (list.Count > MostListed)
        {
            page.Add($"  and {list.Count - MostListed} more; --json lists all");
        }
    }

    private static void AddCaution(Page page) =>
        page.Add()
            .Add(
                "Identity goes only from a board's own backup to that same board, for its owner, with written authority, the old content kept in two places. This is no help to remove locks, passwords or marks of ownership."
            );
}
