using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Network;

/// <summary>
/// The role that each address needs, all on one page. An address that is not listed answers at the bench only, and a test
/// says so by name.
/// </summary>
/// <remarks>
/// Looking on is for everything that shows a job; every download and every change needs a technician. Firmware shows serial
/// numbers and keys of a machine, so it is not for looking on either, nor are stored files, since they may be images.
/// </remarks>
public static class AccessTable
{
    private const string Text = """
        anyone      GET   /assets/{stamp}/{**name}
        anyone      GET   /network/authority.crt
        anyone      GET   /pair
        anyone      POST  /pair
        paired      GET   /sign-in
        paired      POST  /sign-in
        paired      POST  /sign-out
        viewer      GET   /me
        viewer      POST  /me/passphrase
        viewer      POST  /preferences
        viewer      GET   /health
        bench       POST  /who
        owner       GET   /devices
        owner       POST  /devices/code
        owner       POST  /devices/{device}/revoke
        owner       POST  /people
        owner       POST  /people/{person}/role
        owner       POST  /people/{person}/passphrase
        owner       POST  /people/{person}/remove

        viewer      GET   /
        viewer      GET   /jobs
        viewer      GET   /live
        technician  GET   /tables.zip
        viewer      GET   /reference
        technician  GET   /insight
        technician  GET   /insight/state
        viewer      GET   /shelf
        technician  GET   /shelf/{kind}/{id}
        technician  POST  /shelf/{kind}/{id}
        viewer      GET   /bench
        technician  GET   /bench/calibrate
        technician  POST  /bench/calibrate
        viewer      GET   /bench/trials/{id}
        technician  POST  /bench/trials/{id}/keep
        technician  GET   /import
        technician  POST  /import
        owner       POST  /demo
        technician  GET   /jobs/new
        technician  POST  /jobs/new
        technician  GET   /files/{sha256}

        viewer      GET   /jobs/{id}
        technician  POST  /jobs/{id}/dryer
        technician  POST  /jobs/{id}/taken-off
        technician  POST  /jobs/{id}/stage
        technician  GET   /jobs/{id}/undo
        technician  POST  /jobs/{id}/undo
        technician  GET   /jobs/{id}/edit/{section}
        technician  POST  /jobs/{id}/edit/{section}
        technician  POST  /jobs/{id}/merge
        technician  GET   /jobs/{id}/add/{kind}
        technician  POST  /jobs/{id}/add/{kind}
        technician  POST  /jobs/{id}/evidence/note
        technician  POST  /jobs/{id}/evidence/file
        technician  POST  /jobs/{id}/waive
        viewer      GET   /jobs/{id}/sheet
        technician  GET   /jobs/{id}/sheet.pdf
        technician  GET   /jobs/{id}/job.json
        technician  GET   /jobs/{id}/record.zip
        viewer      GET   /jobs/{id}/record
        owner       GET   /jobs/{id}/personal-data
        owner       POST  /jobs/{id}/personal-data/look
        owner       POST  /jobs/{id}/personal-data

        viewer      GET   /jobs/{id}/board
        viewer      GET   /jobs/{id}/board/{board}
        technician  POST  /jobs/{id}/board/{board}
        technician  POST  /jobs/{id}/board/{board}/photo
        viewer      GET   /jobs/{id}/board/{board}/photo/{sha256}

        viewer      GET   /jobs/{id}/heat/{task?}
        technician  POST  /jobs/{id}/heat/{task}/compute
        technician  POST  /jobs/{id}/heat/{task}/cancel
        viewer      GET   /jobs/{id}/heat/{task}/state
        viewer      GET   /jobs/{id}/heat/{task}/plane/{name}
        technician  GET   /jobs/{id}/heat/{task}/plan.json
        viewer      GET   /jobs/{id}/heat/{task}/card
        technician  GET   /jobs/{id}/heat/{task}/card.pdf

        technician  GET   /jobs/{id}/heat/{task}/watch
        technician  POST  /jobs/{id}/heat/{task}/watch
        technician  GET   /jobs/{id}/watch/prepare/{key}
        technician  GET   /jobs/{id}/watch/prepare/{key}/state
        technician  POST  /jobs/{id}/watch/prepare/{key}/confirm
        technician  POST  /jobs/{id}/watch/prepare/{key}/reopen
        technician  POST  /jobs/{id}/watch/prepare/{key}/start
        viewer      GET   /jobs/{id}/watch/{run}
        viewer      GET   /jobs/{id}/watch/{run}/state
        viewer      GET   /jobs/{id}/watch/{run}/history.bin
        viewer      GET   /jobs/{id}/watch/{run}/live
        technician  POST  /jobs/{id}/watch/{run}/mark
        technician  POST  /jobs/{id}/watch/{run}/set
        technician  POST  /jobs/{id}/watch/{run}/end

        technician  GET   /jobs/{id}/runs/new
        technician  POST  /jobs/{id}/runs/log
        technician  GET   /jobs/{id}/runs/log/{sha256}
        technician  POST  /jobs/{id}/runs/log/{sha256}
        viewer      GET   /jobs/{id}/runs/{runId}
        technician  POST  /jobs/{id}/runs/{runId}/compute
        technician  POST  /jobs/{id}/runs/{runId}/cancel
        viewer      GET   /jobs/{id}/runs/{runId}/state
        technician  POST  /jobs/{id}/runs/{runId}/ledger
        technician  GET   /jobs/{id}/runs/{runId}/review.json

        viewer      GET   /jobs/{id}/joints
        viewer      GET   /jobs/{id}/joints/look
        technician  POST  /jobs/{id}/joints/compute
        technician  POST  /jobs/{id}/joints/cancel
        viewer      GET   /jobs/{id}/joints/state
        technician  GET   /jobs/{id}/joints/plan.json

        viewer      GET   /jobs/{id}/fit
        technician  GET   /jobs/{id}/fit/sheet.json
        technician  POST  /jobs/{id}/fit/list

        viewer      GET   /jobs/{id}/pictures
        technician  POST  /jobs/{id}/pictures
        viewer      GET   /jobs/{id}/pictures/{line:long}
        viewer      GET   /jobs/{id}/pictures/{line:long}/shown.jpg
        viewer      GET   /jobs/{id}/pictures/{line:long}/sites.json
        viewer      GET   /jobs/{id}/pictures/{line:long}/marked.png
        technician  POST  /jobs/{id}/pictures/{line:long}/said
        technician  POST  /jobs/{id}/pictures/{line:long}/changed
        technician  POST  /jobs/{id}/pictures/{line:long}/marked

        viewer      GET   /jobs/{id}/readings
        technician  GET   /jobs/{id}/readings.csv
        technician  POST  /jobs/{id}/readings/take
        technician  POST  /jobs/{id}/readings/import
        technician  POST  /jobs/{id}/readings/{line:long}/back
        viewer      GET   /jobs/{id}/readings/meter.json
        technician  POST  /jobs/{id}/readings/meter
        viewer      GET   /jobs/{id}/proof
        technician  GET   /jobs/{id}/proof.json
        viewer      GET   /jobs/{id}/returns
        technician  POST  /jobs/{id}/proof/limit
        technician  POST  /jobs/{id}/proof/rail
        technician  POST  /jobs/{id}/proof/power
        technician  POST  /jobs/{id}/proof/trace
        technician  POST  /jobs/{id}/proof/{line:long}/back

        technician  GET   /jobs/{id}/firmware
        technician  POST  /jobs/{id}/firmware/images
        technician  POST  /jobs/{id}/firmware/role
        technician  POST  /jobs/{id}/firmware/processor
        technician  POST  /jobs/{id}/firmware/capacity
        technician  POST  /jobs/{id}/firmware/combine

        viewer      GET   /jobs/{id}/diagnosis
        technician  POST  /jobs/{id}/diagnosis/seen
        technician  POST  /jobs/{id}/diagnosis/back
        technician  POST  /jobs/{id}/diagnosis/close
        technician  POST  /jobs/{id}/diagnosis/open
        technician  POST  /jobs/{id}/diagnosis/row

        viewer      GET   /jobs/{id}/handover
        technician  POST  /jobs/{id}/handover
        technician  POST  /jobs/{id}/came-back
        viewer      GET   /jobs/{id}/handover/sheet
        technician  GET   /jobs/{id}/handover/sheet.pdf

        viewer      *     /{*path:nonfile}
        """;

    private static readonly Dictionary<string, Role> Rows = Read();

    /// <summary>All rows: method, address, role.</summary>
    public static IReadOnlyDictionary<string, Role> All => Rows;

    /// <summary>Puts its role on every endpoint of a group.</summary>
    internal static void State(IEndpointConventionBuilder endpoints) =>
        endpoints.Finally(endpoint =>
        {
            if (endpoint is not RouteEndpointBuilder route)
            {
                return;
            }
            string method = route.Metadata.OfType<IHttpMethodMetadata>().LastOrDefault() is { HttpMethods.Count: 1 } one
                ? one.HttpMethods[0]
                : "*";
            if (Rows.TryGetValue(Key(method, route.RoutePattern.RawText ?? ""), out Role role))
            {
                route.Metadata.Add(new NeededRole(role));
            }
        });

    private static string Key(string method, string pattern) => $"{method} /{pattern.TrimStart('/')}";

    private static Dictionary<string, Role> Read()
    {
        Dictionary<string, Role> rows = new(StringComparer.Ordinal);
        foreach (
            string line in Text.Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries)
        )
        {
            string[] parts = line.Split(' ', StringSplitOptions.RemoveEmptyEntries);
            rows.Add(Key(parts[1], parts[2]), Enum.Parse<Role>(parts[0], ignoreCase: true));
        }
        return rows;
    }
}
