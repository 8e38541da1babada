using System.Text.Json.Nodes;
using Graftbench.Store;
using Graftbench.Web.Shelf;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Primitives;

namespace Graftbench.Web.NewJob;

/// <summary>Things from the shelf that a new job begins with.</summary>
/// <param name="Host">Board that becomes the host; null for none.</param>
/// <param name="Donor">Board that becomes the donor; null for none.</param>
/// <param name="Chip">Loose chip; null for none.</param>
internal sealed record ShelfChoice(ShelfThing? Host, ShelfThing? Donor, ShelfThing? Chip)
{
    private const string Prefix = "x.shelf-";

    /// <summary>Name of the hidden field that carries a choice.</summary>
    public static string Field(string name) => Prefix + name;

    /// <summary>The choice in an address, <c>?host=</c>, <c>?donor=</c> and <c>?chip=</c>.</summary>
    public static ShelfChoice Of(IQueryCollection query, BenchStore store) => Of(name => query[name], store);

    /// <summary>The choice that a form carries.</summary>
    public static ShelfChoice Of(IFormCollection form, BenchStore store) => Of(name => form[Field(name)], store);

    /// <summary>What was chosen, by what it becomes in the job.</summary>
    public IEnumerable<(string Name, ShelfThing Thing)> Chosen =>
        new (string Name, ShelfThing? Thing)[] { ("host", Host), ("donor", Donor), ("chip", Chip) }
            .Where(pair => pair.Thing is not null)
            .Select(pair => (pair.Name, pair.Thing!));

    /// <summary>Lays what was chosen into a job document, heats included.</summary>
    public void LayInto(JsonObject document)
    {
        LayBoard(document, Host, "host");
        LayBoard(document, Donor, "donor");
        if (Chip?.Document["chips"] is JsonArray { Count: > 0 } chips)
        {
            JsonNode chip = chips[0]!.DeepClone();
            document["chips"] = new JsonArray(chip);
            AddHeats(document, Chip, chip["id"]?.ToString() ?? "U1");
        }
    }

    private static ShelfChoice Of(Func<string, StringValues> text, BenchStore store) =>
        new(Find(text("host"), "board", store), Find(text("donor"), "board", store), Find(text("chip"), "chip", store));

    private static ShelfThing? Find(StringValues id, string kind, BenchStore store) =>
        StringValues.IsNullOrEmpty(id)
            ? null
            : store.Shelf(kind).Where(item => item.Id == id).Select(ShelfThing.Of).FirstOrDefault();

    private static void LayBoard(JsonObject document, ShelfThing? thing, string place)
    {
        if (thing?.Document["host"] is not { } board)
        {
            return;
        }
        document[place] = board.DeepClone();
        if (
            document[place] is JsonObject laid
            && laid["origin"] is null
            && thing.Words.GetValueOrDefault("origin") is { Length: > 0 } origin
        )
        {
            laid["origin"] = origin;
        }
        AddHeats(document, thing, place);
    }

    private static void AddHeats(JsonObject document, ShelfThing thing, string of)
    {
        if ((thing.Document["history"] as JsonObject)?["heats"] is not JsonArray heats)
        {
            return;
        }
        JsonArray all = Forms.JobPath.ListAt(document, "history.heats");
        foreach (JsonNode? heat in heats)
        {
            if (heat?.DeepClone() is JsonObject copy)
            {
                copy["of"] = of;
                all.Add(copy);
            }
        }
    }
}
