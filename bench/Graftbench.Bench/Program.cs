using BenchmarkDotNet.Configs;
using BenchmarkDotNet.Running;

// dotnet run -c Release --project bench/Graftbench.Bench -- --filter '*'
// A busy machine needs longer than two minutes to build the project that the measuring runs in.
BenchmarkSwitcher
    .FromAssembly(typeof(Program).Assembly)
    .Run(args, ManualConfig.Create(DefaultConfig.Instance).WithBuildTimeout(TimeSpan.FromMinutes(10)));
