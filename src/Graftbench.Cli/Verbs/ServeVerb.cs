using System.CommandLine;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench serve</c>: the bench screens on this machine.</summary>
internal static class ServeVerb
{
    public static Command Create()
    {
        Option<int> port = new("--port")
        {
            Description = "Port on 127.0.0.1; 0 takes a free one.",
            DefaultValueFactory = _ => 5080,
        };
        Option<string> data = DataFolder.Option();
        Option<bool> noDemo = new("--no-demo")
        {
            Description = "Starts an empty store empty, without the invented shop.",
        };
        Command verb = new("serve", "Starts the bench screens for a browser on this machine.") { port, data, noDemo };
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(() =>
                {
                    int asked = parsed.GetValue(port);
                    return asked is < 0 or > 65535
                        ? throw new BadInputException($"--port {asked}: a port is 0 to 65535.")
                        : BenchHost.RunAsync(asked, parsed.GetRequiredValue(data), !parsed.GetValue(noDemo), cancel);
                })
        );
        return verb.WithExample(
            "graftbench serve --data ~/bench",
            "prints the address once the screens answer; stop with Ctrl-C"
        );
    }
}
