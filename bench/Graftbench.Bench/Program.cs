using System.Globalization;
using BenchmarkDotNet.Configs;
using BenchmarkDotNet.Running;
using Graftbench.Bench;

// dotnet run -c Release --project bench/Graftbench.Bench -- --filter '*'
// dotnet run -c Release --project bench/Graftbench.Bench -- heat [elements]
// dotnet run -c Release --project bench/Graftbench.Bench -- joints
// dotnet run -c Release --project bench/Graftbench.Bench -- alloy
// dotnet run -c Release --project bench/Graftbench.Bench -- watch [trials]
// dotnet run -c Release --project bench/Graftbench.Bench -- calibrate [trials]
// dotnet run -c Release --project bench/Graftbench.Bench -- live [minutes]
// dotnet run -c Release --project bench/Graftbench.Bench -- dumps
// dotnet run -c Release --project bench/Graftbench.Bench -- image [FILE]
// dotnet run -c Release --project bench/Graftbench.Bench -- balls [scenes]
// dotnet run -c Release --project bench/Graftbench.Bench -- balls-compare [scenes]
// dotnet run -c Release --project bench/Graftbench.Bench -- balls-memory FILE
// dotnet run -c Release --project bench/Graftbench.Bench -- voids [time]
// dotnet run -c Release --project bench/Graftbench.Bench -- seat
// dotnet run -c Release --project bench/Graftbench.Bench -- maps
// dotnet run -c Release --project bench/Graftbench.Bench -- shop [jobs] [connection of an empty PostgreSQL database]
if (args is ["shop", ..])
{
    await ShopFigures.Print(
        args.Length > 1 && int.TryParse(args[1], CultureInfo.InvariantCulture, out int jobs) && jobs > 0
            ? jobs
            : 20_000,
        args.Length > 2 ? args[2] : null
    );
    return;
}
if (args is ["maps"])
{
    MapFigures.Print();
    return;
}
if (args is ["heat", "elements"])
{
    HeatFigures.Elements();
    return;
}
if (args is ["heat"])
{
    HeatFigures.Print();
    return;
}

if (args is ["joints"])
{
    JointFigures.Print();
    return;
}

if (args is ["alloy"])
{
    AlloyFigures.Print();
    return;
}

if (args is ["dumps"])
{
    DumpFigures.Print();
    return;
}

if (args is ["watch", ..])
{
    WatchFigures.Print(
        args.Length > 1 && int.TryParse(args[1], CultureInfo.InvariantCulture, out int trials) && trials > 0
            ? trials
            : 200
    );
    return;
}

if (args is ["calibrate", ..])
{
    CalibrateFigures.Print(
        args.Length > 1 && int.TryParse(args[1], CultureInfo.InvariantCulture, out int runs) && runs > 0 ? runs : 80
    );
    return;
}

if (args is ["live", ..])
{
    await LiveFigures.Print(
        args.Length > 1 && int.TryParse(args[1], CultureInfo.InvariantCulture, out int minutes) && minutes > 0
            ? minutes
            : 10
    );
    return;
}

if (args is ["voids", "time"])
{
    VoidFigures.Large();
    return;
}

if (args is ["voids"])
{
    VoidFigures.Print();
    return;
}

if (args is ["seat"])
{
    SeatFigures.Print();
    return;
}

if (args is ["image", ..])
{
    ImageFigures.Print(args.Length > 1 ? args[1] : null);
    return;
}

if (args is ["balls", ..])
{
    BallFigures.Print(Scenes(10));
    return;
}

if (args is ["balls-compare", ..])
{
    BallFigures.Compare(Scenes(20));
    return;
}

if (args is ["balls-memory", string picture])
{
    BallFigures.Memory(picture);
    return;
}

int Scenes(int usual) =>
    args.Length > 1 && int.TryParse(args[1], CultureInfo.InvariantCulture, out int count) && count > 0 ? count : usual;

// A busy machine needs longer than two minutes to build the project that the measuring runs in.
BenchmarkSwitcher
    .FromAssembly(typeof(Program).Assembly)
    .Run(args, ManualConfig.Create(DefaultConfig.Instance).WithBuildTimeout(TimeSpan.FromMinutes(10)));
