using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;

namespace Graftbench.Tests.Shared;

/// <summary>
/// A real PostgreSQL server of our own: a new cluster in a temporary folder, on a free port of this machine, started when the
/// first test wants it and gone when the test program ends, even when it is killed.
/// </summary>
internal sealed class DatabaseServer : IDisposable
{
    /// <summary>Environment variable that names the folder of the server's programs.</summary>
    public const string Variable = "GRAFTBENCH_POSTGRES";

    private static readonly Lazy<DatabaseServer> Shared = new(() =>
    {
        // Nothing here outlives the machine, and hundreds of schemas are made; the tests of faults have a server that syncs.
        DatabaseServer server = new(["fsync=off", "full_page_writes=off", "autovacuum=off"]);
        AppDomain.CurrentDomain.ProcessExit += (_, _) => server.Dispose();
        return server;
    });

    private readonly string _programs = Programs();
    private bool _isDisposed;

    /// <param name="settings">Further settings of the server, <c>name=value</c>.</param>
    /// <param name="parent">Folder for the cluster; null for the one for temporary files.</param>
    public DatabaseServer(IReadOnlyList<string>? settings = null, string? parent = null)
    {
        Folder = Path.Combine(parent ?? Path.GetTempPath(), $"graftbench-pg-{Guid.NewGuid():N}");
        Port = FreePort();
        Settings = settings ?? [];
        Script("create");
        // Outlives this process by a second at most, however it ends.
        using Process? watch = Process.Start(StartOf("watch"));
    }

    /// <summary>The server that the tests of this program share.</summary>
    public static DatabaseServer Instance => Shared.Value;

    /// <summary>Folder of the cluster.</summary>
    public string Folder { get; }

    /// <summary>Its port on 127.0.0.1.</summary>
    public int Port { get; }

    /// <summary>Address of the database for tests, for the server's administrator.</summary>
    public string Address => AddressOf("postgres", "tests");

    private IReadOnlyList<string> Settings { get; }

    /// <summary>Address of a database.</summary>
    public string AddressOf(string user, string database, string more = "") =>
        string.Create(CultureInfo.InvariantCulture, $"postgresql://{user}@127.0.0.1:{Port}/{database}{more}");

    /// <summary>Address of a new, empty schema that stands for a database of its own.</summary>
    public string NewStore(out string schema)
    {
        schema = $"t{Guid.NewGuid():N}";
        Sql($"CREATE SCHEMA {schema}");
        return $"{Address}?search_path={schema}";
    }

    /// <summary>Runs SQL as the administrator.</summary>
    public string Sql(string sql, string database = "tests") => Script("sql", database, sql).Trim();

    /// <summary>Starts the server again after it was stopped or killed.</summary>
    public void Start() => Script("start");

    /// <summary>Stops the server in good order, its clients cut off.</summary>
    public void Stop() => Script("stop");

    /// <summary>Kills every process of the server at once, as a power cut would.</summary>
    public void Kill() => Script("kill");

    public void Dispose()
    {
        if (!_isDisposed)
        {
            _isDisposed = true;
            Script("remove");
        }
    }

    private static string Programs()
    {
        string? named = Environment.GetEnvironmentVariable(Variable);
        IEnumerable<string> places =
            named is { Length: > 0 } ? [named]
            : Directory.Exists("/usr/lib/postgresql")
                ? Directory
                    .GetDirectories("/usr/lib/postgresql")
                    .OrderByDescending(folder =>
                        int.TryParse(
                            Path.GetFileName(folder),
                            NumberStyles.None,
                            CultureInfo.InvariantCulture,
                            out int v
                        )
                            ? v
                            : 0
                    )
                    .Select(folder => Path.Combine(folder, "bin"))
            : [];
        return places.FirstOrDefault(place => File.Exists(Path.Combine(place, "initdb")))
            ?? throw new InvalidOperationException(
                $"These tests need the PostgreSQL server. Run scripts/database once, or set {Variable} to the folder that holds "
                    + "initdb and postgres, then start the tests again."
            );
    }

    private static int FreePort()
    {
        using TcpListener probe = new(IPAddress.Loopback, 0);
        probe.Start();
        return ((IPEndPoint)probe.LocalEndpoint).Port;
    }

    private ProcessStartInfo StartOf(params string[] order)
    {
        ProcessStartInfo start = new("/bin/bash")
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            UseShellExecute = false,
        };
        start.ArgumentList.Add(Path.Combine(AppContext.BaseDirectory, "database-server.sh"));
        foreach (
            string argument in (string[])
                [
                    order[0],
                    _programs,
                    Folder,
                    Port.ToString(CultureInfo.InvariantCulture),
                    Environment.ProcessId.ToString(CultureInfo.InvariantCulture),
                    .. order[0] is "create" or "start" ? Settings : order[1..],
                ]
        )
        {
            start.ArgumentList.Add(argument);
        }
        return start;
    }

    private string Script(params string[] order)
    {
        using Process process = Process.Start(StartOf(order))!;
        Task<string> error = process.StandardError.ReadToEndAsync();
        string output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return process.ExitCode == 0
            ? output
            : throw new InvalidOperationException(
                $"The PostgreSQL server for tests, {order[0]}: {output}{error.Result}"
            );
    }
}
