using Graftbench.Core.Findings;

namespace Graftbench.Store.Transfer;

/// <summary>Collects what is wrong with a zip; a hopeless file does not fill the memory.</summary>
internal sealed class TransferFindings
{
    private const int Most = 200;
    private const int MostValueLength = 60;
    private readonly List<Finding> _findings = [];
    private int _notListed;

    /// <summary>Whether nothing was found.</summary>
    public bool IsEmpty => _findings.Count == 0;

    public void Add(
        string code,
        string where,
        string what,
        string? value = null,
        string? limit = null,
        string? todo = null
    )
    {
        if (_findings.Count >= Most)
        {
            _notListed++;
            return;
        }
        _findings.Add(
            new Finding(
                Verdict.Blocker,
                code,
                where,
                what,
                value,
                limit,
                Todo: todo ?? "Copy or export the file again from where it came from."
            )
        );
    }

    public IReadOnlyList<Finding> All() =>
        _notListed == 0
            ? _findings
            :
            [
                .. _findings,
                new Finding(
                    Verdict.Blocker,
                    "import.more",
                    "zip",
                    $"{_notListed} more things are wrong than are listed."
                ),
            ];

    /// <summary>Makes untrusted text fit for a message.</summary>
    public static string Shorten(string text)
    {
        string plain = string.Concat(
            text.Take(MostValueLength).Select(letter => char.IsControl(letter) ? '?' : letter)
        );
        return text.Length > MostValueLength ? plain + "..." : plain;
    }
}
