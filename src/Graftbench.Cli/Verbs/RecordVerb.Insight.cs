using System.CommandLine;
using System.Globalization;
using Graftbench.Core;
using Graftbench.Core.Insight;
using Graftbench.Store;
using Graftbench.Web.Insight;

namespace Graftbench.Cli.Verbs;

internal static partial class RecordVerb
{
    private static Command InsightCommand()
    {
        Option<string?> since = new("--since")
        {
            Description = "Only jobs that ended, or else were taken in, from this day on.",
            HelpName = "YYYY-MM-DD",
        };
        Option<int?> days = new("--days")
        {
            Description = $"Days that an ended job is watched for before it counts ({InsightQuestion.UsualWatchDays}).",
            HelpName = "N",
        };
        Option<string?> at = new("--at")
        {
            Description = "The moment to look from, with its offset from UTC; now if left out.",
            HelpName = "TIME",
        };
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new(
            "insight",
            """
            Shows what the shop's jobs teach: how they ended, by part, solder, peak, drying and person, with
            counts and intervals; how long machines work; time, cost and what donors yield.
            """
        )
        {
            since,
            days,
            at,
            data,
            json,
        };
        command.Validators.Add(result =>
        {
            if (result.GetValue(days) is < 1 or > InsightQuestion.MostWatchDays)
            {
                result.AddError($"--days: from 1 to {InsightQuestion.MostWatchDays} days.");
            }
            if (result.GetValue(since) is { } day && Day(day) is null)
            {
                result.AddError($"--since: {day} is no date; write it as 2026-03-31.");
            }
        });
        command.SetAction(
            (parse, stop) =>
                GuardedAsync(
                    parse,
                    token =>
                    {
                        using BenchStore store = Open(DataFolder.PlaceOf(parse, data), mayCreate: false);
                        InsightBook book = new(store);
                        ProgressLine? line = ProgressLine.Create();
                        book.Refresh(
                            (done, of) => line?.Report(new PlanProgress("reading the jobs", (double)done / of)),
                            token
                        );
                        ProgressLine.Clear();
                        InsightAnswer answer = InsightPlanner.Answer(
                            book.Cases,
                            new InsightQuestion(Verb.Moment(parse.GetValue(at)))
                            {
                                Since = Day(parse.GetValue(since)),
                                WatchDays = parse.GetValue(days) ?? InsightQuestion.UsualWatchDays,
                            }
                        );
                        if (parse.GetValue(json))
                        {
                            WriteJson(parse, new { Answer = answer, book.Unread });
                        }
                        else
                        {
                            parse.InvocationConfiguration.Output.Write(InsightText.Of(answer, book.Unread));
                        }
                        return ExitCode.Ok;
                    },
                    stop
                )
        );
        return command.WithExample(
            "graftbench record insight --since 2026-01-01",
            "counts the jobs of this year; no percentage is told from fewer than ten"
        );
    }

    private static DateTimeOffset? Day(string? text) =>
        DateTime.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out DateTime day)
            ? new DateTimeOffset(day, TimeZoneInfo.Local.GetUtcOffset(day))
            : null;
}
