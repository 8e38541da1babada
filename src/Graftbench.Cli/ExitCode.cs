namespace Graftbench.Cli;

/// <summary>What the program tells its caller.</summary>
internal static class ExitCode
{
    /// <summary>Done; nothing stands against going on.</summary>
    public const int Ok = 0;

    /// <summary>Done; a blocker or something to fix first was found.</summary>
    public const int FixFirst = 1;

    /// <summary>The input or the command line is bad; nothing was written.</summary>
    public const int BadInput = 2;

    /// <summary>Something happened that the program did not expect.</summary>
    public const int Unexpected = 3;

    /// <summary>Stopped by Ctrl-C; no half-written file is left.</summary>
    public const int Stopped = 130;
}
