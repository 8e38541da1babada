using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;

namespace Graftbench.Web.Network;

/// <summary>Long random secrets that a browser keeps as a cookie; the bench keeps their hashes.</summary>
internal static class Token
{
    private const int Bytes = 32;
    private const int Characters = 43;

    /// <summary>A new secret.</summary>
    public static string New() => Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(Bytes));

    /// <summary>Hash of a secret; null where the text cannot be one.</summary>
    public static string? HashOf(string? secret) =>
        secret is { Length: Characters } && Base64Url.IsValid(secret)
            ? Convert.ToHexStringLower(SHA256.HashData(Encoding.ASCII.GetBytes(secret)))
            : null;
}
