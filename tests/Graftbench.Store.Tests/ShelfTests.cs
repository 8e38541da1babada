using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

public abstract class ShelfTests : IDisposable
{
    private const string Donor = """{ "name": "donor",  "heats": 1 }""";
    private readonly TestFolder _folder;
    private readonly BenchStore _store;

    protected ShelfTests(StoreKind kind)
    {
        _folder = new(kind);
        _store = _folder.Open();
    }

    [Fact]
    public void A_thing_comes_back_as_it_was_saved_with_evidence_in_the_shops_record()
    {
        ShelfItem saved = _store.SaveShelfItem("b1", "board", "Donor", Donor + "\n", 0, "Ada");
        Assert.Equal([saved], _store.Shelf("board"));
        Assert.Equal(Donor, saved.Json);
        Assert.Empty(_store.Shelf("chip"));
        EvidenceLine line = Assert.Single(_store.Evidence(BenchStore.ShopRecord));
        Assert.Equal("shelf-saved", line.Kind);
        Assert.Contains(Donor, line.PayloadJson, StringComparison.Ordinal);
        Assert.True(_store.Check().IsWhole);
    }

    [Fact]
    public void Saving_without_a_change_writes_nothing_and_an_old_revision_is_told()
    {
        _store.SaveShelfItem("b1", "board", "Donor", Donor, 0, "Ada");
        Assert.Equal(1, _store.SaveShelfItem("b1", "board", "Donor", Donor, 0, "Ben").Revision);
        Assert.Equal(2, _store.SaveShelfItem("b1", "board", "Donor, dry", Donor, 1, "Ben").Revision);
        Assert.Throws<StaleRevisionException>(() => _store.SaveShelfItem("b1", "board", "Donor, wet", Donor, 1, "Ada"));
        Assert.Equal(2, _store.Evidence(BenchStore.ShopRecord).Count);
        Assert.Equal("Donor, dry", Assert.Single(_store.Shelf("board")).Title);
    }

    [Fact]
    public void Things_of_a_kind_come_by_title()
    {
        _store.SaveShelfItem("2", "chip", "Beta", "{}", 0, "Ada");
        _store.SaveShelfItem("1", "chip", "Alpha", "{}", 0, "Ada");
        Assert.Equal(["Alpha", "Beta"], _store.Shelf("chip").Select(item => item.Title));
    }

    [Fact]
    public void Titles_are_ordered_by_their_letters_codes_whatever_the_database_is_used_to()
    {
        string[] titles = ["alpha", "Beta", "_x", "a-b", "ab", "Ärger", "zeta", "10", "9"];
        foreach ((int number, string title) in titles.Index())
        {
            _store.SaveShelfItem($"{number}", "chip", title, "{}", 0, "Ada");
        }
        Assert.Equal(titles.Order(StringComparer.Ordinal), _store.Shelf("chip").Select(item => item.Title));
    }

    [Theory]
    [InlineData("", "board", "T", "{}")]
    [InlineData("a b", "board", "T", "{}")]
    [InlineData("a", "spoon", "T", "{}")]
    [InlineData("a", "board", "", "{}")]
    [InlineData("a", "board", "T\n", "{}")]
    [InlineData("a", "board", "T", "{")]
    [InlineData("a", "board", "T", "")]
    [InlineData("a", "board", "T", "{},\"x\":{}")]
    public void Bad_things_are_refused(string id, string kind, string title, string json)
    {
        Assert.Throws<ArgumentException>(() => _store.SaveShelfItem(id, kind, title, json, 0, "Ada"));
        Assert.Empty(_store.Records());
    }

    public void Dispose()
    {
        _store.Dispose();
        _folder.Dispose();
    }
}
