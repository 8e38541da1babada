using System.Runtime.InteropServices;
using System.Text;
using Microsoft.Win32.SafeHandles;

namespace Graftbench.Probes.Tests;

/// <summary>A pair of pseudo-terminals: the test writes into one end, the other end is a serial port.</summary>
internal sealed partial class PtyPair : IDisposable
{
    private const int ReadWriteNoTerminal = 0x2 | 0x100;
    private readonly FileStream master;

    public PtyPair()
    {
        int descriptor = OpenMaster(ReadWriteNoTerminal);
        if (descriptor < 0 || Grant(descriptor) != 0 || Unlock(descriptor) != 0)
        {
            throw new InvalidOperationException("No pseudo-terminal can be made here.");
        }
        byte[] name = new byte[128];
        if (NameOf(descriptor, name, (nuint)name.Length) != 0)
        {
            throw new InvalidOperationException("The pseudo-terminal has no name.");
        }
        Port = Encoding.UTF8.GetString(name, 0, Array.IndexOf(name, (byte)0));
        master = new FileStream(
            new SafeFileHandle(descriptor, ownsHandle: true),
            FileAccess.ReadWrite,
            0,
            isAsync: false
        );
    }

    /// <summary>Path of the port.</summary>
    public string Port { get; }

    public void Send(string text)
    {
        master.Write(Encoding.UTF8.GetBytes(text));
        master.Flush();
    }

    public void Dispose() => master.Dispose();

    [LibraryImport("libc", EntryPoint = "posix_openpt")]
    private static partial int OpenMaster(int flags);

    [LibraryImport("libc", EntryPoint = "grantpt")]
    private static partial int Grant(int descriptor);

    [LibraryImport("libc", EntryPoint = "unlockpt")]
    private static partial int Unlock(int descriptor);

    [LibraryImport("libc", EntryPoint = "ptsname_r")]
    private static partial int NameOf(int descriptor, byte[] buffer, nuint length);
}
