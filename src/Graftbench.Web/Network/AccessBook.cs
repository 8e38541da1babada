using System.Text.Json;
using System.Text.Json.Serialization;

namespace Graftbench.Web.Network;

/// <summary>Somebody who works with this bench.</summary>
/// <param name="Id">Id.</param>
/// <param name="Name">Name as it goes into the evidence.</param>
/// <param name="Role">Viewer, technician or owner.</param>
/// <param name="Passphrase">What is kept of the passphrase.</param>
/// <param name="Since">When the person was added.</param>
public sealed record Person(string Id, string Name, Role Role, Passphrase Passphrase, DateTimeOffset Since);

/// <summary>A device that was paired with this bench.</summary>
/// <param name="Id">Id.</param>
/// <param name="Name">What it was called when it was paired.</param>
/// <param name="TokenSha256">Hash of its secret.</param>
/// <param name="PairedAt">When it was paired.</param>
/// <param name="LastSeen">When it last asked for something, to the quarter of an hour once the bench has been stopped.</param>
/// <param name="PersonId">Who signed in on it last; null for nobody yet.</param>
public sealed record Device(
    string Id,
    string Name,
    string TokenSha256,
    DateTimeOffset PairedAt,
    DateTimeOffset LastSeen,
    string? PersonId
);

/// <summary>
/// People and paired devices, in one file of the folder for keys. Never part of the store, of an export or of the evidence. A
/// file that cannot be read locks other devices out until somebody puts it right; it is never overwritten.
/// </summary>
public sealed class AccessBook
{
    /// <summary>Most people.</summary>
    public const int MostPeople = 200;

    /// <summary>Most devices.</summary>
    public const int MostDevices = 200;

    private static readonly TimeSpan SeenStep = TimeSpan.FromMinutes(15);
    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web)
    {
        WriteIndented = true,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase, allowIntegerValues: false) },
        UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
        RespectNullableAnnotations = true,
        RespectRequiredConstructorParameters = true,
    };

    private readonly string path;
    private readonly TimeProvider time;
    private readonly Lock gate = new();
    private Content content = new(1, [], []);

    /// <summary>Reads the file; without one there are no people and no devices.</summary>
    /// <param name="folder">Folder for keys.</param>
    /// <param name="time">The clock.</param>
    public AccessBook(string folder, TimeProvider time)
    {
        this.time = time;
        path = Path.Combine(folder, "access.json");
        try
        {
            if (File.Exists(path))
            {
                content = Checked(JsonSerializer.Deserialize<Content>(File.ReadAllBytes(path), Json));
            }
        }
        catch (Exception failure)
            when (failure is JsonException or InvalidDataException or IOException or UnauthorizedAccessException)
        {
            Problem =
                $"The list of people and devices, {path}, cannot be read ({failure.Message}). No other device is let in and "
                + "nothing is written to it. Put it back from a copy; or move it away and start the bench again: then every "
                + "person has to be added and every device paired anew.";
        }
    }

    /// <summary>Why the file cannot be used; null where it can.</summary>
    public string? Problem { get; }

    /// <summary>Everybody, by name.</summary>
    public IReadOnlyList<Person> People => Now.People;

    /// <summary>Every paired device, the newest first.</summary>
    public IReadOnlyList<Device> Devices => Now.Devices;

    private Content Now
    {
        get
        {
            lock (gate)
            {
                return content;
            }
        }
    }

    /// <summary>A person by id; null where there is none.</summary>
    public Person? FindPerson(string? id) => People.FirstOrDefault(person => person.Id == id);

    /// <summary>A person by name, however it is spelled in capitals; null where there is none.</summary>
    public Person? FindByName(string name) =>
        People.FirstOrDefault(person => string.Equals(person.Name, name.Trim(), StringComparison.OrdinalIgnoreCase));

    /// <summary>A device by id; null where there is none.</summary>
    public Device? FindDevice(string? id) => Devices.FirstOrDefault(device => device.Id == id);

    /// <summary>The device that holds a secret; null where none does.</summary>
    public Device? FindByToken(string? secret) =>
        Token.HashOf(secret) is { } hash ? Devices.FirstOrDefault(device => device.TokenSha256 == hash) : null;

    /// <summary>Adds a person.</summary>
    public Person Add(string name, Role role, Passphrase passphrase)
    {
        Person person = new(NewId(), name, role, passphrase, time.GetUtcNow());
        Change(old =>
            old with
            {
                People = [.. old.People.Append(person).OrderBy(one => one.Name, StringComparer.OrdinalIgnoreCase)],
            }
        );
        return person;
    }

    /// <summary>Changes a person; nothing happens where there is none.</summary>
    public void Change(string personId, Func<Person, Person> change) =>
        Change(old => old with { People = [.. old.People.Select(one => one.Id == personId ? change(one) : one)] });

    /// <summary>Takes a person out.</summary>
    public void RemovePerson(string personId) =>
        Change(old => old with { People = [.. old.People.Where(one => one.Id != personId)] });

    /// <summary>Adds a device and gives its secret, which is kept nowhere here.</summary>
    public (Device Device, string Secret) Pair(string name)
    {
        string secret = Token.New();
        DateTimeOffset moment = time.GetUtcNow();
        Device device = new(NewId(), name, Token.HashOf(secret)!, moment, moment, null);
        Change(old => old with { Devices = [device, .. old.Devices] });
        return (device, secret);
    }

    /// <summary>Takes a device out; its secret is worth nothing from now on.</summary>
    public void Revoke(string deviceId) =>
        Change(old => old with { Devices = [.. old.Devices.Where(one => one.Id != deviceId)] });

    /// <summary>Notes who signed in on a device.</summary>
    public void SignedIn(string deviceId, string personId) =>
        ChangeDevice(deviceId, device => device with { PersonId = personId }, save: true);

    /// <summary>Notes that a device asked for something.</summary>
    public void Seen(Device device)
    {
        ArgumentNullException.ThrowIfNull(device);
        DateTimeOffset moment = time.GetUtcNow();
        // Once a second is often enough to show, once in a while to write.
        if (moment - device.LastSeen >= TimeSpan.FromSeconds(1))
        {
            ChangeDevice(device.Id, one => one with { LastSeen = moment }, save: moment - savedAt >= SeenStep);
        }
    }

    private DateTimeOffset savedAt = DateTimeOffset.MinValue;

    private void ChangeDevice(string deviceId, Func<Device, Device> change, bool save) =>
        Change(
            old => old with { Devices = [.. old.Devices.Select(one => one.Id == deviceId ? change(one) : one)] },
            save
        );

    private void Change(Func<Content, Content> change, bool save = true)
    {
        if (Problem is not null)
        {
            throw new InvalidOperationException(Problem);
        }
        lock (gate)
        {
            Content changed = change(content);
            if (save)
            {
                KeyFile.Write(path, JsonSerializer.SerializeToUtf8Bytes(changed, Json));
                savedAt = time.GetUtcNow();
            }
            content = changed;
        }
    }

    private static string NewId() => Guid.CreateVersion7().ToString("N");

    private static Content Checked(Content? read)
    {
        if (read is not { Version: 1 })
        {
            throw new InvalidDataException("it is not of version 1");
        }
        if (read.People.Any(person => person.Role is not (Role.Viewer or Role.Technician or Role.Owner)))
        {
            throw new InvalidDataException("a person has a role that no person can have");
        }
        if (
            read.People.Any(person =>
                person.Passphrase.Iterations < Passphrase.NewIterations
                || !IsBase64(person.Passphrase.Salt, 16)
                || !IsBase64(person.Passphrase.Hash, 32)
            )
        )
        {
            throw new InvalidDataException("what is kept of a passphrase is damaged or too weak");
        }
        if (read.Devices.Any(device => device.TokenSha256.Length != 64))
        {
            throw new InvalidDataException("what is kept of a device is damaged");
        }
        return read;
    }

    private static bool IsBase64(string text, int bytes)
    {
        byte[] buffer = new byte[bytes];
        return Convert.TryFromBase64String(text, buffer, out int written) && written == bytes;
    }

    private sealed record Content(int Version, IReadOnlyList<Person> People, IReadOnlyList<Device> Devices);
}
