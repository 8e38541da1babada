using BenchmarkDotNet.Running;

// dotnet run -c Release --project bench/Graftbench.Bench -- --filter '*'
BenchmarkSwitcher.FromAssembly(typeof(Program).Assembly).Run(args);
