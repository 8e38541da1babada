using System.Net;
using System.Net.Sockets;
using System.Text;

namespace Graftbench.Probes.Tests;

public class SourceTests
{
    [Fact]
    public async Task A_serial_port_gives_its_lines_and_comes_back_after_it_was_pulled()
    {
        string link = Path.Combine(Path.GetTempPath(), $"graftbench-test-{Guid.NewGuid():N}");
        try
        {
            PtyPair first = new();
            File.CreateSymbolicLink(link, first.Port);
            await using Heard heard = new(new SerialSource(link, new SerialSetting(115_200)));
            await heard.Until(each => each.Kinds.Contains("connected"));
            first.Send("22.1,22.2\n");
            await heard.Until(each => each.Text.Contains("22.1,22.2", StringComparison.Ordinal));
            first.Dispose();
            File.Delete(link);
            await heard.Until(each => each.Kinds.Contains("gone"));
            using PtyPair second = new();
            File.CreateSymbolicLink(link, second.Port);
            await heard.Until(each => each.Kinds.Count(kind => kind == "connected") == 2);
            second.Send("23.1,23.2\n");
            await heard.Until(each => each.Text.Contains("23.1,23.2", StringComparison.Ordinal));
        }
        finally
        {
            File.Delete(link);
        }
    }

    [Fact]
    public async Task A_second_reader_of_one_port_is_refused_with_the_reason()
    {
        using PtyPair pair = new();
        SerialSource source = new(pair.Port, new SerialSetting());
        await using (await source.OpenAsync(TestContext.Current.CancellationToken))
        {
            ProbeSourceException refused = await Assert.ThrowsAsync<ProbeSourceException>(() =>
                new SerialSource(pair.Port, new SerialSetting()).OpenAsync(TestContext.Current.CancellationToken)
            );
            Assert.Contains("another Graftbench", refused.Message, StringComparison.Ordinal);
        }
        // Once it is closed the port is free again.
        await using Stream again = await source.OpenAsync(TestContext.Current.CancellationToken);
        Assert.True(again.CanRead);
    }

    [Fact]
    public async Task A_port_that_is_not_there_is_said_once_and_tried_again()
    {
        await using Heard heard = new(new SerialSource("/dev/no-such-port", new SerialSetting()));
        await heard.Until(each => each.Kinds.Contains("gone"));
        Assert.Contains("/dev/no-such-port", heard.Said, StringComparison.Ordinal);
        await Task.Delay(1500, TestContext.Current.CancellationToken);
        Assert.Equal(["gone"], heard.Kinds);
    }

    [Fact]
    public async Task A_network_logger_that_hangs_up_is_called_again()
    {
        using TcpListener listener = new(IPAddress.Loopback, 0);
        listener.Start();
        int port = ((IPEndPoint)listener.LocalEndpoint).Port;
        await using Heard heard = new(new TcpSource("127.0.0.1", port));
        using (TcpClient first = await listener.AcceptTcpClientAsync(TestContext.Current.CancellationToken))
        {
            await first.GetStream().WriteAsync("22.0;22.0\n"u8.ToArray(), TestContext.Current.CancellationToken);
            await heard.Until(each => each.Text.Contains("22.0;22.0", StringComparison.Ordinal));
        }
        using TcpClient second = await listener.AcceptTcpClientAsync(TestContext.Current.CancellationToken);
        await second.GetStream().WriteAsync("23.0;23.0\n"u8.ToArray(), TestContext.Current.CancellationToken);
        await heard.Until(each => each.Text.EndsWith("23.0;23.0\n", StringComparison.Ordinal));
        Assert.Equal(["connected", "gone", "connected"], heard.Kinds);
    }

    [Fact]
    public async Task A_logger_that_is_silent_is_said_to_be()
    {
        using PtyPair pair = new();
        await using Heard heard = new(new SerialSource(pair.Port, new SerialSetting()));
        await heard.Until(each => each.Kinds.Contains("silent"));
        pair.Send("22.0\n");
        await heard.Until(each => each.Text.Contains("22.0", StringComparison.Ordinal));
        Assert.Equal(["connected", "silent"], heard.Kinds);
    }

    [Fact]
    public async Task A_growing_file_is_followed_and_taken_up_anew_when_it_is_begun_anew()
    {
        string path = Path.GetTempFileName();
        try
        {
            await File.WriteAllTextAsync(path, "22.0,22.1\n", TestContext.Current.CancellationToken);
            await using Heard heard = new(new FileSource(path, grows: true, TimeProvider.System));
            await heard.Until(each => each.Text == "22.0,22.1\n");
            await File.AppendAllTextAsync(path, "22.2,22.3\n", TestContext.Current.CancellationToken);
            await heard.Until(each => each.Text.EndsWith("22.2,22.3\n", StringComparison.Ordinal));
            await File.WriteAllTextAsync(path, "9\n", TestContext.Current.CancellationToken);
            await heard.Until(each => each.Text.EndsWith("9\n", StringComparison.Ordinal));
            Assert.Equal(["connected", "gone", "connected"], heard.Kinds);
        }
        finally
        {
            File.Delete(path);
        }
    }

    [Fact]
    public async Task A_stored_log_is_read_to_its_end_and_no_further()
    {
        string path = Path.GetTempFileName();
        try
        {
            string log = string.Concat(Enumerable.Range(0, 5000).Select(i => $"{i},22.0\n"));
            await File.WriteAllTextAsync(path, log, TestContext.Current.CancellationToken);
            await using Heard heard = new(new FileSource(path, grows: false, TimeProvider.System));
            await heard.Running.WaitAsync(TimeSpan.FromSeconds(20), TestContext.Current.CancellationToken);
            Assert.Equal(log, heard.Text);
            Assert.Equal(["connected", "gone"], heard.Kinds);
        }
        finally
        {
            File.Delete(path);
        }
    }

    [Fact]
    public async Task A_file_that_cannot_be_read_is_said_with_its_name()
    {
        await using Heard heard = new(new FileSource("/nowhere/log.csv", grows: false, TimeProvider.System));
        await heard.Running.WaitAsync(TimeSpan.FromSeconds(20), TestContext.Current.CancellationToken);
        Assert.Contains("/nowhere/log.csv", heard.Said, StringComparison.Ordinal);
    }
}
