using System.Data.Common;

namespace Graftbench.Store.Engines;

/// <summary>One store's database: where it is, how it is opened, and what its errors mean.</summary>
internal abstract class StoreEngine
{
    /// <summary>What messages call the store: its file, or its database. Never holds a password.</summary>
    public abstract string Where { get; }

    /// <summary>Makes sure that a sound store of this program's format is there; what is no store is never written.</summary>
    public abstract void Prepare(TimeSpan patience);

    /// <summary>Whether a store is there; it may still be refused by <see cref="Prepare"/>.</summary>
    public abstract bool IsThere(TimeSpan patience);

    /// <summary>Makes a new store with a content of its own: all of it, or none.</summary>
    /// <param name="patience">How long to wait for others.</param>
    /// <param name="fill">Fills the store, inside a transaction that only it sees; what it throws leaves no store behind.</param>
    /// <exception cref="StoreException">There is a store already, with something in it.</exception>
    public abstract void Fill(TimeSpan patience, Action<DbConnection> fill);

    /// <summary>Opens a connection with all the settings that the store relies on.</summary>
    /// <param name="patience">How long a writer waits for another one.</param>
    /// <param name="isReader">Whether the connection may only read.</param>
    public abstract DbConnection Open(TimeSpan patience, bool isReader);

    /// <summary>Puts what the database reports into the technician's words.</summary>
    public abstract StoreException Explain(Exception problem, TimeSpan patience);

    /// <summary>Whether the database reported this, so that <see cref="Explain"/> has words for it.</summary>
    public virtual bool IsMine(Exception problem, DbConnection? connection) => problem is DbException;

    /// <summary>Refuses a place that cannot be filled, as far as that can be seen without writing.</summary>
    public virtual void RefuseTaken() { }

    /// <summary>What is said of a target that holds something already.</summary>
    protected StoreException NotEmpty(string todo) =>
        new("There is a store here already, which nothing may replace", Where, todo);

    /// <summary>Whether the step was undone for another writer's sake and may simply be done again.</summary>
    public virtual bool MayRepeat(Exception problem) => false;

    /// <summary>Whether the connection is gone, so that nobody here knows what became of the step.</summary>
    public virtual bool IsLost(Exception problem, DbConnection? connection) => false;
}
