namespace Graftbench.Core.Heating;

/// <summary>Takes shares from several threads and passes on those that are a hundredth further.</summary>
internal sealed class SharedProgress(Action<double> tell) : IProgress<double>
{
    private const double Step = 0.01;
    private readonly Lock gate = new();
    private double told;

    /// <inheritdoc/>
    public void Report(double value)
    {
        lock (gate)
        {
            if (value >= told + Step)
            {
                told = value;
                tell(Math.Min(value, 1));
            }
        }
    }
}
