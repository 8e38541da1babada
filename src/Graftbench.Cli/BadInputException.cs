namespace Graftbench.Cli;

/// <summary>Input that cannot be worked with. The message is for the person who gave it.</summary>
internal sealed class BadInputException(string message) : Exception(message);
