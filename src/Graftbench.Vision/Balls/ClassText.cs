namespace Graftbench.Vision.Balls;

/// <summary>Classes in words and as one letter.</summary>
public static class ClassText
{
    /// <summary>In words.</summary>
    public static string Of(SiteClass one) =>
        one switch
        {
            SiteClass.Present => "present",
            SiteClass.Missing => "missing",
            SiteClass.Undersized => "undersized",
            SiteClass.OffCentre => "off-centre",
            SiteClass.Joined => "joined",
            _ => "cannot judge",
        };

    /// <summary>As a name: <c>off-centre</c>, <c>cannot-judge</c>.</summary>
    public static string Id(SiteClass one) => Of(one).Replace(' ', '-');

    /// <summary>As one letter: M, U, O, J, ?; a full stop for a ball that is there.</summary>
    public static char Letter(SiteClass one) =>
        one switch
        {
            SiteClass.Present => '.',
            SiteClass.Missing => 'M',
            SiteClass.Undersized => 'U',
            SiteClass.OffCentre => 'O',
            SiteClass.Joined => 'J',
            _ => '?',
        };
}
