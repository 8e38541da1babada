using System.CommandLine;
using System.Globalization;
using System.Net;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench serve</c>: the bench screens on this machine.</summary>
internal static class ServeVerb
{
    private const int DefaultPort = 5080;

    public static Command Create()
    {
        Option<int> port = new("--port")
        {
            Description = "Port on 127.0.0.1; 0 takes a free one.",
            HelpName = "NUMBER",
            DefaultValueFactory = _ => DefaultPort,
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
                result.AddError($"--port {given}: a port is a number from 0 to {IPEndPoint.MaxPort}.");
                return 0;
            },
        };
        Option<string> data = DataFolder.Option();
        Option<bool> noDemo = new("--no-demo")
        {
            Description = "Starts an empty store empty, without the invented shop.",
        };
        Command verb = new("serve", "Starts the bench screens for a browser on this machine.")
        {
            port,
            data,
            DataFolder.Store,
            noDemo,
        };
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(() =>
                    BenchHost.RunAsync(
                        parsed.GetValue(port),
                        DataFolder.PlaceOf(parsed, data),
                        !parsed.GetValue(noDemo),
                        cancel
                    )
                )
        );
        return verb.WithExample(
            "graftbench serve --data ~/bench",
            "prints the address once the screens answer; stop with Ctrl-C"
        );
    }
}
