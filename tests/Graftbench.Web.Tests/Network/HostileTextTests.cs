using System.Collections;
using System.Globalization;
using System.Net;
using System.Reflection;
using System.Text.RegularExpressions;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Tests.Shared;

namespace Graftbench.Web.Tests.Network;

/// <summary>
/// A job whose every text is an attack: each string field of the job document that takes free text, found by reflection, holds
/// markup that breaks out of an element and out of an attribute. No page may carry it as it is.
/// </summary>
public partial class HostileTextTests
{
    private const string Demo = "arcade-graphics-chip";

    // Fields that take no free text: the reader refuses the attack in them by itself.
    private static readonly HashSet<string> Ruled = new(StringComparer.Ordinal) { "Job.Id", "EvidenceEntry.Sha256" };

    [Fact]
    public async Task No_page_carries_a_text_as_markup()
    {
        await using BenchHost bench = await BenchHost.Start(
            demo: true,
            heat: (job, task, chip, _, _) => WatchPlans.Of(job, task, chip)
        );
        StoredJob stored = bench.Store.FindJob(Demo)!;
        (Job job, HashSet<string> taken, HashSet<string> refused) = Spoil(stored.Job);
        Assert.True(taken.Count > 30, $"only {taken.Count}: {string.Join(' ', taken)}");
        bench.Store.SaveJob(job, stored.Revision, "<b900 x=\"'>");
        using BenchClient client = bench.Client();
        await client.Post(
            (await client.Form("/shelf/material/new", "/shelf/material/new"))
                .With("x.title", Attack(901))
                .With("x.note", Attack(902))
                .With("do", "save")
        );
        await client.Post(
            (await client.Form("/jobs/" + Demo, $"/jobs/{Demo}/evidence/note")).With("note", Attack(903))
        );
        bench.Desk.Request(job, Core.Heating.HeatTask.Place, job.Chips[0].Id);
        HashSet<string> shown = new(StringComparer.Ordinal);
        foreach (string path in Pages(job))
        {
            using HttpResponseMessage answer = await client.Http.GetAsync(
                new Uri(path, UriKind.Relative),
                TestContext.Current.CancellationToken
            );
            string html = await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
            Assert.True(answer.StatusCode == HttpStatusCode.OK, $"{path}: {(int)answer.StatusCode} {html}");
            Assert.False(RawElement().IsMatch(html), $"{path} carries markup: {Around(html, RawElement())}");
            Assert.False(RawAttribute().IsMatch(html), $"{path} leaves an attribute: {Around(html, RawAttribute())}");
            foreach (Match match in Escaped().Matches(html))
            {
                shown.Add(match.Groups["n"].Value);
            }
        }
        // The attacks were really on the pages, not left out by them.
        Assert.True(
            shown.Count > 30,
            $"only {shown.Count} of {taken.Count} texts were shown; refused: {string.Join(' ', refused)}"
        );
    }

    private static IEnumerable<string> Pages(Job job)
    {
        string at = "/jobs/" + Demo;
        string chip = "?chip=" + Uri.EscapeDataString(job.Chips[0].Id);
        yield return "/";
        yield return "/shelf";
        yield return "/bench";
        yield return "/jobs/new";
        yield return "/import";
        yield return "/devices";
        foreach (
            string part in (string[])
                [
                    "",
                    "/sheet",
                    "/joints",
                    "/fit",
                    "/pictures",
                    "/readings",
                    "/proof",
                    "/returns",
                    "/firmware",
                    "/diagnosis",
                    "/handover",
                    "/board/host",
                    "/board/donor",
                    "/undo",
                    "/runs/new",
                    "/add/heat",
                    "/add/weighing",
                ]
        )
        {
            yield return at + part;
        }
        yield return at + "/heat/place" + chip;
        yield return at + "/heat/lift" + chip;
        yield return at + "/heat/place/watch" + chip;
        foreach (
            string section in (string[])
                [
                    "machine",
                    "host",
                    "host-parts",
                    "donor",
                    "donor-parts",
                    "chips",
                    "fit",
                    "seat",
                    "dryer",
                    "heaters",
                    "materials",
                    "history",
                    "heats",
                    "weighings",
                    "handover",
                ]
        )
        {
            yield return at + "/edit/" + section;
        }
    }

    private static string Attack(int number) => string.Create(CultureInfo.InvariantCulture, $"\"'><b{number} x>");

    /// <summary>The job with an attack in every string that the reader lets pass, and which fields those are.</summary>
    private static (Job Job, HashSet<string> Taken, HashSet<string> Refused) Spoil(Job job)
    {
        Job copy = Reread(job)!;
        HashSet<string> taken = new(StringComparer.Ordinal);
        HashSet<string> refused = new(StringComparer.Ordinal);
        int number = 100;
        foreach (
            (object owner, PropertyInfo field) in Strings(copy, new HashSet<object>(ReferenceEqualityComparer.Instance))
                .ToList()
        )
        {
            string name = $"{owner.GetType().Name}.{field.Name}";
            object? before = field.GetValue(owner);
            field.SetValue(owner, Attack(number));
            if (!Ruled.Contains(name) && Reread(copy) is not null)
            {
                taken.Add(name);
                number++;
            }
            else
            {
                refused.Add(name);
                field.SetValue(owner, before);
            }
        }
        return (copy, taken, refused);
    }

    private static Job? Reread(Job job)
    {
        JobReading reading = JobReader.Read(JobFormat.Write(job), DateTimeOffset.UtcNow);
        return reading.Problems.Count == 0 ? reading.Job : null;
    }

    private static IEnumerable<(object Owner, PropertyInfo Field)> Strings(object thing, HashSet<object> seen)
    {
        if (!seen.Add(thing))
        {
            yield break;
        }
        foreach (PropertyInfo field in thing.GetType().GetProperties(BindingFlags.Public | BindingFlags.Instance))
        {
            if (field.GetIndexParameters().Length > 0)
            {
                continue;
            }
            if (field.PropertyType == typeof(string))
            {
                if (field.CanWrite)
                {
                    yield return (thing, field);
                }
                continue;
            }
            IEnumerable<object?> inside = field.GetValue(thing) switch
            {
                null => [],
                IEnumerable list => list.Cast<object?>(),
                var one => [one],
            };
            foreach (object? one in inside)
            {
                if (one is not null && one.GetType().Namespace == typeof(Job).Namespace && one.GetType().IsClass)
                {
                    foreach ((object, PropertyInfo) found in Strings(one, seen))
                    {
                        yield return found;
                    }
                }
            }
        }
    }

    private static string Around(string html, Regex what)
    {
        int at = what.Match(html).Index;
        return html[Math.Max(0, at - 200)..Math.Min(html.Length, at + 200)];
    }

    [GeneratedRegex("<b[0-9]{3}", RegexOptions.None, 2000)]
    private static partial Regex RawElement();

    // Inside a tag the two quotes of the attack stand side by side only where they were not escaped.
    [GeneratedRegex("<[a-zA-Z][^<>]*\"'[^<>]*>", RegexOptions.None, 5000)]
    private static partial Regex RawAttribute();

    [GeneratedRegex("&lt;b(?<n>[0-9]{3})", RegexOptions.ExplicitCapture, 2000)]
    private static partial Regex Escaped();
}
