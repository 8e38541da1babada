using System.Text.Json.Nodes;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Http;

namespace Graftbench.Web.Shelf;

/// <summary>
/// A thing on the shelf being typed. It is checked as part of a job document, by the same reader and limits as in a job.
/// </summary>
internal sealed class ShelfForm
{
    /// <summary>Longest own word [characters].</summary>
    public const int MaxWordLength = 400;

    private static readonly string[] OwnWords = ["title", "origin", "what", "lot", "note"];
    private readonly string kind;
    private readonly Dictionary<string, string> ownWords;

    private ShelfForm(string kind, JobDraft draft, Dictionary<string, string> words)
    {
        this.kind = kind;
        Draft = draft;
        ownWords = words;
    }

    /// <summary>The document part.</summary>
    public JobDraft Draft { get; }

    /// <summary>What a person recognises it by.</summary>
    public string Title => Word("title").Trim();

    /// <summary>What is wrong with the own words.</summary>
    public string? WordProblem { get; private set; }

    /// <summary>A form for a new thing.</summary>
    public static ShelfForm Empty(string kind, BenchClock clock) =>
        new(kind, JobDraft.Of(Begin(kind), 0, clock), new Dictionary<string, string>(StringComparer.Ordinal));

    /// <summary>A form for a thing on the shelf.</summary>
    public static ShelfForm Of(ShelfThing thing, BenchClock clock)
    {
        Dictionary<string, string> words = new(thing.Words, StringComparer.Ordinal) { ["title"] = thing.Item.Title };
        return new ShelfForm(thing.Item.Kind, JobDraft.Of(thing.Document, thing.Item.Revision, clock), words);
    }

    /// <summary>An own word.</summary>
    public string Word(string name) => ownWords.GetValueOrDefault(name) ?? "";

    /// <summary>Takes over what was typed.</summary>
    public void Take(IFormCollection form)
    {
        foreach (string name in OwnWords)
        {
            if (form.TryGetValue("x." + name, out Microsoft.Extensions.Primitives.StringValues typed))
            {
                ownWords[name] = typed.ToString();
            }
        }
        Draft.Take(form);
    }

    /// <summary>Checks own words and document; false where something is wrong.</summary>
    public bool Check()
    {
        WordProblem =
            Title.Length == 0 ? "Give it a name that you will recognise it by."
            : Title.Length > ShelfRules.MaxTitleLength || Title.Any(char.IsControl)
                ? $"The name is longer than {ShelfRules.MaxTitleLength} characters or has control characters in it."
            : ownWords.Values.Any(word => word.Length > MaxWordLength)
                ? $"One of the texts is longer than {MaxWordLength} characters."
            : null;
        JsonObject asJob = ShelfRules.AsJob(kind, Draft.Document);
        JobReading reading = Draft.CheckAs(asJob);
        return reading.Job is not null && WordProblem is null;
    }

    /// <summary>The thing as it is stored.</summary>
    public string ToJson()
    {
        JsonObject own = new(
            ownWords
                .Where(pair => pair.Key != "title")
                .Select(pair => KeyValuePair.Create(pair.Key, (JsonNode?)pair.Value.Trim()))
        );
        return new JsonObject { ["words"] = own, ["part"] = Draft.Document.DeepClone() }.ToJsonString(JobFormat.Json);
    }

    private static JsonObject Begin(string kind) =>
        kind switch
        {
            "board" => new JsonObject { ["host"] = new JsonObject { ["thicknessMm"] = 1.6 } },
            "chip" => new JsonObject
            {
                ["chips"] = new JsonArray(
                    new JsonObject
                    {
                        ["id"] = "U1",
                        ["from"] = "shelf",
                        ["to"] = "host",
                    }
                ),
            },
            _ => new JsonObject { ["materials"] = new JsonObject() },
        };
}
