using System.Globalization;
using System.Net.Sockets;
using Npgsql;

namespace Graftbench.Store.Engines;

/// <summary>Puts what PostgreSQL and its driver report into the technician's words; never with a password.</summary>
internal static class PostgresErrors
{
    public static StoreException From(Exception problem, PostgresAddress address, TimeSpan patience) =>
        problem is PostgresException refusal ? OfServer(refusal, address, patience) : OfConnection(problem, address);

    /// <summary>Whether the server undid the step since another writer was in its way.</summary>
    public static bool MayRepeat(Exception problem) =>
        problem
            is PostgresException
            {
                SqlState: PostgresErrorCodes.SerializationFailure
                    or PostgresErrorCodes.DeadlockDetected
                    or PostgresErrorCodes.UniqueViolation
            };

    private static StoreException OfServer(PostgresException problem, PostgresAddress address, TimeSpan patience) =>
        problem.SqlState switch
        {
            PostgresErrorCodes.LockNotAvailable
            or PostgresErrorCodes.SerializationFailure
            or PostgresErrorCodes.DeadlockDetected => new StoreBusyException(address.Words, patience, problem),
            PostgresErrorCodes.InvalidPassword or PostgresErrorCodes.InvalidAuthorizationSpecification => NotLetIn(
                Plain(problem),
                address,
                problem
            ),
            PostgresErrorCodes.InvalidCatalogName => new StoreException(
                "There is no such database on the server",
                address.Words,
                $"Make it with: createdb {address.ToolOptions} -E UTF8 -T template0 {address.Database}",
                problem
            ),
            PostgresErrorCodes.InsufficientPrivilege => new StoreException(
                $"The database does not give this user the right ({Plain(problem)})",
                address.Words,
                $"Make the user its owner, as the server's administrator: ALTER DATABASE \"{address.Database}\" OWNER TO \"{address.User}\"",
                problem
            ),
            PostgresErrorCodes.DiskFull => new StoreException(
                "The disk of the database server is full. Nothing was saved by this step; what was saved before is whole",
                address.Words,
                "Make room on the server's disk and repeat.",
                problem
            ),
            PostgresErrorCodes.TooManyConnections => new StoreException(
                "The database server has no connection left",
                address.Words,
                "Close other programs that use it, or raise max_connections in its postgresql.conf.",
                problem
            ),
            PostgresErrorCodes.ReadOnlySqlTransaction => new StoreException(
                "The database may only be read (it is a copy of another server, or set so)",
                address.Words,
                "Name the server that takes writes in --store.",
                problem
            ),
            PostgresErrorCodes.CannotConnectNow
            or PostgresErrorCodes.AdminShutdown
            or PostgresErrorCodes.CrashShutdown => new StoreException(
                $"The database server is starting or stopping ({Plain(problem)}). Nothing was saved by this step",
                address.Words,
                "Wait a moment and repeat.",
                problem
            ),
            PostgresErrorCodes.DataCorrupted or PostgresErrorCodes.IndexCorrupted => new StoreException(
                $"The store is damaged ({Plain(problem)})",
                address.Words,
                "It was left as it is. Have the server's administrator copy its data folder first, then restore the last backup.",
                problem
            ),
            PostgresErrorCodes.CharacterNotInRepertoire or PostgresErrorCodes.UntranslatableCharacter =>
                new StoreException(
                    "A text holds a character that the store does not keep (U+0000)",
                    address.Words,
                    "Take the character out and repeat.",
                    problem
                ),
            _ => new StoreException(
                $"The store refused the step (PostgreSQL code {problem.SqlState}: {Plain(problem)})",
                address.Words,
                "Run `graftbench record verify` and keep a backup.",
                problem
            ),
        };

    private static StoreException OfConnection(Exception problem, PostgresAddress address)
    {
        if (Inner<TimeoutException>(problem) is not null)
        {
            return new StoreException(
                "The database server did not answer in time. Nothing was saved by this step",
                address.Words,
                "Check the network and the server, and repeat.",
                problem
            );
        }
        if (Inner<SocketException>(problem) is { } socket)
        {
            return new StoreException(
                $"The database server cannot be reached ({socket.Message.TrimEnd('.')})",
                address.Words,
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"Check that PostgreSQL runs there and listens on port {address.Port}, and that the network lets this computer in."
                ),
                problem
            );
        }
        // The driver's own words, without a code to tell them by.
        if (problem.Message.Contains("No password", StringComparison.Ordinal))
        {
            return NotLetIn("it wants a password and none was given", address, problem);
        }
        return new StoreException(
            $"The connection to the database broke ({problem.Message.TrimEnd('.')}). Nothing was saved by this step",
            address.Words,
            "Repeat it; the connection is opened anew.",
            problem
        );
    }

    private static StoreException NotLetIn(string why, PostgresAddress address, Exception problem) =>
        new(
            $"The database server does not let this user in ({why})",
            address.Words,
            "Check the user's name and password: in --store, in PGPASSWORD, or in a passfile named by PGPASSFILE; "
                + "the server's pg_hba.conf says who may come from where.",
            problem
        );

    private static string Plain(PostgresException problem) => problem.MessageText.TrimEnd('.');

    private static T? Inner<T>(Exception? problem)
        where T : Exception
    {
        while (problem is not null and not T)
        {
            problem = problem.InnerException;
        }
        return (T?)problem;
    }
}
