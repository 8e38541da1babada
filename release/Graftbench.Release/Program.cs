using Graftbench.Release;

// What ./publish asks for: the notices of one build, written beside it.
// Graftbench.Release TITLE BUILD-FOLDER LOCK-FILE PACKAGE-FOLDER [WHAT=LICENCE-FILE]...
if (args.Length < 4)
{
    Console.Error.WriteLine("TITLE BUILD-FOLDER LOCK-FILE PACKAGE-FOLDER [WHAT=LICENCE-FILE]...");
    return 2;
}
IReadOnlyList<ShippedPackage> packages = ShippedPackage.Read(
    File.ReadAllText(Path.Combine(args[1], "graftbench.deps.json"))
);
NoticeFile notices = Notices.Compose(
    args[0],
    packages,
    ShippedPackage.Locked(File.ReadAllText(args[2])),
    new PackageCache(args[3]),
    [.. args[4..].Select(other => other.Split('=', 2)).Select(pair => (pair[0], File.ReadAllText(pair[1])))]
);
foreach (string problem in notices.Problems)
{
    Console.Error.WriteLine(problem);
}
if (notices.Problems.Count > 0)
{
    return 1;
}
File.WriteAllText(Path.Combine(args[1], "THIRD-PARTY-NOTICES.txt"), notices.Text);
Console.WriteLine($"{packages.Count} packages, each with a licence and as locked.");
return 0;
