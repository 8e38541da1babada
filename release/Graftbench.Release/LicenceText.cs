namespace Graftbench.Release;

/// <summary>The texts that stand behind licence expressions.</summary>
public static class LicenceText
{
    /// <summary>Text of one licence, null when none is held here.</summary>
    /// <param name="expression">One identifier, such as <c>MIT</c>; combined expressions are not taken.</param>
    public static string? Of(string expression)
    {
        using Stream? stream =
            expression.Length == 0 ? null : typeof(LicenceText).Assembly.GetManifestResourceStream(expression);
        if (stream is null)
        {
            return null;
        }
        using StreamReader reader = new(stream);
        return reader.ReadToEnd();
    }
}
