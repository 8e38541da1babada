using Graftbench.Core.Jobs;

namespace Graftbench.Store;

/// <summary>The store cannot do what was asked: says what, where and what to do about it.</summary>
/// <param name="what">What is wrong, one sentence without the full stop.</param>
/// <param name="where">The file, folder or record it is about.</param>
/// <param name="todo">What the technician does next, one sentence with its full stop.</param>
/// <param name="cause">What the system said; null where there is nothing more to say.</param>
public class StoreException(string what, string where, string todo, Exception? cause = null)
    : Exception($"{what}: {where}. {todo}", cause)
{
    /// <summary>What is wrong.</summary>
    public string What { get; } = what;

    /// <summary>The file, folder or record it is about.</summary>
    public string Where { get; } = where;

    /// <summary>What the technician does next.</summary>
    public string Todo { get; } = todo;
}

/// <summary>Another process or thread kept the store busy for longer than a writer waits. Nothing was written.</summary>
/// <param name="where">The store's file.</param>
/// <param name="waited">How long the writer waited.</param>
/// <param name="cause">What the system said; null where the wait was inside this process.</param>
public sealed class StoreBusyException(string where, TimeSpan waited, Exception? cause = null)
    : StoreException(
        $"The store is busy: another program has been writing to it for more than {waited.TotalSeconds:0.#} s. Nothing was saved",
        where,
        "Wait until the other program is done, or close it, and repeat.",
        cause
    );

/// <summary>The connection broke just while a step was being saved: whether it was saved is not known.</summary>
/// <param name="where">The store.</param>
/// <param name="cause">What the system said.</param>
public sealed class StoreUncertainException(string where, Exception cause)
    : StoreException(
        "The connection to the store broke while the step was being saved; it is not known whether it was saved",
        where,
        "Load the page or list the record again and look whether it is there before you repeat it.",
        cause
    );

/// <summary>There is no such record in the store.</summary>
/// <param name="id">The id that was asked for.</param>
/// <param name="where">The store's file.</param>
public sealed class UnknownRecordException(string id, string where)
    : StoreException(
        $"There is no record \"{id}\" in the store",
        where,
        "`graftbench record list` shows the records there are."
    )
{
    /// <summary>The id that was asked for.</summary>
    public string Id { get; } = id;
}

/// <summary>A job document has problems and was not saved.</summary>
/// <param name="id">The job's id.</param>
/// <param name="reading">All that is wrong with the document.</param>
public sealed class JobRefusedException(string id, JobReading reading)
    : StoreException(
        $"The job was not saved, since its document has {reading.Problems.Count + reading.NotListed} problem(s); "
            + $"the first is {reading.Problems[0].Path}: {reading.Problems[0].What.TrimEnd('.')}",
        $"job {id}",
        "Put right what is listed and save again."
    )
{
    /// <summary>All that is wrong with the document.</summary>
    public JobReading Reading { get; } = reading;
}

/// <summary>Somebody else saved a newer revision in the meantime.</summary>
/// <param name="what">What was to be saved.</param>
/// <param name="expected">The revision that the writer had seen.</param>
/// <param name="found">The revision in the store.</param>
public sealed class StaleRevisionException(string what, int expected, int found)
    : Exception(
        $"{what}: revision {expected} was edited, but revision {found} is in the store. Load it again and repeat the change."
    )
{
    /// <summary>The revision that the writer had seen.</summary>
    public int Expected { get; } = expected;

    /// <summary>The revision in the store.</summary>
    public int Found { get; } = found;
}
