using System.CommandLine;
using System.Globalization;
using System.Net;
using Graftbench.Web;
using Graftbench.Web.Network;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench serve</c>: the bench screens on this machine.</summary>
internal static class ServeVerb
{
    private const int DefaultPort = 5080;

    public static Command Create()
    {
        Option<int> port = Port("--port", "Port on 127.0.0.1; 0 takes a free one.", DefaultPort);
        Option<string> data = DataFolder.Option();
        Option<bool> noDemo = new("--no-demo")
        {
            Description = "Starts an empty store empty, without the invented shop.",
        };
        Option<bool> network = new("--network")
        {
            Description = "Answers paired phones, tablets and computers too, by https; the Devices page pairs them.",
        };
        Option<IPAddress?> address = Address();
        Option<int> tlsPort = Port(
            "--tls-port",
            "With --network: port for other devices; 0 takes a free one.",
            NetworkOptions.DefaultPort
        );
        Command verb = new("serve", "Starts the bench screens for a browser on this machine.")
        {
            port,
            data,
            DataFolder.Store,
            noDemo,
            network,
            address,
            tlsPort,
        };
        BackupOptions backup = new();
        backup.AddTo(verb);
        verb.Validators.Add(result =>
        {
            if (result.GetValue(network))
            {
                return;
            }
            foreach (Option without in (Option[])[address, tlsPort])
            {
                if (result.GetResult(without) is { Implicit: false })
                {
                    result.AddError($"{without.Name} is for other devices: say --network too, or leave it out.");
                }
            }
        });
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(() =>
                    BenchHost.RunAsync(
                        new BenchOptions
                        {
                            DataFolder = DataFolder.PlaceOf(parsed, data).Folder,
                            Store = DataFolder.PlaceOf(parsed, data),
                            Backup = backup.Plan(parsed),
                            Port = parsed.GetValue(port),
                            LoadDemo = !parsed.GetValue(noDemo),
                            Network = parsed.GetValue(network)
                                ? new NetworkOptions
                                {
                                    Address = parsed.GetValue(address),
                                    Port = parsed.GetValue(tlsPort),
                                }
                                : null,
                        },
                        cancel
                    )
                )
        );
        return verb.WithExample(
            "graftbench serve --data ~/bench",
            "prints the address once the screens answer; stop with Ctrl-C"
        );
    }

    private static Option<int> Port(string name, string description, int usual) =>
        new(name)
        {
            Description = description,
            HelpName = "NUMBER",
            DefaultValueFactory = _ => usual,
            CustomParser = result =>
            {
                string given = result.Tokens.Count > 0 ? result.Tokens[0].Value : "";
                if (
                    int.TryParse(given, NumberStyles.None, CultureInfo.InvariantCulture, out int value)
                    && value <= IPEndPoint.MaxPort
                )
                {
                    return value;
                }
                result.AddError($"{name} {given}: a port is a number from 0 to {IPEndPoint.MaxPort}.");
                return 0;
            },
        };

    private static Option<IPAddress?> Address() =>
        new("--address")
        {
            Description = "With --network: the one address to answer on; without it every address of this machine.",
            HelpName = "ADDRESS",
            CustomParser = result =>
            {
                string given = result.Tokens.Count > 0 ? result.Tokens[0].Value : "";
                // "10.1" would be read as 10.0.0.1: only the usual spelling is taken.
                if (
                    IPAddress.TryParse(given, out IPAddress? value)
                    && value.ToString().Equals(given, StringComparison.OrdinalIgnoreCase)
                    // These mean every address, which is what leaving the option out means.
                    && !value.Equals(IPAddress.Any)
                    && !value.Equals(IPAddress.IPv6Any)
                )
                {
                    return value;
                }
                result.AddError($"--address {given}: an address of this machine such as 192.168.1.20.");
                return null;
            },
        };
}
