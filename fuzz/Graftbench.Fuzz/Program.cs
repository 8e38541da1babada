using System.Diagnostics;
using System.Globalization;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Updates;
using Graftbench.Fuzz;
using Graftbench.Tests.Shared.Firmware;

// Spoils images and reads them: nothing may be thrown, every byte must stay covered, and no image may take long.
//   dotnet run -c Release --project fuzz/Graftbench.Fuzz -- 2000000            the corpus, so many mutations in all
//   dotnet run -c Release --project fuzz/Graftbench.Fuzz -- 11000 FILE...      so many of each file, one in eleven a cut
//   dotnet run -c Release --project fuzz/Graftbench.Fuzz -- lists 1000000      ball lists, so many mutations of each kind
//   dotnet run -c Release --project fuzz/Graftbench.Fuzz -- readings 1000000   lines of meters, lists of readings, traces: so many of each
//   dotnet run -c Release --project fuzz/Graftbench.Fuzz -- corpus             writes the corpus anew from its builders
// GRAFTBENCH_SEED sets the first seed (1); GRAFTBENCH_LEAVE_PACKED=1 unpacks nothing, which is a hundred times faster on large images. Exit code 1: something broke; the input is kept beside the corpus.
const double LongestS = 10;
string corpus = Path.Combine(Root(), "tests", "corpus", "firmware");
if (args is ["corpus"])
{
    foreach ((string name, byte[] bytes) in SmallImages.All)
    {
        File.WriteAllBytes(Path.Combine(corpus, name + ".bin"), bytes);
    }
    return 0;
}
if (args is ["lists", ..])
{
    int inputs =
        args.Length > 1 && int.TryParse(args[1], CultureInfo.InvariantCulture, out int asked) ? asked : 1_000_000;
    return ListFuzz.Run(Path.Combine(Root(), "tests", "corpus", "ball-lists"), inputs, 1) == 0 ? 0 : 1;
}
if (args is ["readings", ..])
{
    int inputs =
        args.Length > 1 && int.TryParse(args[1], CultureInfo.InvariantCulture, out int asked) ? asked : 1_000_000;
    return ReadingFuzz.Run(Path.Combine(Root(), "docs", "examples"), inputs, 1) == 0 ? 0 : 1;
}
if (args.Length == 0 || !int.TryParse(args[0], CultureInfo.InvariantCulture, out int count) || count < 1)
{
    Console.Error.WriteLine("Give the number of mutations, and files if not the corpus is meant.");
    return 2;
}
ImageLimits limits = new()
{
    Unpack = Environment.GetEnvironmentVariable("GRAFTBENCH_LEAVE_PACKED") is not { Length: > 0 },
};
int firstSeed = int.TryParse(Environment.GetEnvironmentVariable("GRAFTBENCH_SEED"), out int seed) ? seed : 1;
string[] files = args.Length > 1 ? args[1..] : [.. Directory.GetFiles(corpus, "*.bin").Order(StringComparer.Ordinal)];
int each = args.Length > 1 ? count : (count + files.Length - 1) / files.Length;
int broken = 0;
long done = 0;
double longestS = 0;
Stopwatch clock = Stopwatch.StartNew();
foreach (string file in files)
{
    byte[] image = File.ReadAllBytes(file);
    IReadOnlyList<int> headers = TreeCheck.Headers(ImageReader.Read(image, limits));
    Stopwatch own = Stopwatch.StartNew();
    const int Chunk = 250;
    Parallel.For(
        0,
        (each + Chunk - 1) / Chunk,
        new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount },
        part =>
        {
            Mutator mutator = new(firstSeed * 1_000_003 + part);
            for (int i = part * Chunk; i < Math.Min(each, (part + 1) * Chunk); i++)
            {
                byte[] bytes = i % 11 == 10 ? mutator.Cut(image) : mutator.Mutate(image, headers);
                long start = Stopwatch.GetTimestamp();
                string? fault = Try(bytes);
                double seconds = Stopwatch.GetElapsedTime(start).TotalSeconds;
                if (seconds > LongestS)
                {
                    // A busy machine may have stopped this thread: only what is slow twice is slow.
                    start = Stopwatch.GetTimestamp();
                    Try(bytes);
                    seconds = Math.Min(seconds, Stopwatch.GetElapsedTime(start).TotalSeconds);
                }
                if (seconds > longestS)
                {
                    longestS = seconds;
                }
                fault ??= seconds > LongestS ? $"took {seconds:0.0} s" : null;
                Interlocked.Increment(ref done);
                if (fault is not null && Interlocked.Increment(ref broken) <= 20)
                {
                    string kept = Path.Combine(
                        corpus,
                        $"found-{Path.GetFileNameWithoutExtension(file)}-{part}-{i}.bin"
                    );
                    File.WriteAllBytes(kept, bytes);
                    Console.WriteLine($"{Path.GetFileName(file)}, part {part}, input {i}: {fault}\n  kept as {kept}");
                }
            }
        }
    );
    Console.WriteLine(
        FormattableString.Invariant(
            $"{Path.GetFileName(file), -32} {image.Length, 9} bytes {each, 8} inputs {own.Elapsed.TotalSeconds, 7:0.0} s"
        )
    );
}
Console.WriteLine(
    FormattableString.Invariant(
        $"{done} inputs in {clock.Elapsed.TotalSeconds:0} s, {done / clock.Elapsed.TotalSeconds:0} a second, longest {longestS * 1000:0} ms, peak {Process.GetCurrentProcess().PeakWorkingSet64 >> 20} MiB, {broken} broken"
    )
);
return broken == 0 ? 0 : 1;

string? Try(byte[] bytes)
{
    try
    {
        ImageTree tree = ImageReader.Read(bytes, limits);
        ChipQuestion.Ask(tree, new ProcessorSignature(0x000906EA), 1);
        return TreeCheck.Fault(tree, bytes);
    }
    catch (Exception error)
    {
        return error.ToString();
    }
}

static string Root()
{
    for (DirectoryInfo? folder = new(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
    {
        if (File.Exists(Path.Combine(folder.FullName, "Graftbench.slnx")))
        {
            return folder.FullName;
        }
    }
    throw new InvalidOperationException("This must run from inside a checkout.");
}
