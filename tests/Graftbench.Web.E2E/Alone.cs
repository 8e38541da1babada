namespace Graftbench.Web.E2E;

/// <summary>Tests that run when all others are done: a heat goes on in real time and must not wait for somebody else's work.</summary>
[CollectionDefinition(Name, DisableParallelization = true)]
public sealed class Alone
{
    public const string Name = "alone";
}
