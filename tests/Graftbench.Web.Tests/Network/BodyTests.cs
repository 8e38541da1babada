using System.IO.Compression;
using System.Net;
using System.Net.Http.Headers;
using System.Net.Sockets;
using System.Text;
using Graftbench.Store;

namespace Graftbench.Web.Tests.Network;

/// <summary>Bodies, names and paths that are made to hurt. Nothing of it is stored.</summary>
public class BodyTests(RolesBench bench) : IClassFixture<RolesBench>
{
    private const string Job = "/jobs/arcade-graphics-chip";

    public static TheoryData<string, string> Injections
    {
        get
        {
            TheoryData<string, string> rows = [];
            foreach (
                string text in (string[])
                    [
                        "' OR '1'='1",
                        "x'; DROP TABLE evidence; --",
                        "\" OR 1=1 --",
                        "%27%20UNION%20SELECT%20payload%20FROM%20evidence--",
                        "../../../etc/passwd",
                        "..%2f..%2f..%2fetc%2fpasswd",
                        "..%5c..%5cwindows%5cwin.ini",
                        "%2e%2e/%2e%2e/keys/access.json",
                        "/etc/passwd",
                        "C:\\windows\\win.ini",
                        "keys%2faccess.json",
                        "x%00.json",
                        "\u0131\u2025/\u2025",
                    ]
            )
            {
                foreach (
                    string place in (string[])
                        [
                            "/files/{0}",
                            "/assets/x/{0}",
                            "/jobs/{0}",
                            Job + "/board/host/photo/{0}",
                            Job + "/runs/{0}",
                            Job + "/runs/log/{0}",
                            Job + "/watch/{0}",
                            Job + "/watch/{0}/history.bin",
                            Job + "/heat/{0}",
                            Job + "/heat/place/plane/{0}",
                            Job + "/edit/{0}",
                            "/shelf/board/{0}",
                            "/shelf/{0}/new",
                            "/bench/trials/{0}",
                        ]
                )
                {
                    rows.Add(place, text);
                }
            }
            return rows;
        }
    }

    [Theory, MemberData(nameof(Injections))]
    public async Task A_name_in_an_address_leads_to_nothing(string place, string text)
    {
        int jobs = bench.Host.Store.Jobs().Count;
        string path = string.Format(
            System.Globalization.CultureInfo.InvariantCulture,
            place,
            text.Contains('%', StringComparison.Ordinal) ? text : Uri.EscapeDataString(text)
        );
        // As it is written: a client would take the dots out before it asks.
        string answer = await Raw(
            $"GET {path} HTTP/1.1\r\nHost: {bench.Host.Bench.Authority}\r\nConnection: close\r\n\r\n"
        );
        string status = answer[..Math.Min(12, answer.Length)];
        Assert.True(status is "HTTP/1.1 404" or "HTTP/1.1 400", $"{path}: {status}");
        Assert.DoesNotContain("root:", answer, StringComparison.Ordinal);
        Assert.DoesNotContain("tokenSha256", answer, StringComparison.Ordinal);
        Assert.Equal(jobs, bench.Host.Store.Jobs().Count);
    }

    private async Task<string> Raw(string request)
    {
        using TcpClient tcp = new();
        await tcp.ConnectAsync(bench.Host.Bench.Host, bench.Host.Bench.Port, TestContext.Current.CancellationToken);
        NetworkStream stream = tcp.GetStream();
        await stream.WriteAsync(Encoding.UTF8.GetBytes(request), TestContext.Current.CancellationToken);
        using StreamReader reader = new(stream, Encoding.Latin1);
        return await reader.ReadToEndAsync(TestContext.Current.CancellationToken);
    }

    [Theory]
    [InlineData("/evidence/note", 4)]
    [InlineData("/evidence/file", 32)]
    [InlineData("/readings/import", 4)]
    [InlineData("/board/host/photo", 32)]
    [InlineData("/runs/log", 32)]
    [InlineData("/proof/trace", 4)]
    [InlineData("/fit/list", 4)]
    public async Task A_body_that_does_not_say_its_length_is_cut_at_the_same_limit(string form, int limitMb)
    {
        long before = bench.Host.Lines;
        string token = (await bench.Technician.Form(Job, Job + "/evidence/note"))["__RequestVerificationToken"]!;
        using MultipartFormDataContent content = new();
        using StringContent tokenPart = new(token);
        content.Add(tokenPart, "__RequestVerificationToken");
        using StreamContent file = new(new Endless((limitMb + 2) * 1024L * 1024));
        content.Add(file, "file", "big.csv");
        using HttpRequestMessage request = new(HttpMethod.Post, new Uri(Job + form, UriKind.Relative))
        {
            Content = content,
        };
        request.Headers.TransferEncodingChunked = true;
        request.Headers.Add("Origin", bench.Technician.Origin);
        HttpStatusCode? status = null;
        try
        {
            using HttpResponseMessage answer = await bench.Technician.Http.SendAsync(
                request,
                TestContext.Current.CancellationToken
            );
            status = answer.StatusCode;
        }
        catch (HttpRequestException)
        {
            // Cut off while it still sent: as good as an answer.
        }
        Assert.True(status is null or HttpStatusCode.RequestEntityTooLarge or HttpStatusCode.BadRequest, $"{status}");
        Assert.Equal(before, bench.Host.Lines);
    }

    [Fact]
    public async Task Nobody_can_make_the_bench_read_a_large_body()
    {
        using DeviceClient nobody = bench.Host.Device();
        string answer = await nobody.Raw(
            $"POST /import HTTP/1.1\r\nHost: {bench.Host.Door.Authority}\r\nOrigin: {nobody.Origin}\r\n"
                + "Content-Type: multipart/form-data; boundary=x\r\nContent-Length: 250000000\r\nConnection: close\r\n\r\n--x"
        );
        // Answered though nothing of the body but its first signs was ever sent.
        Assert.StartsWith("HTTP/1.1 401 ", answer, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("../../outside.json")]
    [InlineData("/etc/cron.d/evil")]
    [InlineData("C:\\evil.exe")]
    [InlineData("records/../../evil")]
    [InlineData("..\\..\\evil")]
    [InlineData("link -> /etc/passwd")]
    public async Task A_zip_with_a_name_that_leads_outside_is_refused_and_nothing_appears(string name)
    {
        long before = bench.Host.Lines;
        HashSet<string> files =
        [
            .. Directory.GetFileSystemEntries(bench.Host.Folder, "*", SearchOption.AllDirectories),
        ];
        byte[] record = Exported();
        using MemoryStream zip = new();
        await zip.WriteAsync(record, TestContext.Current.CancellationToken);
        using (ZipArchive archive = new(zip, ZipArchiveMode.Update, leaveOpen: true))
        {
            ZipArchiveEntry entry = archive.CreateEntry(name);
            // Kind of file "symbolic link" as Unix packs it.
            entry.ExternalAttributes = name.Contains("->", StringComparison.Ordinal) ? unchecked((int)0xA1FF0000) : 0;
            await using Stream inside = await entry.OpenAsync(TestContext.Current.CancellationToken);
            await inside.WriteAsync("/etc/passwd"u8.ToArray(), TestContext.Current.CancellationToken);
        }
        Answer answer = await Import(zip.ToArray());
        Assert.True(answer.Status == HttpStatusCode.UnprocessableEntity, $"{(int)answer.Status}");
        Assert.Equal(before, bench.Host.Lines);
        Assert.False(File.Exists("/etc/cron.d/evil"));
        Assert.Equal(
            files.Where(file =>
                !file.EndsWith("-wal", StringComparison.Ordinal) && !file.EndsWith("-shm", StringComparison.Ordinal)
            ),
            Directory
                .GetFileSystemEntries(bench.Host.Folder, "*", SearchOption.AllDirectories)
                .Where(file =>
                    !file.EndsWith("-wal", StringComparison.Ordinal) && !file.EndsWith("-shm", StringComparison.Ordinal)
                )
        );
    }

    [Fact]
    public async Task A_zip_that_unpacks_to_gigabytes_is_refused_without_unpacking_it()
    {
        long before = bench.Host.Lines;
        using MemoryStream zip = new();
        using (ZipArchive archive = new(zip, ZipArchiveMode.Create, leaveOpen: true))
        {
            ZipArchiveEntry entry = archive.CreateEntry("records/arcade-graphics-chip.jsonl", CompressionLevel.Optimal);
            await using Stream inside = await entry.OpenAsync(TestContext.Current.CancellationToken);
            byte[] zeros = new byte[1024 * 1024];
            for (int i = 0; i < 400; i++)
            {
                await inside.WriteAsync(zeros, TestContext.Current.CancellationToken);
            }
        }
        Assert.True(zip.Length < 1024 * 1024);
        long memory = GC.GetTotalMemory(forceFullCollection: true);
        Answer answer = await Import(zip.ToArray());
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.Status);
        Assert.True(GC.GetTotalMemory(forceFullCollection: false) - memory < 200L * 1024 * 1024);
        Assert.Equal(before, bench.Host.Lines);
    }

    [Theory]
    [InlineData(
        "photo.svg",
        "image/svg+xml",
        "<svg xmlns=\"http://www.w3.org/2000/svg\"><script>alert(1)</script></svg>"
    )]
    [InlineData("photo.jpg", "image/jpeg", "<svg xmlns=\"http://www.w3.org/2000/svg\" onload=\"alert(1)\"/>")]
    [InlineData("page.html", "text/html", "<script>alert(1)</script>")]
    [InlineData("page.xhtml", "application/xhtml+xml", "<html xmlns=\"http://www.w3.org/1999/xhtml\"/>")]
    [InlineData("a\r\nSet-Cookie: x=1.txt", "text/plain", "header")]
    public async Task What_could_run_is_handed_over_as_a_download_and_never_shown(string name, string type, string text)
    {
        byte[] bytes = Encoding.UTF8.GetBytes(text + Guid.NewGuid());
        Answer added = await Send(
            Job + "/evidence/file",
            "file",
            name.Replace("\r\n", "%0D%0A", StringComparison.Ordinal),
            type,
            bytes
        );
        Assert.Equal(HttpStatusCode.Redirect, added.Status);
        EvidenceLine line = bench.Host.Store.Evidence("arcade-graphics-chip").Last(one => one.FileSha256 is not null);
        Assert.DoesNotContain(line.FileName!, char.IsControl);
        using HttpResponseMessage file = await bench.Technician.Http.GetAsync(
            new Uri("/files/" + line.FileSha256, UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        Assert.Equal("application/octet-stream", file.Content.Headers.ContentType!.MediaType);
        Assert.Equal("attachment", file.Content.Headers.ContentDisposition!.DispositionType);
        Assert.Equal("nosniff", Assert.Single(file.Headers.GetValues("X-Content-Type-Options")));
        Assert.Contains(
            "sandbox",
            Assert.Single(file.Headers.GetValues("Content-Security-Policy")),
            StringComparison.Ordinal
        );
        Assert.False(file.Headers.Contains("Set-Cookie"));
    }

    [Theory, InlineData("/pictures", "file"), InlineData("/board/host/photo", "picture")]
    public async Task A_drawing_with_a_script_is_no_picture(string form, string field)
    {
        long before = bench.Host.Lines;
        Answer answer = await Send(
            Job + form,
            field,
            "photo.png",
            "image/png",
            "<svg xmlns=\"http://www.w3.org/2000/svg\" onload=\"alert(1)\"/>"u8.ToArray()
        );
        Assert.InRange((int)answer.Status, 400, 499);
        Assert.Equal(before, bench.Host.Lines);
    }

    [Fact]
    public async Task A_picture_that_says_it_is_enormous_is_refused_before_it_is_drawn()
    {
        long before = bench.Host.Lines;
        // A PNG header of 100,000 by 100,000 pixels: 40 GB once drawn.
        byte[] png =
        [
            0x89,
            0x50,
            0x4E,
            0x47,
            0x0D,
            0x0A,
            0x1A,
            0x0A,
            0,
            0,
            0,
            13,
            0x49,
            0x48,
            0x44,
            0x52,
            0,
            1,
            0x86,
            0xA0,
            0,
            1,
            0x86,
            0xA0,
            8,
            6,
            0,
            0,
            0,
        ];
        byte[] crc = new byte[4];
        System.Buffers.Binary.BinaryPrimitives.WriteUInt32BigEndian(crc, Crc(png.AsSpan(12, 17)));
        byte[] whole = [.. png, .. crc, .. new byte[64]];
        foreach (
            (string form, string field) in ((string, string)[])[("/pictures", "file"), ("/board/host/photo", "picture")]
        )
        {
            Answer answer = await Send(Job + form, field, "big.png", "image/png", whole);
            Assert.InRange((int)answer.Status, 400, 499);
        }
        Assert.Equal(before, bench.Host.Lines);
    }

    private static uint Crc(ReadOnlySpan<byte> bytes)
    {
        uint crc = uint.MaxValue;
        foreach (byte one in bytes)
        {
            crc ^= one;
            for (int bit = 0; bit < 8; bit++)
            {
                crc = (crc & 1) != 0 ? (crc >> 1) ^ 0xEDB88320 : crc >> 1;
            }
        }
        return ~crc;
    }

    private byte[] Exported()
    {
        using MemoryStream zip = new();
        bench.Host.Store.Export(["machine-tool-bridge-chip"], zip, "record.zip", TestContext.Current.CancellationToken);
        return zip.ToArray();
    }

    private Task<Answer> Import(byte[] zip) => Send("/import", "file", "record.zip", "application/zip", zip);

    private async Task<Answer> Send(string path, string field, string name, string type, byte[] bytes)
    {
        string token = (await bench.Technician.Form(Job, Job + "/evidence/note"))["__RequestVerificationToken"]!;
        using MultipartFormDataContent content = new();
        using StringContent tokenPart = new(token);
        content.Add(tokenPart, "__RequestVerificationToken");
        using ByteArrayContent file = new(bytes);
        file.Headers.ContentType = new MediaTypeHeaderValue(type);
        file.Headers.ContentDisposition = new ContentDispositionHeaderValue("form-data")
        {
            Name = $"\"{field}\"",
            FileName = $"\"{name}\"",
        };
        content.Add(file);
        return await bench.Technician.Post(path, content);
    }

    /// <summary>Letters without end, up to a length that nobody is told.</summary>
    private sealed class Endless(long length) : Stream
    {
        private long left = length;

        public override bool CanRead => true;

        public override bool CanSeek => false;

        public override bool CanWrite => false;

        public override long Length => throw new NotSupportedException();

        public override long Position
        {
            get => throw new NotSupportedException();
            set => throw new NotSupportedException();
        }

        public override int Read(byte[] buffer, int offset, int count)
        {
            int given = (int)Math.Min(left, count);
            buffer.AsSpan(offset, given).Fill((byte)'a');
            left -= given;
            return given;
        }

        public override void Flush() { }

        public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

        public override void SetLength(long value) => throw new NotSupportedException();

        public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
    }
}
