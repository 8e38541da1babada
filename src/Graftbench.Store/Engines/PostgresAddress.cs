using System.Globalization;
using Npgsql;

namespace Graftbench.Store.Engines;

/// <summary>Where a PostgreSQL database is and who asks for it. Its words for messages never hold the password.</summary>
internal sealed class PostgresAddress
{
    private const int ConnectSeconds = 10;
    private const int AnswerSeconds = 60;

    // What PostgreSQL's own tools call it, and what the driver calls it.
    private static readonly Dictionary<string, string> DriverNames = new(StringComparer.OrdinalIgnoreCase)
    {
        ["hostaddr"] = "Host",
        ["dbname"] = "Database",
        ["user"] = "Username",
        ["application_name"] = "Application Name",
        ["connect_timeout"] = "Timeout",
        ["sslmode"] = "SSL Mode",
        ["sslrootcert"] = "Root Certificate",
        ["sslcert"] = "SSL Certificate",
        ["sslkey"] = "SSL Key",
        ["sslpassword"] = "SSL Password",
        ["passfile"] = "Passfile",
        ["search_path"] = "Search Path",
        ["client_encoding"] = "Client Encoding",
        ["channel_binding"] = "Channel Binding",
    };

    private PostgresAddress(NpgsqlConnectionStringBuilder settings)
    {
        Host = string.IsNullOrEmpty(settings.Host) ? "localhost" : settings.Host;
        settings.Host = Host;
        Port = settings.Port;
        User = settings.Username ?? Environment.GetEnvironmentVariable("PGUSER") ?? Environment.UserName;
        settings.Username = User;
        Database = string.IsNullOrEmpty(settings.Database) ? User : settings.Database;
        settings.Database = Database;
        Settings = settings;
    }

    /// <summary>Name of the server, or the folder of its socket.</summary>
    public string Host { get; }

    /// <summary>Port of the server.</summary>
    public int Port { get; }

    /// <summary>Name of the user.</summary>
    public string User { get; }

    /// <summary>Name of the database.</summary>
    public string Database { get; }

    /// <summary>The settings for the driver, password and all.</summary>
    public NpgsqlConnectionStringBuilder Settings { get; }

    /// <summary>What messages call it.</summary>
    public string Words =>
        string.Create(CultureInfo.InvariantCulture, $"database {Database} at {Host}:{Port} as {User}")
        + (string.IsNullOrEmpty(Settings.SearchPath) ? "" : $", schema {Settings.SearchPath}");

    /// <summary>Options that PostgreSQL's tools want for this server and user.</summary>
    public string ToolOptions => string.Create(CultureInfo.InvariantCulture, $"-h {Host} -p {Port} -U {User}");

    /// <summary>Reads a connection as a person gives it.</summary>
    /// <exception cref="StoreException">It cannot be read.</exception>
    public static PostgresAddress Read(string connection)
    {
        string text = connection.Trim();
        List<(string Name, string Value)> pairs =
            text.StartsWith("postgresql://", StringComparison.OrdinalIgnoreCase)
            || text.StartsWith("postgres://", StringComparison.OrdinalIgnoreCase)
                ? OfAddress(text)
            : text.Contains(';', StringComparison.Ordinal) ? OfPairs(text, ';')
            : OfPairs(text, ' ');
        NpgsqlConnectionStringBuilder settings = new();
        foreach ((string name, string value) in pairs)
        {
            try
            {
                string known = DriverNames.GetValueOrDefault(name, name);
                settings[known] = known == "SSL Mode" ? value.Replace("-", "", StringComparison.Ordinal) : value;
            }
            catch (Exception problem) when (problem is ArgumentException or FormatException or InvalidCastException)
            {
                throw Unreadable($"\"{name}\" is no option it knows, or its value does not suit it");
            }
        }
        // The store keeps its own connections, and relies on each of these.
        settings.Pooling = false;
        settings.Enlist = false;
        settings.Multiplexing = false;
        settings.PersistSecurityInfo = false;
        settings.IncludeErrorDetail = false;
        settings.GssEncryptionMode = GssEncryptionMode.Disable;
        settings.CommandTimeout = AnswerSeconds;
        settings.KeepAlive = 0;
        settings.TcpKeepAlive = true;
        settings.Timeout = settings.ContainsKey("Timeout") && settings.Timeout > 0 ? settings.Timeout : ConnectSeconds;
        settings.ApplicationName ??= "graftbench";
        return new PostgresAddress(settings);
    }

    private static List<(string Name, string Value)> OfAddress(string text)
    {
        if (!Uri.TryCreate(text, UriKind.Absolute, out Uri? address))
        {
            throw Unreadable("the address has no readable host, port or path");
        }
        List<(string, string)> pairs = [];
        if (address.UserInfo.Length > 0)
        {
            string[] user = address.UserInfo.Split(':', 2);
            pairs.Add(("user", Uri.UnescapeDataString(user[0])));
            if (user.Length == 2)
            {
                pairs.Add(("password", Uri.UnescapeDataString(user[1])));
            }
        }
        if (address.Host.Length > 0)
        {
            pairs.Add(("host", address.Host.Trim('[', ']')));
        }
        if (address.Port > 0)
        {
            pairs.Add(("port", address.Port.ToString(CultureInfo.InvariantCulture)));
        }
        if (address.AbsolutePath.Trim('/') is { Length: > 0 } database)
        {
            pairs.Add(("dbname", Uri.UnescapeDataString(database)));
        }
        foreach (string part in address.Query.TrimStart('?').Split('&', StringSplitOptions.RemoveEmptyEntries))
        {
            string[] pair = part.Split('=', 2);
            pairs.Add((Uri.UnescapeDataString(pair[0]), pair.Length == 2 ? Uri.UnescapeDataString(pair[1]) : ""));
        }
        return pairs;
    }

    // Values may stand in single quotes; in them a backslash takes the next letter as it is.
    private static List<(string Name, string Value)> OfPairs(string text, char separator)
    {
        List<(string, string)> pairs = [];
        int at = 0;
        while (true)
        {
            while (at < text.Length && (text[at] == separator || char.IsWhiteSpace(text[at])))
            {
                at++;
            }
            if (at == text.Length)
            {
                break;
            }
            int equals = text.IndexOf('=', at);
            if (equals < 0)
            {
                throw Unreadable("it is neither a postgresql:// address nor key=value pairs");
            }
            string name = text[at..equals].Trim();
            (string value, at) = Value(text, equals + 1, separator);
            pairs.Add((name, value));
        }
        return pairs;
    }

    private static (string Value, int End) Value(string text, int at, char separator)
    {
        while (at < text.Length && text[at] == ' ')
        {
            at++;
        }
        if (at >= text.Length || text[at] is not ('\'' or '"'))
        {
            int end = text.IndexOf(separator, Math.Min(at, text.Length));
            end = end < 0 ? text.Length : end;
            return (text[at..end].Trim(), end);
        }
        char quote = text[at++];
        System.Text.StringBuilder value = new();
        while (at < text.Length && text[at] != quote)
        {
            at += text[at] == '\\' && at + 1 < text.Length ? 1 : 0;
            value.Append(text[at++]);
        }
        return at < text.Length ? (value.ToString(), at + 1) : throw Unreadable("a quote is not closed");
    }

    private static StoreException Unreadable(string why) =>
        new(
            $"The connection to the store cannot be read: {why}",
            $"--store or {StorePlace.Variable}",
            "Write it like postgresql://USER@HOST:5432/DATABASE or host=HOST dbname=DATABASE user=USER."
        );
}
