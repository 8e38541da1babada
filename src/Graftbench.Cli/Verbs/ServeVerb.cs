using System.CommandLine;
using System.Globalization;
using System.Net;
using Graftbench.Web.Keeping;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench serve</c>: the bench screens on this machine.</summary>
internal static class ServeVerb
{
    private const int DefaultPort = 5080;

    public static Command Create()
    {
        Option<int> port = new("--port")
        {
            Description = "Port on 127.0.0.1; 0 takes a free one.",
            HelpName = "NUMBER",
            DefaultValueFactory = _ => DefaultPort,
            CustomParser = result =>
            {
                string given = result.Tokens.Count > 0 ? result.Tokens[0].Value : "";
                if (
                    int.TryParse(given, NumberStyles.None, CultureInfo.InvariantCulture, out int value)
                    && value <= IPEndPoint.MaxPort
                )
                {
                    return value;
                }
                result.AddError($"--port {given}: a port is a number from 0 to {IPEndPoint.MaxPort}.");
                return 0;
            },
        };
        Option<string> data = DataFolder.Option();
        Option<bool> noDemo = new("--no-demo")
        {
            Description = "Starts an empty store empty, without the invented shop.",
        };
        Option<string?> backupTo = new("--backup-to")
        {
            Description = "Folder that the store is backed up to while the server runs.",
            HelpName = "DIR",
        };
        Option<TimeSpan> backupEvery = new("--backup-every")
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
        Option<int> backupKeep = new("--backup-keep")
        {
            Description = "How many whole backups are kept; older ones are deleted.",
            HelpName = "N",
            DefaultValueFactory = _ => BackupPlan.DefaultKeep,
        };
        backupKeep.Validators.Add(result =>
        {
            if (result.Tokens.Count > 0 && result.GetValueOrDefault<int>() is < 1 or > 10_000)
            {
                result.AddError("--backup-keep: keep 1 to 10000 backups.");
            }
        });
        Command verb = new("serve", "Starts the bench screens for a browser on this machine.")
        {
            port,
            data,
            DataFolder.Store,
            noDemo,
            backupTo,
            backupEvery,
            backupKeep,
        };
        verb.Validators.Add(result =>
        {
            bool isTuned =
                result.GetResult(backupEvery) is { Implicit: false } || result.GetResult(backupKeep) is { Implicit: false };
            if (isTuned && string.IsNullOrWhiteSpace(result.GetValue(backupTo)))
            {
                result.AddError("--backup-every and --backup-keep need --backup-to DIR.");
            }
        });
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(() =>
                    BenchHost.RunAsync(
                        parsed.GetValue(port),
                        DataFolder.PlaceOf(parsed, data),
                        !parsed.GetValue(noDemo),
                        string.IsNullOrWhiteSpace(parsed.GetValue(backupTo))
                            ? null
                            : new BackupPlan(
                                parsed.GetValue(backupTo)!,
                                parsed.GetValue(backupEvery),
                                parsed.GetValue(backupKeep)
                            ),
                        cancel
                    )
                )
        );
        return verb.WithExample(
            "graftbench serve --data ~/bench",
            "prints the address once the screens answer; stop with Ctrl-C"
        );
    }

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
