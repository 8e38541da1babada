using Graftbench.Core.Findings;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Reading;

/// <summary>Findings of the segment that is being read; each also goes into the list of the whole image.</summary>
internal sealed class Notes(ReadContext context, ByteSpace space)
{
    private List<Finding>? list;

    public IReadOnlyList<Finding>? List => list;

    public void Add(
        Verdict verdict,
        string code,
        int offset,
        string what,
        string? value = null,
        string? limit = null,
        string? source = null,
        string? todo = null
    )
    {
        Finding finding = new(verdict, code, ReadContext.Where(space, offset), what, value, limit, source, todo);
        context.Report(finding);
        if ((list ??= []).Count < context.Limits.MaxFindings)
        {
            list.Add(finding);
        }
    }

    /// <summary>Damage that must be dealt with before the image is written anywhere.</summary>
    public void Damage(
        string code,
        int offset,
        string what,
        string? value = null,
        string? limit = null,
        string? source = null
    ) => Add(Verdict.FixFirst, code, offset, what, value, limit, source, Sources.ReadAgain);
}
