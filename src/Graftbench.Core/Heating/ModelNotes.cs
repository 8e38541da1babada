using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;

namespace Graftbench.Core.Heating;

/// <summary>Collects what a model assumes and finds while it is built.</summary>
internal sealed class ModelNotes
{
    private readonly List<HeatAssumption> _assumptions = [];
    private readonly List<Finding> _findings = [];

    public IReadOnlyList<HeatAssumption> Assumptions => _assumptions;

    public IReadOnlyList<Finding> Findings => Finding.WorstFirst(_findings);

    /// <summary>What was found last; null where nothing was.</summary>
    public Finding? Latest => _findings.LastOrDefault();

    /// <summary>A value of the job where it is given, else that of the table; which one it was is written down.</summary>
    public double Use(string id, double? given = null, double extraLogSd = 0)
    {
        HeatInput input = HeatFilms.Of(id);
        bool measured = given is not null;
        double value = given ?? input.Value;
        double logSd = measured ? input.MeasuredLogSd : input.LogSd;
        Add(
            id,
            $"{input.Title}: {Show(value)}{Unit(input.Unit)}{(measured ? ", as the job says" : ", assumed")}.",
            logSd > 0 || extraLogSd > 0 ? input.Factor : null,
            Math.Sqrt(logSd * logSd + extraLogSd * extraLogSd),
            measured,
            measured ? "job-file" : input.Source
        );
        return value;
    }

    public void Add(string code, string what, string? factor, double logSdRatio, bool measured, string source)
    {
        if (!_assumptions.Any(one => one.Code == code))
        {
            _assumptions.Add(new HeatAssumption(code, what, factor, logSdRatio, measured, source));
        }
    }

    public void Find(
        Verdict verdict,
        string code,
        string where,
        string what,
        string? value = null,
        string? limit = null,
        string? source = null,
        string? todo = null
    ) => _findings.Add(new Finding(verdict, code, where, what, value, limit, source, todo));

    public static string Show(double value) => value.ToString("0.###", CultureInfo.InvariantCulture);

    public static string Millimetres(double value) => Show(Math.Round(value, 2)) + " mm";

    private static string Unit(string unit) => unit.Length == 0 ? "" : " " + unit;
}
