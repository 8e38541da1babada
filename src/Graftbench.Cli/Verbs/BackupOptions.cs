using System.CommandLine;
using System.Globalization;
using Graftbench.Web.Keeping;

namespace Graftbench.Cli.Verbs;

/// <summary>Options of <c>serve</c> for backing up by the clock.</summary>
internal sealed class BackupOptions
{
    private readonly Option<string?> _to = new("--backup-to")
    {
        Description = "Folder that the store is backed up to while the server runs.",
        HelpName = "DIR",
    };

    private readonly Option<TimeSpan> _every = new("--backup-every")
    {
        Description = "Time from one backup to the next: 30min, 24h or 7d.",
        HelpName = "TIME",
        DefaultValueFactory = _ => BackupPlan.DefaultEvery,
        CustomParser = result =>
        {
            string given = result.Tokens.Count > 0 ? result.Tokens[0].Value : "";
            if (Every(given) is { } every && every >= BackupPlan.ShortestEvery && every <= BackupPlan.LongestEvery)
            {
                return every;
            }
            result.AddError($"--backup-every {given}: give a time from 1min to 31d, such as 30min, 24h or 7d.");
            return BackupPlan.DefaultEvery;
        },
    };

    private readonly Option<int> _keep = new("--backup-keep")
    {
        Description = "How many whole backups are kept; older ones are deleted.",
        HelpName = "N",
        DefaultValueFactory = _ => BackupPlan.DefaultKeep,
    };

    /// <summary>Adds the options and what they demand of each other.</summary>
    public void AddTo(Command verb)
    {
        _keep.Validators.Add(result =>
        {
            if (result.Tokens.Count > 0 && result.GetValueOrDefault<int>() is < 1 or > 10_000)
            {
                result.AddError("--backup-keep: keep 1 to 10000 backups.");
            }
        });
        verb.Options.Add(_to);
        verb.Options.Add(_every);
        verb.Options.Add(_keep);
        verb.Validators.Add(result =>
        {
            bool isTuned =
                result.GetResult(_every) is { Implicit: false } || result.GetResult(_keep) is { Implicit: false };
            if (isTuned && string.IsNullOrWhiteSpace(result.GetValue(_to)))
            {
                result.AddError("--backup-every and --backup-keep need --backup-to DIR.");
            }
        });
    }

    /// <summary>What was asked for; null for no backups.</summary>
    public BackupPlan? Plan(ParseResult parsed) =>
        string.IsNullOrWhiteSpace(parsed.GetValue(_to))
            ? null
            : new BackupPlan(parsed.GetValue(_to)!, parsed.GetValue(_every), parsed.GetValue(_keep));

    private static TimeSpan? Every(string text)
    {
        string digits = text.TrimEnd("abcdefghijklmnopqrstuvwxyz".ToCharArray());
        return int.TryParse(digits, NumberStyles.None, CultureInfo.InvariantCulture, out int number)
            ? text[digits.Length..] switch
            {
                "min" => TimeSpan.FromMinutes(number),
                "h" => TimeSpan.FromHours(number),
                "d" => TimeSpan.FromDays(number),
                _ => null,
            }
            : null;
    }
}
