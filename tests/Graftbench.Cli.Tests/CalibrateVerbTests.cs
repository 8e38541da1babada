using System.Text.Json;

namespace Graftbench.Cli.Tests;

/// <summary><c>graftbench heat calibrate</c> on a log that a simulated bench made.</summary>
public sealed class CalibrateVerbTests : IDisposable
{
    private static readonly string[] Trial =
    [
        "heat",
        "calibrate",
        Of("trial.csv"),
        "--job",
        Of("scrap.json"),
        "--set",
        Of("set.csv"),
        "--probe",
        "board=58,60",
        "--probe",
        "top=body top",
        "--probe",
        "far=15,105",
        "--nozzle-checked",
        "--at",
        "2026-03-02T14:00Z",
    ];

    private readonly string _folder = Directory.CreateTempSubdirectory("graftbench-calibrate-").FullName;

    [Fact]
    public async Task Says_what_was_learned_and_what_not_and_writes_a_part_of_a_job_document()
    {
        string part = Path.Combine(_folder, "calibration.json");
        Run run = (await Bench.RunAsync([.. Trial, "-o", part])).AssertFits();
        Assert.Equal((0, ""), (run.Code, run.Error));
        foreach (string says in (string[])["of 9 numbers", "not learned", "hold-out", "Holds for a nozzle"])
        {
            Assert.Contains(says, run.Out, StringComparison.Ordinal);
        }

        // A job that carries it is planned with it.
        string job = File.ReadAllText(Of("scrap.json"));
        string calibration = File.ReadAllText(part).Trim();
        calibration = calibration[(calibration.IndexOf('{', 1) + 1)..calibration.LastIndexOf('}')];
        calibration = calibration[..calibration.LastIndexOf('}')];
        string whole = Path.Combine(_folder, "job.json");
        File.WriteAllText(
            whole,
            job.Replace("\"roomC\": 22,", $"\"roomC\": 22, {calibration},", StringComparison.Ordinal)
        );
        Run plan = await Bench.RunAsync("heat", "plan", whole, "--samples", "50", "--at", "2026-03-10T12:00Z");
        Assert.DoesNotContain("was never calibrated", plan.Out, StringComparison.Ordinal);
        Assert.Contains("Calibrated on 2026-03-02", plan.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Json_has_the_whole_result()
    {
        Run run = await Bench.RunAsync([.. Trial, "--json"]);
        using JsonDocument answer = JsonDocument.Parse(run.Out);
        Assert.Equal("trusted", answer.RootElement.GetProperty("state").GetString());
        JsonElement film = answer.RootElement.GetProperty("numbers")[0];
        Assert.Equal("TopFactor", film.GetProperty("factor").GetString());
        // The simulated bench behind the log has 1.18.
        Assert.InRange(film.GetProperty("ratio").GetDouble(), 1.08, 1.30);
        Assert.Equal("learned", film.GetProperty("share").GetString());
    }

    [Fact]
    public async Task A_trial_that_the_model_cannot_explain_ends_with_1_and_writes_nothing()
    {
        string part = Path.Combine(_folder, "calibration.json");
        string[] swapped =
        [
            .. Trial.Select(one =>
                one switch
                {
                    "board=58,60" => "far=58,60",
                    "far=15,105" => "board=15,105",
                    _ => one,
                }
            ),
        ];
        Run run = (await Bench.RunAsync([.. swapped, "-o", part])).AssertFits();
        Assert.Equal(1, run.Code);
        Assert.Contains("cannot be explained", run.Out, StringComparison.Ordinal);
        Assert.False(File.Exists(part));
    }

    [Fact]
    public async Task Everything_wrong_with_the_call_is_said_at_once()
    {
        Run run = (
            await Bench.RunAsync(
                "heat",
                "calibrate",
                Of("trial.csv"),
                "--job",
                Of("scrap.json"),
                "--task",
                "swim",
                "--flow",
                "300",
                "--nozzle",
                "round",
                "--probe",
                "board",
                "--probe",
                "left=5,5",
                "--probe",
                "top=nowhere"
            )
        ).AssertFits();
        Assert.Equal(2, run.Code);
        foreach (
            string says in (string[])
                [
                    "--task swim",
                    "--set is missing",
                    "--flow 300",
                    "--nozzle round",
                    "--probe board",
                    "left=5,5",
                    "nowhere",
                ]
        )
        {
            Assert.Contains(says, run.Says, StringComparison.Ordinal);
        }
    }

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    private static string Flat(string text) =>
        string.Join(' ', text.Split((char[])[' ', '\n'], StringSplitOptions.RemoveEmptyEntries));

    private static string Of(string name) => Path.Combine(Bench.Root, "tests/corpus/calibration", name);
}
