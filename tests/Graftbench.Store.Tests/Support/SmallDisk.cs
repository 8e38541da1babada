using System.Diagnostics;

namespace Graftbench.Store.Tests.Support;

/// <summary>A disk of a few MiB, in memory, that can be filled; only root may make one, and not in every container.</summary>
internal sealed class SmallDisk : IDisposable
{
    private SmallDisk(string folder) => Folder = folder;

    public string Folder { get; }

    /// <summary>Makes one; null where this process may not.</summary>
    public static SmallDisk? TryMake(int mebibytes)
    {
        SmallDisk disk = new(Directory.CreateTempSubdirectory("graftbench-small-").FullName);
        if (OperatingSystem.IsLinux() && Run("mount", "-t", "tmpfs", "-o", $"size={mebibytes}m", "tmpfs", disk.Folder))
        {
            return disk;
        }
        Directory.Delete(disk.Folder);
        return null;
    }

    public void Grow(int mebibytes) => Assert.True(Run("mount", "-o", $"remount,size={mebibytes}m", Folder));

    public void GiveTo(string user) => Assert.True(Run("chown", user, Folder));

    public void Dispose()
    {
        Run("umount", "-l", Folder);
        Directory.Delete(Folder);
    }

    private static bool Run(string program, params string[] arguments)
    {
        try
        {
            ProcessStartInfo start = new(program, arguments) { RedirectStandardError = true, UseShellExecute = false };
            using Process process = Process.Start(start)!;
            process.StandardError.ReadToEnd();
            process.WaitForExit();
            return process.ExitCode == 0;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return false;
        }
    }
}
